import io
import re
from dataclasses import replace

import pytest

from siteapp.people.models import SignIn, SignInDelay
from siteapp.people.services import AWAY_AFTER, SIGNED_IN_FOR
from tests.web_support import PASSPHRASE, Browser

JOB = {"title": "Reliefs", "client": "A client (invented)", "place": "a library"}


def test_a_form_without_the_pages_token_is_refused(maker):
    assert maker.post("/jobs/new", {**JOB, "csrf": "0" * 64}).status_code == 403


def test_a_token_of_another_device_is_refused(maker, fitter):
    assert maker.post("/jobs/new", {**JOB, "csrf": fitter.token()}).status_code == 403


@pytest.mark.parametrize(
    "headers", [{"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}, {"Origin": "null"}]
)
def test_a_form_sent_from_another_site_is_refused(maker, headers):
    assert maker.post("/jobs/new", JOB, headers=headers).status_code == 403


def test_an_unknown_host_name_is_refused_as_dns_rebinding_would_use_one(maker):
    assert maker.get("/jobs", base_url="http://rebound.example").status_code == 400


def test_pages_forbid_inline_code_and_other_sites(maker):
    answer = maker.get("/")
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    page = answer.get_data(as_text=True)
    # Words for scripts are data, which no browser runs.
    page = re.sub(r'<script type="application/json" id="words">[^<]*</script>', "", page)
    assert not re.search(r"<script(?![^>]*\bsrc=)|\son\w+=|\sstyle=", page)
    assert answer.headers["Cache-Control"] == "no-store"


def test_a_wrong_passphrase_and_an_unknown_name_get_the_same_answer(stranger):
    wrong = stranger.post("/sign-in", {"name": "Maker", "passphrase": "wrong words altogether"})
    unknown = stranger.post("/sign-in", {"name": "Nobody", "passphrase": "wrong words altogether"})
    assert wrong.status_code == unknown.status_code == 422
    said = [re.findall(r"do not fit together", one.get_data(as_text=True)) for one in (wrong, unknown)]
    assert said[0] == said[1] != []


def test_tries_at_signing_in_wait_longer_each_time_and_are_never_locked_out(app, store):
    device = Browser(app)
    for _try in range(3):
        device.post("/sign-in", {"name": "Maker", "passphrase": "wrong words altogether"})
    with store.write() as session:
        for row in session.query(SignInDelay):
            assert row.failures == 3
            row.failures = 9  # as after six more tries; a second's wait could be over before the next request
    slowed = device.post("/sign-in", {"name": "Maker", "passphrase": PASSPHRASE})
    assert slowed.status_code == 429
    with store.write() as session:
        for row in session.query(SignInDelay):
            row.last_at -= AWAY_AFTER
    assert device.post("/sign-in", {"name": "Maker", "passphrase": PASSPHRASE}).status_code == 303


def test_after_a_pause_the_day_pin_brings_the_same_page_back(maker, store):
    assert maker.post("/pin", {"pin": "2580"}).status_code == 303
    with store.write() as session:
        for row in session.query(SignIn):
            row.seen_at -= AWAY_AFTER * 2
    answer = maker.get("/jobs")
    assert answer.location == "/unlock?next=/jobs"
    assert maker.post("/unlock", {"pin": "0852", "next": "/jobs"}).status_code == 422
    answer = maker.post("/unlock", {"pin": "2580", "next": "/jobs"})
    assert answer.location == "/jobs"
    assert maker.get("/jobs").status_code == 200


def test_a_sign_in_ends_with_the_day(maker, store):
    with store.write() as session:
        for row in session.query(SignIn):
            row.started_at -= SIGNED_IN_FOR * 2
    assert maker.get("/jobs").location.startswith("/sign-in")


def test_a_stolen_sign_in_cookie_is_worth_nothing_on_another_device(app, maker):
    other = Browser(app)
    other.get("/sign-in")
    other.client.set_cookie("siteapp_sign_in", maker.client.get_cookie("siteapp_sign_in").value)
    assert other.get("/jobs").status_code == 303


def test_signing_out_ends_the_sign_in_on_the_laptop_too(maker):
    token = maker.client.get_cookie("siteapp_sign_in").value
    assert maker.post("/sign-out").status_code == 303
    maker.client.set_cookie("siteapp_sign_in", token)
    assert maker.get("/jobs").status_code == 303


def test_a_passphrase_leaves_no_trace_but_its_hash(maker, store):
    secret = "unmistakable heron passphrase"
    maker.post("/people", {"name": "Third", "role": "fitter", "passphrase": secret})
    for file in store.settings.data.rglob("*"):
        if file.is_file():
            assert secret.encode() not in file.read_bytes()


def test_the_only_maker_stays_a_maker(maker):
    page = maker.get("/people").get_data(as_text=True)
    path = re.search(r'href="(/people/[0-9a-f-]{36})">\s*<span class="line-words"><b>Maker', page)[1]
    form = maker.get(path).get_data(as_text=True)
    revises = re.search(r'name="revises" value="([^"]+)"', form)[1]
    answer = maker.post(path, {"name": "Maker", "role": "fitter", "active": "yes", "revises": revises})
    assert answer.status_code == 422
    assert "only maker" in answer.get_data(as_text=True)


def test_a_body_that_is_too_large_is_refused_in_words(app, maker):
    assert app.config["MAX_FORM_MEMORY_SIZE"] == 1024**2
    app.config["MAX_FORM_MEMORY_SIZE"] = 10_000
    answer = maker.post("/jobs/new", {**JOB, "brief": "x" * 20_000})
    assert answer.status_code == 413
    assert "too large" in answer.get_data(as_text=True)


def test_a_photo_over_the_limit_is_refused_and_the_rest_of_the_form_stays(app, maker):
    program = app.extensions["siteapp"]
    limit = 2 * 1024**2 // 20
    app.extensions["siteapp"] = replace(program, settings=program.settings.with_(max_photo_bytes=limit))
    answer = maker.post("/scan", {"photo": (io.BytesIO(b"x" * (limit + 1)), "large.jpg"), "number": ""})
    assert answer.status_code == 422
    assert "larger than" in answer.get_data(as_text=True)


def test_the_first_person_is_made_on_the_laptop_only(store):
    from siteapp.app import create_app

    empty = create_app(store.settings, testing=True)
    browser = Browser(empty)
    far = {"REMOTE_ADDR": "192.0.2.7"}
    facts = {"name": "First", "passphrase": PASSPHRASE}
    assert browser.post("/first", facts, environ_overrides=far).status_code == 403
    assert browser.post("/first", facts).status_code == 303
    assert browser.post("/first", {**facts, "name": "Second"}).status_code == 422
