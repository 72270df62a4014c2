"""Who may open what: a walk over the whole URL map, which fails on a route it does not know."""

import pytest

from siteapp.web.access import FITTER, MAKER, PUBLIC, level_of

# Every endpoint with the access it must have. A new page is written here, by hand, or this test fails.
EXPECTED = {
    PUBLIC: {
        "static",
        "people.first",
        "people.make_first",
        "people.sign_in",
        "people.start_sign_in",
        "people.unlock",
        "people.take_pin",
        "people.sign_out",
        "pieces.scan_page",
        "pieces.find",
        "pieces.upper",
        "journey.start",
        "journey.piece",
        "journey.health",
        "handover.public",
        "handover.from_code",
        "handover.upper",
        "handover.verify_page",
        "handover.verify",
        "handover.given",
        "phones.card",
        "phones.code",
        "phones.report",
        "waiting.page",
        "waiting.hello",
    },
    FITTER: {
        "people.pin",
        "people.set_pin",
        "jobs.listing",
        "pieces.job",
        "pieces.particulars",
        "pieces.label",
        "pieces.label_page",
        "pieces.label_picture",
        "pieces.labels_of_job",
        "aftercare.listing",
        "aftercare.page",
        "aftercare.of_piece",
        "aftercare.visit",
        "aftercare.record_visit",
        "agreed.page",
        "visits.page",
        "visits.add_to_bring",
        "visits.bring",
        "visits.new",
        "visits.plan",
        "visits.contacts",
        "visits.set_contacts",
        "condition.page",
        "condition.new",
        "condition.record",
        "condition.beside",
        "condition.report",
        "anchors.page",
        "anchors.set_form",
        "anchors.set_anchor",
        "anchors.prove_form",
        "anchors.prove",
        "anchors.tighten_form",
        "anchors.tighten",
        "arrival.page",
        "arrival.record",
        "arrival.unwrap_form",
        "arrival.record_unwrap",
        "template.page",
        "template.pdf",
        "template.dxf",
        "finishing.scan_form",
        "finishing.scan",
        "finishing.zones_page",
        "finishing.record_zones",
        "colour.page",
        "colour.sample",
        "colour.one",
        "colour.read",
        "colour.answer_form",
        "colour.answer",
        "kit.page",
        "kit.keep",
        "heat.page",
        "appliance.page",
        "appliance.record",
        "appliance.distances",
        "appliance.record_distances",
        "evidence.page",
        "evidence.limits",
        "heat_test.page",
        "heat_test.begin",
        "heat_test.one",
        "heat_test.read",
        "heat_test.happened",
        "heat_test.end_form",
        "heat_test.end",
        "heat_test.log_form",
        "heat_test.take_log",
        "wall.page",
        "wall.record",
        "holes.page",
        "holes.record",
        "loads.page",
        "pack.page",
        "pack.pdf",
        "build_up.area",
        "weighing.page",
        "weighing.record",
        "lifting.page",
        "lifting.plan_pdf",
        "route.page",
        "route.record",
        "dispatch.page",
        "hanging.page",
        "strength.page",
        "dispatch.crate_form",
        "dispatch.describe_crate",
        "dispatch.look_form",
        "dispatch.record",
        "checks.page",
        "checks.answer",
        "checks.line",
        "checks.open_stage",
        "checks.take_back",
        "checks.work_out",
        "checks.work_out_stage",
        "marks.page",
        "marks.record",
        "snags.page",
        "snags.record",
        "snags.one",
        "snags.clear",
        "snags.accepted",
        "finishing.page",
        "finishing.start",
        "finishing.one",
        "finishing.climate_form",
        "finishing.record_climate",
        "finishing.coat_form",
        "finishing.apply_coat",
        "finishing.close_form",
        "finishing.close",
        "finishing.mix_page",
        "finishing.begin_form",
        "finishing.correct_beginning",
        "finishing.products",
        "finishing.product",
        "finishing.batch_form",
        "finishing.add_batch",
        "handover.page",
        "handover.certificate",
        "handover.frozen",
        "photos.take",
        "photos.small",
        "photos.original",
    },
    MAKER: {
        "evidence.record",
        "evidence.record_limits",
        "strength.record",
        "loads.record",
        "lifting.record",
        "pack.record",
        "snags.accept",
        "people.listing",
        "people.add",
        "people.one",
        "people.revise",
        "people.new_passphrase",
        "workshop.page",
        "workshop.change",
        "checks.release",
        "checks.shelved",
        "jobs.new",
        "jobs.make",
        "jobs.edit",
        "jobs.revise",
        "pieces.new",
        "pieces.make",
        "pieces.edit",
        "pieces.revise",
        "points.page",
        "points.revise",
        "holes.ease_form",
        "holes.ease",
        "template.set",
        "build_up.page",
        "build_up.revise",
        "aftercare.care_date",
        "aftercare.of_all",
        "aftercare.set_care_date",
        "aftercare.move",
        "aftercare.record_move",
        "aftercare.keeper",
        "aftercare.record_keeper",
        "bringing.page",
        "bringing.take",
        "bringing.example",
        "agreed.new",
        "agreed.agree",
        "visits.edit",
        "visits.revise",
        "finishing.new_product",
        "finishing.make_product",
        "finishing.edit_product",
        "finishing.revise_product",
        "handover.hand_over",
        "handover.correct",
        "handover.certificate_form",
        "handover.issue",
        "handover.withdrawal_form",
        "handover.withdraw",
        "handover.leaf",
        "handover.give_page",
        "keeping.page",
        "keeping.key_page",
        "keeping.table",
        "keeping.erase_page",
        "keeping.erase",
        "keeping.erased",
        "handover.give",
        "handover.end_link",
        "handover.link_code",
    },
}
FILLED = {
    "sample_id": "00000000-0000-4000-8000-000000000001",
    "test_id": "00000000-0000-4000-8000-000000000001",
    "number": "00000000",
    "part": "0" * 32,
    "name": "pieces",
    "certificate_number": "C-00000000",
    "link": "0" * 64,
    "token": "a" * 32,
    "job_id": "00000000-0000-4000-8000-000000000000",
    "person_id": "00000000-0000-4000-8000-000000000000",
    "product_id": "00000000-0000-4000-8000-000000000000",
    "session_id": "00000000-0000-4000-8000-000000000000",
    "kind": "toml",
    "visit_id": "00000000-0000-4000-8000-000000000000",
    "line_key": "any",
    "what": "undo",
    "entry_id": "00000000-0000-4000-8000-000000000000",
    "snag_id": "00000000-0000-4000-8000-000000000000",
    "sha": "0" * 64,
    "px": "320",
    "address": "192.168.4.1",
    "filename": "css/siteapp.css",
    "version": "000000000000",
}


def routes(app):
    for rule in app.url_map.iter_rules():
        path = rule.rule
        for name in rule.arguments:
            for converter in ("uuid:", "int:", "path:", ""):
                path = path.replace(f"<{converter}{name}>", FILLED[name])
        for method in sorted(rule.methods - {"HEAD", "OPTIONS"}):
            yield rule.endpoint, method, path


def test_every_route_has_the_access_that_is_written_here(app):
    known = {endpoint: level for level, endpoints in EXPECTED.items() for endpoint in endpoints}
    there = {rule.endpoint: level_of(app, rule.endpoint) for rule in app.url_map.iter_rules()}
    assert there == known


def test_a_stranger_gets_no_page_or_change_beyond_the_public_ones(app, stranger):
    for endpoint, method, path in routes(app):
        if endpoint in EXPECTED[PUBLIC]:
            continue
        answer = stranger.get(path) if method == "GET" else stranger.post(path)
        if method == "GET":
            assert answer.status_code == 303, path
            assert answer.location.startswith("/sign-in"), path
        else:
            assert answer.status_code == 401, path


def test_a_fitter_gets_none_of_what_only_makers_may_do(app, fitter):
    for endpoint, method, path in routes(app):
        if endpoint in EXPECTED[MAKER]:
            answer = fitter.get(path) if method == "GET" else fitter.post(path)
            assert answer.status_code == 403, path


@pytest.mark.parametrize("path", ["/people", "/jobs/new"])
def test_a_view_asked_for_without_sign_in_is_shown_after_it(stranger, path):
    answer = stranger.get(path)
    answer = stranger.post("/sign-in", {"name": "Maker", "passphrase": "four quiet words here", "next": path})
    assert answer.status_code == 303
    assert answer.location == path


@pytest.mark.parametrize("target", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example"])
def test_signing_in_never_leads_to_another_site(stranger, target):
    answer = stranger.post("/sign-in", {"name": "Maker", "passphrase": "four quiet words here", "next": target})
    assert answer.location == "/"
