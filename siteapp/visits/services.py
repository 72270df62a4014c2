"""Visits, site contacts and what is still to bring: recorded, revised, read. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypedDict, TypeVar

from sqlalchemy import exists, select

from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.models import Entry
from siteapp.store.revisions import standing_bodies
from siteapp.visits.models import (
    NOT_NEEDED,
    PACKED,
    Brought,
    SiteContact,
    SiteContacts,
    ToBring,
    Visit,
    VisitPerson,
)
from siteapp.web.forms import UUID_TEXT
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from sqlalchemy.orm import Session

    from siteapp.store.base import Body
    from siteapp.store.entries import Writer

HOW = (PACKED, NOT_NEEDED)
B = TypeVar("B", bound="Body")


class VisitFacts(TypedDict):
    """A visit: `day` ISO 8601, times `HH:MM` on the site's clock or None."""

    day: str
    from_time: str | None
    until_time: str | None
    purpose: str | None
    note: str | None


class NamedPerson(TypedDict):
    """Somebody who comes: `person_id` when they are one of the crew."""

    name: str
    person_id: str | None
    role: str | None


class ContactRow(TypedDict):
    """Somebody at the site."""

    name: str
    role: str | None
    phone: str | None
    note: str | None


@dataclass(frozen=True)
class VisitNow:
    """A visit as its latest revision has it."""

    entry: Entry
    said: Visit
    people: tuple[VisitPerson, ...]


@dataclass(frozen=True)
class BringNow:
    """Something that is still to be brought."""

    entry: Entry
    said: ToBring


@dataclass(frozen=True)
class BroughtNow:
    """Something that is in the van or not needed after all: the latest word on it."""

    entry: Entry
    said: Brought
    item: ToBring


@dataclass(frozen=True)
class ContactsNow:
    """Whom to ask at the site, as last revised."""

    entry: Entry
    said: SiteContacts
    people: tuple[SiteContact, ...]


def plan_visit(
    session: Session, writer: Writer, *, job_id: str, facts: VisitFacts, people: Sequence[NamedPerson] = ()
) -> str:
    """Note a visit, planned or past; returns its id, which stays the same through its revisions."""
    visit_id = writer.new_id("visit")
    _write_visit(session, writer, job_id, visit_id, facts, people, corrects=())
    return visit_id


def revise_visit(
    session: Session,
    writer: Writer,
    *,
    job_id: str,
    revises: str,
    facts: VisitFacts,
    people: Sequence[NamedPerson] = (),
) -> str:
    """Say something else about a visit; returns its id.

    Raises StoreError when `revises` is no visit of this job, Superseded when it is not its latest revision.
    """
    before = _of_job(session, Visit, job_id, revises)
    _write_visit(session, writer, job_id, before.visit_id, facts, people, corrects=[revises])
    return before.visit_id


def visits(session: Session, job_id: str) -> list[VisitNow]:
    """The visits of a job as they stand, by day and time."""
    found = standing_bodies(session, Visit, job_id=job_id)
    people = _rows(session, VisitPerson, [entry.id for entry, _said in found])
    told = [VisitNow(entry, said, tuple(people.get(entry.id, ()))) for entry, said in found]
    return sorted(told, key=lambda one: (one.said.day, one.said.from_time or "", one.entry.recorded_at, one.entry.id))


def jobs_visited_on(session: Session, day: date) -> set[str]:
    """Ids of the jobs that somebody is at on this day."""
    query = select(Entry.job_id).join(Visit, Visit.entry_id == Entry.id)
    query = query.where(Visit.day == day.isoformat(), entries.standing(), Entry.job_id.is_not(None))
    return {job_id for job_id in session.scalars(query) if job_id}


def set_contacts(
    session: Session,
    writer: Writer,
    *,
    job_id: str,
    revises: str | None,
    people: Sequence[ContactRow],
    note: str | None = None,
) -> None:
    """Say whom to ask at the site from now on.

    Raises StoreError when `revises` are not this job's, Superseded when somebody else wrote them meanwhile.
    """
    if revises is not None:
        _of_job(session, SiteContacts, job_id, revises)
    rows = [SiteContact(position=number, **row) for number, row in enumerate(people)]
    entry = entries.append(
        session,
        writer,
        kind="site_contacts",
        job_id=job_id,
        bodies=[SiteContacts(note=note), *rows],
        corrects=[revises] if revises else [],
    )
    # After the entry, which holds the chain: two people who both wrote the first ones would make a fork of them.
    others = [other.id for other, _said in standing_bodies(session, SiteContacts, job_id=job_id) if other != entry]
    if others and revises is None:
        raise Superseded(others[0], tuple(others))


def contacts_now(session: Session, job_id: str) -> ContactsNow | None:
    """Whom to ask at the site; None when nobody said yet."""
    found = standing_bodies(session, SiteContacts, job_id=job_id)
    if not found:
        return None
    entry, said = found[-1]
    return ContactsNow(entry, said, tuple(_rows(session, SiteContact, [entry.id]).get(entry.id, ())))


def add_to_bring(session: Session, writer: Writer, *, job_id: str, words: str, note: str | None = None) -> str:
    """Note one thing that is still to be brought; returns its id."""
    body = ToBring(words=words, note=note)
    return entries.append(session, writer, kind="to_bring", job_id=job_id, bodies=[body]).id


def bring(session: Session, writer: Writer, *, job_id: str, item_id: str, how: str, note: str | None = None) -> None:
    """Say that a thing is in the van, or not needed after all; the same word again changes nothing.

    Raises StoreError when it is not a thing of this job or `how` is not one of the two words.
    """
    if how not in HOW:
        raise StoreError(_("“%(how)s” is not an answer here. Choose packed or not needed.", how=how[:40]))
    _of_job(session, ToBring, job_id, item_id)
    if session.scalar(select(Brought.how).where(Brought.item_id == item_id, Brought.how == how)) is not None:
        return
    body = Brought(item_id=item_id, how=how, note=note)
    entries.append(session, writer, kind="brought", job_id=job_id, bodies=[body])


def still_to_bring(session: Session, job_id: str) -> list[BringNow]:
    """What is neither packed nor said to be not needed, in the order in which it was noted."""
    query = select(Entry, ToBring).join(ToBring, ToBring.entry_id == Entry.id)
    query = query.where(Entry.job_id == job_id, entries.standing(), ~exists().where(Brought.item_id == Entry.id))
    return [BringNow(entry, said) for entry, said in session.execute(query.order_by(Entry.recorded_at, Entry.id))]


def brought(session: Session, job_id: str) -> list[BroughtNow]:
    """What is packed or not needed, the latest first; of a thing about which both were said, the later."""
    query = select(Entry, Brought, ToBring).join(Brought, Brought.entry_id == Entry.id)
    query = query.join(ToBring, ToBring.entry_id == Brought.item_id).where(Entry.job_id == job_id)
    latest: dict[str, BroughtNow] = {}
    for entry, said, item in session.execute(query.order_by(Entry.recorded_at.desc(), Entry.id.desc())):
        latest.setdefault(said.item_id, BroughtNow(entry, said, item))
    return list(latest.values())


def _write_visit(
    session: Session,
    writer: Writer,
    job_id: str,
    visit_id: str,
    facts: VisitFacts,
    people: Sequence[NamedPerson],
    *,
    corrects: Sequence[str],
) -> None:
    rows = [VisitPerson(position=number, **person) for number, person in enumerate(people)]
    bodies = [Visit(visit_id=visit_id, **facts), *rows]
    entries.append(session, writer, kind="visit", job_id=job_id, bodies=bodies, corrects=corrects)


def _of_job(session: Session, model: type[B], job_id: str, entry_id: str) -> B:
    """What an entry of this job says. Raises StoreError for an entry of another job, or of another kind."""
    is_id = UUID_TEXT.fullmatch(entry_id)
    entry, said = (session.get(Entry, entry_id), session.get(model, entry_id)) if is_id else (None, None)
    if entry is None or said is None or entry.job_id != job_id:
        raise StoreError(_("This is not part of this job. Open the page again."))
    return said


def _rows(session: Session, model: Any, entry_ids: Iterable[str]) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    query = select(model).where(model.entry_id.in_(tuple(entry_ids)))
    for row in session.scalars(query.order_by(model.entry_id, model.position)):
        found.setdefault(row.entry_id, []).append(row)
    return found
