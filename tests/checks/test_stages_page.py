"""The page of checks by stage: lists opened, a second person, lines worked out, answers taken back, holds released."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.checks import services, showing
from siteapp.people.services import all_people
from siteapp.snags.services import open_snags
from tests import factories
from tests.checks.support import (
    OWN,
    PLAIN,
    a_piece_with_lists,
    article,
    holds_of,
    line_of,
    own_list,
    stage_of,
)
from tests.checks.test_opening import BROKEN, revised

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece of which nothing is open."""
    with store.write() as session:
        return factories.a_piece(session)


def page_of(browser: Browser, piece: PieceNow, stage: str = "") -> str:
    query = f"?stage={stage}" if stage else ""
    return browser.get(f"/p/{piece.number}/checks{query}").get_data(as_text=True)


def hidden(part: str, action: str) -> dict[str, str]:
    """The hidden fields of the form that is sent to an address, without its token and id."""
    form = part[part.index(f'action="{action}"') :].split("</form>", maxsplit=1)[0]
    found = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form))
    return {name: value for name, value in found.items() if name not in {"csrf", "form_id"}}


def test_before_anything_is_open_the_page_says_what_there_is_and_opens_it(fitter, store, piece) -> None:
    path = f"/p/{piece.number}/checks"
    ready = page_of(fitter, piece)
    assert all(name in ready for name in ("A week before", "What the contractor sent back", "Before the van leaves"))
    assert "Record the arrival" in page_of(fitter, piece, "arrived")
    answer = fitter.post(f"{path}/open", {"stage": "ready"})
    assert (answer.status_code, answer.location) == (303, f"{path}?stage=ready")
    assert len(stage_of(store, piece, "ready").lists) == 4
    assert fitter.post(f"{path}/open", {"stage": "ready"}).status_code == 303
    assert len(stage_of(store, piece, "ready").lists) == 4


@pytest.mark.parametrize("stage", ["finished", "", "x" * 21, "a\x00b"])
def test_a_stage_that_is_none_is_refused(fitter, store, piece, stage) -> None:
    answer = fitter.post(f"/p/{piece.number}/checks/open", {"stage": stage})
    assert answer.status_code == 422
    assert "One thing to look at" in answer.get_data(as_text=True)
    assert not any(stage_of(store, piece, name).opened for name in ("ready", "fixed"))


def test_a_broken_file_is_named_on_the_page_and_stops_the_opening(fitter, store, piece) -> None:
    own_list(store, "our-wall", BROKEN)
    assert "our-wall.toml, line 9: hold of check 1 is 1" in page_of(fitter, piece, "fixed")
    answer = fitter.post(f"/p/{piece.number}/checks/open", {"stage": "fixed"})
    assert answer.status_code == 422
    assert not stage_of(store, piece).opened


def test_the_page_begins_with_the_first_stage_that_has_lines_left(fitter, store, piece) -> None:
    piece = a_piece_with_lists(store, "arrived", "fixed")
    page = page_of(fitter, piece)
    assert "Unwrapping" in page
    assert re.search(r'stage=arrived" aria-current="page"', page)
    assert re.search(r'stage=fixed">', page)
    assert "Hanging on points" in page_of(fitter, piece, "fixed")
    # A stage that there is none of is no mistake of the program's.
    assert fitter.get(f"/p/{piece.number}/checks?stage=nonsense").status_code == 200


def test_the_page_says_when_the_particulars_do_not_say_how_the_piece_stands(fitter, store) -> None:
    words = "The particulars do not say how the piece stands"
    assert words in page_of(fitter, a_piece_with_lists(store), "fixed")
    assert words not in page_of(fitter, a_piece_with_lists(store, stands="on points"), "fixed")


def test_a_list_that_the_particulars_ask_for_later_is_offered_and_opened(fitter, store) -> None:
    piece = revised(store, a_piece_with_lists(store), near_heat=True)
    page = page_of(fitter, piece, "fixed")
    assert "Open what is not open yet" in page
    assert "The checks “Near heat” are not open yet." in page
    fitter.post(f"/p/{piece.number}/checks/open", {"stage": "fixed"})
    assert "appliance-cold" in holds_of(store, piece)


def test_two_lists_with_a_check_of_one_name_have_ids_of_their_own(fitter, store) -> None:
    own_list(store, "our-wall")
    piece = a_piece_with_lists(store)
    page = page_of(fitter, piece)
    assert 'id="check-level"' in page
    assert 'id="check-level--2"' in page
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))
    ours = next(
        line for line in stage_of(store, piece).lines if line.key == "level" and line.list_name == "Our own wall"
    )
    fields = {"list_id": ours.list_id, "verdict": "met"}
    answer = fitter.post(f"/p/{piece.number}/checks/level", fields)
    assert answer.location.endswith("?stage=fixed#check-level--2")
    # The program's line of that name asks for a reading, ours does not.
    assert answer.status_code == 303


def test_a_second_persons_name_is_offered_asked_for_and_kept(fitter, maker, store) -> None:
    own_list(store, "points", OWN)
    piece = a_piece_with_lists(store)
    page = page_of(fitter, piece)
    assert 'list="crew"' in article(page, "dry")
    assert '<option value="Maker">' in page
    assert '<option value="Fitter">' not in page
    path, fields = f"/p/{piece.number}/checks/dry", {"list_id": line_of(store, piece, "dry").list_id, "verdict": "met"}
    for second, words in (("", "met needs the name of somebody else"), ("fitter", "“fitter” is who answers")):
        refused = fitter.post(path, {**fields, "confirm": "yes", "second_name": second, "note": "kept"})
        assert refused.status_code == 422
        own = article(refused.get_data(as_text=True), "dry")
        assert words in own
        assert "kept</textarea>" in own
    assert fitter.post(path, {**fields, "confirm": "yes", "second_name": "n" * 201}).status_code == 422
    assert fitter.post(path, {**fields, "confirm": "yes", "second_name": "Maker"}).status_code == 303
    shown = article(page_of(maker, piece), "dry")
    assert "seen by <bdi>Maker</bdi> too" in re.sub(r"\s+", " ", shown)


def test_a_line_is_worked_out_shown_with_its_inputs_and_marked_when_they_change(fitter, store) -> None:
    piece = a_piece_with_lists(store, "ready")
    part = article(page_of(fitter, piece, "ready"), "weighed")
    assert "Work it out" in part
    assert 'value="met"' not in part
    path = f"/p/{piece.number}/checks/weighed/work-out"
    answer = fitter.post(path, hidden(part, path))
    assert answer.status_code == 303
    shown = article(page_of(fitter, piece, "ready"), "weighed")
    assert "31.4 kg" in shown
    assert "floor scales" in shown
    assert "the weight of the particulars, version 1" in shown
    revised(store, piece, care="Dust it.")
    stale = article(page_of(fitter, piece, "ready"), "weighed")
    assert "Worked out before the particulars changed" in stale
    assert "cannot tell" in stale


@pytest.mark.parametrize("list_id", ["", "x", "00000000-0000-4000-8000-000000000000", "x" * 37])
def test_working_out_what_is_not_there_is_refused(fitter, store, list_id) -> None:
    piece = a_piece_with_lists(store, "ready")
    before = line_of(store, piece, "weighed").answers
    answer = fitter.post(f"/p/{piece.number}/checks/weighed/work-out", {"list_id": list_id})
    assert answer.status_code == 422
    assert line_of(store, piece, "weighed").answers == before


def test_not_met_leads_to_its_snag(fitter, store) -> None:
    piece = a_piece_with_lists(store)
    fitter.post(f"/p/{piece.number}/checks/{PLAIN}", {"list_id": line_of(store, piece).list_id, "verdict": "not met"})
    with store.read() as session:
        snag = open_snags(session, piece.piece_id)[0]
    assert f"/p/{piece.number}/snags/{snag.entry.id}" in article(page_of(fitter, piece), PLAIN)
    assert "Raise a snag" in page_of(fitter, piece)


def answer_by(browser: Browser, store: Store, piece: PieceNow, **fields: Any) -> str:
    line = line_of(store, piece)
    browser.post(f"/p/{piece.number}/checks/{PLAIN}", {"list_id": line.list_id, "verdict": "met", **fields})
    found = line_of(store, piece).answer
    assert found
    return found.entry_id


@pytest.mark.usefixtures("by_hand")
def test_without_a_script_an_answer_is_taken_back_by_whoever_gave_it(fitter, maker, store, monkeypatch) -> None:
    piece = a_piece_with_lists(store)
    answer_id = answer_by(fitter, store, piece)
    path = f"/p/{piece.number}/checks/{PLAIN}/undo"
    assert f'action="{path}"' not in page_of(maker, piece)
    fields = hidden(page_of(fitter, piece), path)
    assert fields["answer"] == answer_id
    refused = maker.post(path, fields)
    assert refused.status_code == 422
    assert "Only whoever gave an answer can take it back" in refused.get_data(as_text=True)
    answer = fitter.post(path, fields)
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/checks?stage=fixed#check-{PLAIN}")
    shown = article(page_of(fitter, piece), PLAIN)
    assert "met; taken back" in shown
    assert "Take it back" not in shown
    # Later it is answered again instead, which says as much.
    answer_by(fitter, store, piece)
    monkeypatch.setattr(showing, "LATELY", timedelta(0))
    assert f'action="{path}"' not in page_of(fitter, piece)


@pytest.mark.usefixtures("by_hand")
def test_taking_back_what_was_answered_since_is_a_clash(fitter, store) -> None:
    piece = a_piece_with_lists(store)
    first = answer_by(fitter, store, piece)
    second = answer_by(fitter, store, piece, stands=first, verdict="not met")
    fields = {"list_id": line_of(store, piece).list_id, "answer": first}
    answer = fitter.post(f"/p/{piece.number}/checks/{PLAIN}/undo", fields)
    assert answer.status_code == 409
    assert "Somebody else changed this" in answer.get_data(as_text=True)
    assert [one.entry_id for one in line_of(store, piece).standing] == [second]


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"answer": "nonsense"},
        {"of_form": "nonsense"},
        {"answer": "", "of_form": ""},
        {"answer": "own", "list_id": "x"},
        {"answer": "particulars"},
    ],
)
@pytest.mark.usefixtures("by_hand")
def test_a_damaged_taking_back_changes_nothing(fitter, store, fields) -> None:
    piece = a_piece_with_lists(store)
    own = answer_by(fitter, store, piece)
    named = {"own": own, "particulars": piece.revision.id}
    fields = {name: named.get(value, value) for name, value in fields.items()}
    data = {"list_id": line_of(store, piece).list_id, **fields}
    assert fitter.post(f"/p/{piece.number}/checks/{PLAIN}/undo", data).status_code == 422
    assert line_of(store, piece).answer


@pytest.mark.parametrize("what", ["open", "release", f"{PLAIN}/undo", f"{PLAIN}/work-out"])
def test_the_address_of_each_form_leads_back_to_the_page(maker, store, what) -> None:
    piece = a_piece_with_lists(store)
    answer = maker.get(f"/p/{piece.number}/checks/{what}")
    assert answer.status_code == 303
    assert answer.location.startswith(f"/p/{piece.number}/checks")
    assert maker.get(answer.location).status_code == 200


def test_the_settings_lead_to_every_list_where_it_comes_from_and_what_is_wrong(maker, fitter, store) -> None:
    own_list(store, "points", OWN)
    own_list(store, "our-wall", BROKEN)
    own_list(store, "more", OWN.replace("Our own wall", "More <of> it"))
    assert 'href="/settings/lists"' in maker.get("/settings").get_data(as_text=True)
    page = maker.get("/settings/lists").get_data(as_text=True)
    assert "our-wall.toml is not used" in page
    assert "Check list our-wall.toml, line 9: hold of check 1 is 1; allowed is true or false" in page
    assert "yours, in place of the program" in page
    assert "More &lt;of&gt; it" in page
    assert page.count("comes with the program") == 11
    assert fitter.get("/settings/lists").status_code == 403


def test_names_of_people_who_left_are_not_offered(fitter, store) -> None:
    with store.write() as session:
        factories.a_person(session, name="Gone (invented)", active=False)
        assert "Gone (invented)" in {one.name for one in all_people(session)}
        piece = factories.a_piece(session)
        services.open_lists(session, factories.a_writer(session), piece=piece, stage="fixed")
    assert "Gone (invented)" not in page_of(fitter, piece)
