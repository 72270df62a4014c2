"""The main job, once through its pages, and what happens when forms go astray."""

import io
import re
from uuid import uuid4

import pytest
from PIL import Image
from sqlalchemy import func, select

from siteapp.jobs.models import Job
from siteapp.pieces.services import all_numbers
from siteapp.store.models import Entry, FormPost
from tests.support import own_lists

JOB = {"title": "Reliefs (invented)", "client": "A client (invented)", "place": "a library"}
PIECE = {"title": "Three birds (invented)", "object_type": "Wall relief", "mass_kg": "33 lb", "mass_origin": "weighed"}


def a_photo(shade=120):
    out = io.BytesIO()
    Image.effect_noise((640, 480), 30).point(lambda value: value * shade // 128).convert("RGB").save(out, "JPEG")
    return io.BytesIO(out.getvalue()), "photo.jpg"


@pytest.fixture
def number(maker):
    job = maker.post("/jobs/new", JOB).location
    return maker.post(f"{job}/pieces/new", {**PIECE, "photos": a_photo()}).location.rpartition("/")[2]


def lines_of(browser, number):
    page = browser.get(f"/p/{number}/checks?stage=fixed").get_data(as_text=True)
    return re.findall('id="check-([a-z0-9-]+)"', page)


def answer(browser, number, line, **facts):
    page = browser.get(f"/p/{number}/checks?stage=fixed").get_data(as_text=True)
    part = page[page.index(f'action="/p/{number}/checks/{line}"') :]
    list_id = re.search(r'name="list_id" value="([^"]+)"', part)
    extra = {"list_id": list_id[1]} if list_id else {}
    return browser.post(f"/p/{number}/checks/{line}", {"verdict": "met", "confirm": "yes", **extra, **facts})


def test_from_job_to_certificate(store, maker, fitter, stranger, number):
    own_lists.by_hand(store)
    public = stranger.get(f"/p/{number}").get_data(as_text=True)
    assert "15 kg" in public
    assert "A client" not in public
    assert maker.get(f"/p/{number}/label.pdf").data.startswith(b"%PDF")
    # Nothing has arrived: the checks are not open, so nothing may be handed over.
    refused = maker.post(f"/p/{number}/handover", {"signed_name": "A client", "said": "I take it over."})
    assert refused.status_code == 422
    arrived = fitter.post(
        f"/p/{number}/arrival",
        {"found": "nothing found", "front": a_photo(100), "back": a_photo(90), "edges": a_photo(95)},
    )
    assert arrived.status_code == 303, arrived.get_data(as_text=True)
    lines = lines_of(fitter, number)
    assert len(lines) == 7
    for line in lines:
        facts = {"photos": a_photo(80), "photo": a_photo(80)}
        if line == "anchors-proved":
            facts["reading"] = "2.4"
        if line == "level":
            facts["reading"] = "1"
        if line == "anchors-proved":
            refused = maker.post(f"/p/{number}/handover", {"signed_name": "A client", "said": "I take it over."})
            assert refused.status_code == 422
            assert "Every wall anchor was pulled" in refused.get_data(as_text=True)
        answered = answer(fitter, number, line, **facts)
        assert answered.status_code == 303, answered.get_data(as_text=True)[-3000:]
    signed = maker.post(f"/p/{number}/handover", {"signed_name": "A client (invented)", "said": "I take it over."})
    assert signed.status_code == 303, signed.get_data(as_text=True)
    issued = maker.post(f"/p/{number}/handover/certificate", {"maker": "A maker (invented)"})
    assert issued.status_code == 303, issued.get_data(as_text=True)
    certificate = maker.get(f"/p/{number}/certificate.pdf")
    assert certificate.data.startswith(b"%PDF")
    assert stranger.get(f"/p/{number}/certificate.pdf").status_code == 303


def test_the_same_form_twice_is_written_once_and_answered_twice(maker, store):
    form = {**JOB, "form_id": str(uuid4())}
    first, second = maker.post("/jobs/new", form), maker.post("/jobs/new", form)
    assert (first.status_code, first.location) == (second.status_code, second.location)
    with store.read() as session:
        assert session.scalar(select(func.count()).select_from(Job)) == 1


def test_a_form_sent_again_with_other_words_is_offered_as_correction_or_as_new(maker):
    form = {**JOB, "form_id": str(uuid4())}
    maker.post("/jobs/new", form)
    answer = maker.post("/jobs/new", {**form, "title": "Other words"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert "Other words" in page
    assert "Save as something new" in page


def test_another_persons_repeat_gets_no_answer_of_the_first(maker, fitter, number):
    form = {"form_id": str(uuid4()), "found": "not looked at yet"}
    assert maker.post(f"/p/{number}/arrival", form).status_code == 303
    answer = fitter.post(f"/p/{number}/arrival", form)
    assert answer.status_code == 409
    assert answer.location is None


def test_two_people_revising_one_thing_are_told_and_nothing_is_lost(maker):
    job = maker.post("/jobs/new", JOB).location
    page = maker.get(f"{job}/edit").get_data(as_text=True)
    revises = re.search(r'name="revises" value="([^"]+)"', page)[1]
    assert maker.post(f"{job}/edit", {**JOB, "title": "First", "revises": revises}).status_code == 303
    late = maker.post(f"{job}/edit", {**JOB, "title": "Second", "revises": revises})
    page = late.get_data(as_text=True)
    assert late.status_code == 409
    assert "Second" in page
    newer = re.search(r'name="revises" value="([^"]+)"', page)[1]
    assert newer != revises
    assert maker.post(f"{job}/edit", {**JOB, "title": "Second", "revises": newer}).status_code == 303


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("mass_kg", "-3", "5"),
        ("mass_kg", "NaN", "5"),
        ("mass_kg", "1e999", "5"),
        ("mass_kg", "heavy", "5"),
        ("title", "", "Title"),
        ("title", "x" * 301, "300"),
        ("title", "nul \0 here", "Title"),
        ("care", "y" * 10_001, "5"),
    ],
)
def test_what_is_not_taken_is_said_and_everything_typed_stays(maker, store, field, typed, said):
    job = maker.post("/jobs/new", JOB).location
    answer = maker.post(f"{job}/pieces/new", {**PIECE, "finish": "kept words", field: typed})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert said in page
    assert "kept words" in page
    with store.read() as session:
        assert all_numbers(session) == []
        assert session.scalar(select(func.count()).select_from(FormPost)) == 1


@pytest.mark.parametrize("words", ["🙂 שלום", "<script>alert(1)</script>", "a\u202eb", "x" * 10_000])
def test_odd_words_are_kept_and_shown_as_they_are(maker, words):
    job = maker.post("/jobs/new", {**JOB, "brief": words}).location
    page = maker.get(job).get_data(as_text=True)
    assert "<script>alert" not in page
    assert (words if "<" not in words else "&lt;script&gt;alert(1)&lt;/script&gt;") in page


@pytest.mark.parametrize("at", ["1899-01-01T00:00:00Z", "2199-01-01T00:00:00.000Z", "no time at all"])
def test_a_devices_clock_is_kept_however_odd_and_never_refused(maker, store, at):
    assert maker.post("/jobs/new", {**JOB, "at": at}).status_code == 303
    with store.read() as session:
        entry = session.scalars(select(Entry).where(Entry.kind == "job")).one()
    assert (entry.at is None) == at.startswith("no")


@pytest.mark.parametrize(
    ("data", "said"),
    [(b"not a photo", "not a photo"), (b"GIF89a" + b"\0" * 40, "not a photo")],
)
def test_a_file_that_is_no_photo_is_refused_in_words(maker, data, said):
    answer = maker.post("/scan", {"photo": (io.BytesIO(data), "x.jpg"), "number": ""})
    assert answer.status_code == 422
    assert said in answer.get_data(as_text=True)


def test_a_photo_sent_by_itself_is_kept_once_however_often_it_is_sent(maker):
    picture, _name = a_photo()
    data = picture.getvalue()
    answers = [maker.post("/photos", {"photo": (io.BytesIO(data), "x.jpg")}).get_json() for _time in range(2)]
    assert answers[0] == answers[1]
    sha = answers[0]["sha256"]
    assert maker.get(f"/photos/{sha}/original").data == data
    small = maker.get(f"/photos/{sha}/320")
    assert Image.open(io.BytesIO(small.data)).width == 320
    assert maker.get(f"/photos/{sha}/321").status_code == 404


def test_a_form_naming_a_photo_that_never_arrived_is_refused(maker):
    job = maker.post("/jobs/new", JOB).location
    answer = maker.post(f"{job}/pieces/new", {**PIECE, "photos_sha": "a" * 64})
    assert answer.status_code == 422
    assert "not reached the laptop" in answer.get_data(as_text=True)


def test_a_script_gets_its_forms_id_back_with_the_answer(maker):
    form = {**JOB, "form_id": str(uuid4())}
    answer = maker.post("/jobs/new", form, headers={"Accept": "application/json"})
    assert answer.get_json()["form"] == form["form_id"]
    assert answer.get_json()["saved"] is True
