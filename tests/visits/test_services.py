"""Visits, site contacts and what is still to bring, on every kind of database where it matters."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.visits import services
from tests import factories

if TYPE_CHECKING:
    from siteapp.store.db import Store

DAY = {"day": "2031-05-06", "from_time": "07:30", "until_time": "16:00", "purpose": "hang", "note": None}


def facts(**overrides: Any) -> services.VisitFacts:
    return {**DAY, **overrides}  # type: ignore[typeddict-item, return-value]


@pytest.fixture
def job(store: Store) -> str:
    """A job beside another one with a visit, contacts and a thing to bring of its own."""
    with store.write() as session:
        writer = factories.a_writer(session)
        other = factories.a_job(session)
        services.plan_visit(session, writer, job_id=other, facts=facts())
        services.set_contacts(session, writer, job_id=other, revises=None, people=[], note="other")
        services.add_to_bring(session, writer, job_id=other, words="of the other job")
        return factories.a_job(session)


def test_a_visit_is_planned_revised_and_stands_once(database: Store) -> None:
    with database.write() as session:
        writer = factories.a_writer(session)
        job = factories.a_job(session)
        crew = factories.a_person(session, name="Ada (invented)")
        people: list[services.NamedPerson] = [
            {"name": "Ada (invented)", "person_id": crew, "role": "leads"},
            {"name": "A plasterer (invented)", "person_id": None, "role": None},
        ]
        services.plan_visit(session, writer, job_id=job, facts=facts(day="2031-05-07"))
        visit_id = services.plan_visit(session, writer, job_id=job, facts=facts(day="2031-05-09"), people=people)
    with database.write() as session:
        before = next(one for one in services.visits(session, job) if one.said.visit_id == visit_id)
        again = services.revise_visit(
            session,
            factories.a_writer(session),
            job_id=job,
            revises=before.entry.id,
            facts=facts(from_time=None),
            people=people[:1],
        )
        assert again == visit_id
    with database.read() as session:
        told = services.visits(session, job)
        assert [(one.said.day, one.said.from_time, [who.name for who in one.people]) for one in told] == [
            ("2031-05-06", None, ["Ada (invented)"]),
            ("2031-05-07", "07:30", []),
        ]
        assert services.jobs_visited_on(session, date(2031, 5, 6)) == {job}
        assert services.jobs_visited_on(session, date(2031, 5, 9)) == set()


def test_a_second_revision_of_the_same_visit_is_told_that_it_is_late(store: Store, job: str) -> None:
    with store.write() as session:
        services.plan_visit(session, factories.a_writer(session), job_id=job, facts=facts())
        first = services.visits(session, job)[0].entry.id
    with store.write() as session:
        writer = factories.a_writer(session)
        services.revise_visit(session, writer, job_id=job, revises=first, facts=facts(note="one"))
    with store.write() as session:
        writer = factories.a_writer(session)
        with pytest.raises(Superseded):
            services.revise_visit(session, writer, job_id=job, revises=first, facts=facts(note="two"))


def test_what_belongs_to_another_job_is_refused(store: Store, job: str) -> None:
    with store.read() as session:
        other = next(iter(services.jobs_visited_on(session, date(2031, 5, 6))))
        visit = services.visits(session, other)[0].entry.id
        contacts = services.contacts_now(session, other)
        item = services.still_to_bring(session, other)[0].entry.id
    assert contacts is not None
    with store.write() as session:
        writer = factories.a_writer(session)
        with pytest.raises(StoreError, match="not part of this job"):
            services.revise_visit(session, writer, job_id=job, revises=visit, facts=facts())
        with pytest.raises(StoreError, match="not part of this job"):
            services.revise_visit(session, writer, job_id=job, revises="", facts=facts())
        with pytest.raises(StoreError, match="not part of this job"):
            services.set_contacts(session, writer, job_id=job, revises=contacts.entry.id, people=[])
        with pytest.raises(StoreError, match="not part of this job"):
            services.bring(session, writer, job_id=job, item_id=item, how="packed")
        with pytest.raises(StoreError, match="not part of this job"):
            services.bring(session, writer, job_id=other, item_id=visit, how="packed")
        with pytest.raises(StoreError, match="packed or not needed"):
            services.bring(session, writer, job_id=other, item_id=item, how="lost")


def test_what_is_packed_or_not_needed_is_no_longer_to_bring_and_is_said_once(database: Store) -> None:
    with database.write() as session:
        writer = factories.a_writer(session)
        job = factories.a_job(session)
        shims = services.add_to_bring(session, writer, job_id=job, words="shims")
        wax = services.add_to_bring(session, writer, job_id=job, words="wax")
        services.add_to_bring(session, writer, job_id=job, words="tape")
        services.bring(session, writer, job_id=job, item_id=shims, how="packed")
        services.bring(session, writer, job_id=job, item_id=shims, how="packed")
        services.bring(session, writer, job_id=job, item_id=wax, how="packed")
        services.bring(session, writer, job_id=job, item_id=wax, how="not needed")
        services.add_to_bring(session, writer, job_id=job, words="shims")
    with database.read() as session:
        assert [one.said.words for one in services.still_to_bring(session, job)] == ["tape", "shims"]
        assert [(one.item.words, one.said.how) for one in services.brought(session, job)] == [
            ("wax", "not needed"),
            ("shims", "packed"),
        ]


def test_contacts_are_revised_as_a_whole_and_two_first_ones_do_not_stand_side_by_side(store: Store, job: str) -> None:
    one: services.ContactRow = {"name": "A (invented)", "role": "caretaker", "phone": "0000 1", "note": None}
    with store.write() as session:
        services.set_contacts(session, factories.a_writer(session), job_id=job, revises=None, people=[one])
        first = services.contacts_now(session, job)
    assert first is not None
    writer = entries.Writer(laptop_id=first.entry.chain.partition(":")[0])
    with pytest.raises(Superseded) as late:
        store.transact(lambda session: services.set_contacts(session, writer, job_id=job, revises=None, people=[]))
    assert late.value.newer == (first.entry.id,)
    with store.write() as session:
        services.set_contacts(
            session, factories.a_writer(session), job_id=job, revises=first.entry.id, people=[], note="ring the bell"
        )
    with store.read() as session:
        now = services.contacts_now(session, job)
        assert now is not None
        assert (now.people, now.said.note) == ((), "ring the bell")
