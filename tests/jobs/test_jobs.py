"""Jobs: taken on, revised, refused."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from siteapp.jobs import services
from siteapp.store.errors import StoreError
from tests import factories

if TYPE_CHECKING:
    from siteapp.store.db import Store
    from tests.web_support import Browser

FACTS = {"title": "Stair (invented)", "client": "A. Client (invented)", "place": "a library"}


def titles(store: Store) -> list[str]:
    with store.read() as session:
        return [job.title for _entry, job in services.all_jobs(session)]


def test_a_job_is_taken_on_and_revised_and_who_comes_second_is_told(maker: Browser, store: Store) -> None:
    made = maker.post("/jobs/new", FACTS)
    assert made.status_code == 303
    page = maker.get(f"{made.location}/edit").get_data(as_text=True)
    first = page.partition('name="revises" value="')[2][:36]
    assert maker.post(f"{made.location}/edit", {**FACTS, "title": "Hall", "revises": first}).status_code == 303
    late = maker.post(f"{made.location}/edit", {**FACTS, "brief": "kept as typed", "revises": first})
    assert late.status_code == 409
    assert "kept as typed" in late.get_data(as_text=True)
    assert titles(store) == ["Hall"]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"title": ""}, "Job: this is needed."),
        ({"client": " "}, "Client: this is needed."),
        ({"place": ""}, "Place: this is needed."),
        ({"title": "x" * 201}, "Job: 201 characters are too many. Give at most 200."),
    ],
)
def test_a_job_that_says_too_little_or_too_much_is_refused(
    maker: Browser, store: Store, fields: dict[str, Any], words: str
) -> None:
    answer = maker.post("/jobs/new", {**FACTS, "brief": "kept as typed", **fields})
    assert answer.status_code == 422
    assert words in answer.get_data(as_text=True)
    assert "kept as typed" in answer.get_data(as_text=True)
    assert titles(store) == []


def test_a_revision_of_another_job_or_of_none_is_refused(maker: Browser, store: Store) -> None:
    with store.write() as session:
        one, other = factories.a_job(session, title="One"), factories.a_job(session, title="Other")
        theirs = services.job_now(session, other)
        assert theirs is not None
        facts: services.JobFacts = {**FACTS, "address": None, "access_notes": None, "brief": None}  # type: ignore[typeddict-item]
        with pytest.raises(StoreError, match="no such job"):
            services.revise_job(session, factories.a_writer(session), job_id=one, revises=theirs[0].id, facts=facts)
    answer = maker.post(f"/jobs/{one}/edit", FACTS)
    assert answer.status_code == 422
    assert "This revises no such job. Open the page again." in answer.get_data(as_text=True)
    assert sorted(titles(store)) == ["One", "Other"]
