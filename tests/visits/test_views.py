"""The page of visits: planned, revised, refused; contacts; what is still to bring."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any
from uuid import uuid4

import pytest
from werkzeug.datastructures import MultiDict

from siteapp.people.services import all_people
from siteapp.visits import services
from siteapp.visits.forms import dialled, visit_form
from tests import factories

if TYPE_CHECKING:
    from siteapp.store.db import Store
    from tests.web_support import Browser

TOMORROW = (datetime.now(UTC) + timedelta(days=2)).date().isoformat()


@pytest.fixture
def job(store: Store, noise: factories.Noise) -> str:
    with store.write() as session:
        return factories.a_job(session)


def plan(browser: Browser, job: str, **fields: Any) -> Any:
    return browser.post(f"/jobs/{job}/visits/new", {"day": TOMORROW, **fields})


def of(store: Store, job: str) -> list[services.VisitNow]:
    with store.read() as session:
        return services.visits(session, job)


def test_a_visit_with_its_people_is_kept_and_shown(fitter: Browser, store: Store, job: str) -> None:
    with store.read() as session:
        me = next(one.person_id for one in all_people(session) if one.name == "Fitter")
    answer = plan(
        fitter,
        job,
        from_time="7:30",
        until_time="16.00",
        purpose="Hang <both>",
        **{"people-0-person_id": me, "people-0-role": "leads", "people-1-name": "A plasterer (invented)"},
    )
    assert (answer.status_code, answer.location) == (303, f"/jobs/{job}/visits")
    (one,) = of(store, job)
    assert (one.said.from_time, one.said.until_time) == ("07:30", "16:00")
    assert [(who.name, who.person_id, who.role) for who in one.people] == [
        ("Fitter", me, "leads"),
        ("A plasterer (invented)", None, None),
    ]
    page = fitter.get(answer.location).get_data(as_text=True)
    assert "Hang &lt;both&gt;" in page
    assert "07:30–16:00" in page
    assert "A plasterer (invented)" in page


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"day": ""}, "Day: this is needed."),
        ({"day": "06/05/2031"}, "Day: “06/05/2031” is not taken. Give a date from"),
        ({"from_time": "25:00"}, "From: “25:00” is not taken. Give a time from 00:00 to 23:59"),
        ({"until_time": "noon"}, "Until: “noon” is not taken. Give a time from 00:00 to 23:59"),
        ({"from_time": "16:00", "until_time": "7:30"}, "Until: 07:30 is not after 16:00."),
        ({"purpose": "x" * 301}, "What for: 301 characters are too many. Give at most 300."),
        ({"people-0-role": "lifts"}, "Who comes, line 1: Or another name: say who it is"),
        ({"people-0-person_id": str(uuid4())}, "One of the crew: “"),
    ],
)
def test_a_visit_that_cannot_be_is_refused_and_stays_as_typed(
    fitter: Browser, store: Store, job: str, fields: dict[str, str], words: str
) -> None:
    answer = plan(fitter, job, note="kept as typed", **fields)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert words in page
    assert "kept as typed" in page
    assert of(store, job) == []


def test_one_of_the_crew_and_another_name_on_one_line_are_refused(fitter: Browser, store: Store, job: str) -> None:
    with store.read() as session:
        me = all_people(session)[0].person_id
    answer = plan(fitter, job, **{"people-0-person_id": me, "people-0-name": "And (invented)"})
    assert answer.status_code == 422
    assert "not both" in answer.get_data(as_text=True)


def test_a_maker_revises_a_visit_and_who_comes_second_is_told(maker: Browser, store: Store, job: str) -> None:
    plan(maker, job, purpose="hang", **{"people-0-name": "A plasterer (invented)"})
    (one,) = of(store, job)
    path = f"/jobs/{job}/visits/{one.said.visit_id}"
    page = maker.get(path).get_data(as_text=True)
    assert f'name="revises" value="{one.entry.id}"' in page
    assert 'value="A plasterer (invented)"' in page
    assert maker.post(path, {"day": TOMORROW, "purpose": "mine", "revises": one.entry.id}).status_code == 303
    late = maker.post(path, {"day": TOMORROW, "purpose": "late", "revises": one.entry.id})
    assert late.status_code == 409
    assert 'value="late"' in late.get_data(as_text=True)
    (now,) = of(store, job)
    assert (now.said.purpose, now.people) == ("mine", ())


def test_a_visit_of_another_job_is_not_found_under_this_one(maker: Browser, store: Store, job: str) -> None:
    with store.write() as session:
        other = factories.a_job(session)
    plan(maker, other)
    assert maker.get(f"/jobs/{job}/visits/{of(store, other)[0].said.visit_id}").status_code == 404
    assert maker.get(f"/jobs/{uuid4()}/visits").status_code == 404
    assert maker.post(f"/jobs/{uuid4()}/visits", {"thing": "tape"}).status_code == 404


def test_a_thing_to_bring_is_added_with_one_line_and_ticked_off_with_one_tap(
    fitter: Browser, store: Store, job: str
) -> None:
    path = f"/jobs/{job}/visits"
    assert fitter.post(path, {"thing": "long drill <6 mm>"}).status_code == 303
    page = fitter.get(path).get_data(as_text=True)
    assert "long drill &lt;6 mm&gt;" in page
    found = re.search(r'name="item_id" value="([0-9a-f-]{36})"', page)
    assert found
    assert fitter.post(f"{path}/brought", {"item_id": found[1], "how": "packed"}).status_code == 303
    with store.read() as session:
        assert services.still_to_bring(session, job) == []
        assert [one.said.how for one in services.brought(session, job)] == ["packed"]
    assert "Nothing is still to bring." in fitter.get(path).get_data(as_text=True)


@pytest.mark.parametrize(
    ("where", "fields", "words"),
    [
        ("", {"thing": "  "}, "One thing more to bring: this is needed."),
        ("", {"thing": "x" * 301}, "Give at most 300."),
        ("/brought", {"item_id": str(uuid4()), "how": "packed"}, "This is not part of this job."),
        ("/brought", {"item_id": "", "how": "packed"}, "this is needed"),
        ("/brought", {"item_id": "no id", "how": "packed"}, "This is not part of this job."),
        ("/brought", {"item_id": str(uuid4()), "how": "eaten"}, "Answer: “eaten” is not taken. Choose one of: Packed"),
    ],
)
def test_a_bad_word_on_what_to_bring_is_refused(
    fitter: Browser, store: Store, job: str, where: str, fields: dict[str, str], words: str
) -> None:
    fitter.post(f"/jobs/{job}/visits", {"thing": "tape"})
    answer = fitter.post(f"/jobs/{job}/visits{where}", fields)
    assert answer.status_code == 422
    assert words in answer.get_data(as_text=True)
    with store.read() as session:
        assert [one.said.words for one in services.still_to_bring(session, job)] == ["tape"]


def test_contacts_can_be_called_and_never_leave_for_a_public_page(
    fitter: Browser, stranger: Browser, store: Store, job: str
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, job_id=job)
    fields = {"people-0-name": "Caretaker (invented)", "people-0-phone": "+00 (0)123 45-67", "note": "ring twice"}
    assert fitter.post(f"/jobs/{job}/contacts", fields).status_code == 303
    page = fitter.get(f"/jobs/{job}/visits").get_data(as_text=True)
    assert 'href="tel:+0001234567"' in page
    assert "ring twice" in page
    public = stranger.get(f"/p/{piece.number}").get_data(as_text=True)
    assert piece.title in public
    assert "Caretaker" not in public
    assert "123 45" not in public


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"people-0-phone": "0123"}, "Name: this is needed."),
        ({"people-0-name": "A (invented)", "people-0-phone": "ask"}, "Phone: “ask” is not taken. Give a number with"),
        ({"people-0-name": "A" * 201}, "Give at most 200."),
    ],
)
def test_contacts_that_cannot_be_are_refused(
    fitter: Browser, store: Store, job: str, fields: dict[str, str], words: str
) -> None:
    answer = fitter.post(f"/jobs/{job}/contacts", {"note": "kept as typed", **fields})
    assert answer.status_code == 422
    page = answer.get_data(as_text=True)
    assert words in page
    assert "kept as typed" in page
    with store.read() as session:
        assert services.contacts_now(session, job) is None


def test_first_contacts_written_by_two_people_are_a_conflict_with_both_kept(
    fitter: Browser, maker: Browser, store: Store, job: str
) -> None:
    path = f"/jobs/{job}/contacts"
    fitter.post(path, {"people-0-name": "One (invented)"})
    late = maker.post(path, {"people-0-name": "Two (invented)"})
    assert late.status_code == 409
    named = re.search(r'name="revises" value="([0-9a-f-]{36})"', late.get_data(as_text=True))
    assert named
    assert maker.post(path, {"people-0-name": "Two (invented)", "revises": named[1]}).status_code == 303
    assert "Two (invented)" in maker.get(path).get_data(as_text=True)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("7", "07:00"),
        ("0730", "07:30"),
        ("730", "07:30"),
        (" 7.30 ", "07:30"),
        ("\u0660\u0667:\u0663\u0660", "07:30"),
        ("23:59", "23:59"),
        ("24:00", None),
        ("7:60", None),
        ("-7", None),
        ("7:3", None),
        ("", None),
    ],
)
def test_a_time_of_day_is_read_as_people_type_it(typed: str, kept: str | None) -> None:
    form = visit_form({}, MultiDict({"day": TOMORROW, "from_time": typed}))
    assert (form.from_time.data, bool(form.from_time.process_errors)) == (kept, kept is None and typed != "")


@pytest.mark.parametrize(
    ("phone", "link"),
    [
        ("+00 (0)123 45-67", "+0001234567"),
        ("0123/4567 ext. 89", "01234567"),
        ("112", "112"),
        ("1", None),
        ("ask at the desk 123", None),
        (None, None),
    ],
)
def test_a_phone_number_is_dialled_as_its_digits(phone: str | None, link: str | None) -> None:
    assert dialled(phone) == link


def test_the_job_leads_to_its_visits(fitter: Browser, job: str) -> None:
    assert f'href="/jobs/{job}/visits"' in fitter.get(f"/jobs/{job}").get_data(as_text=True)
