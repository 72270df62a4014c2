"""What is known of a piece after its handover: dates that come round, visits, its place and keeper. Reads only."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, TypeVar

from sqlalchemy import func, select

from siteapp.aftercare.models import CareDate, Keeper, LaterVisit, Moved
from siteapp.jobs.models import Job
from siteapp.jobs.services import job_now
from siteapp.pieces.models import Particulars, Piece
from siteapp.store.entries import standing
from siteapp.store.models import Entry
from siteapp.store.revisions import versions
from siteapp.trade.months import months_later

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from sqlalchemy.orm import Session

    from siteapp.store.revisions import Version

SOON_DAYS = 30
MOST_NAMED = 10_000
B = TypeVar("B", LaterVisit, Moved, Keeper)


@dataclass(frozen=True)
class CareNow:
    """A care date as it stands. `due_on` is its next day, None when it was done once and does not come round.

    `done_on` is the last day on which a visit answered it.
    """

    version: Version[CareDate]
    due_on: date | None
    done_on: date | None

    @property
    def entry(self) -> Entry:
        """Its entry."""
        return self.version.entry

    @property
    def said(self) -> CareDate:
        """What it says."""
        return self.version.said


@dataclass(frozen=True)
class KeeperNow:
    """Who has a piece now; `entry` is None while it is the client it was made for."""

    name: str
    contact: str | None
    since: str | None
    entry: Entry | None


@dataclass(frozen=True)
class PlaceNow:
    """Where a piece is now. `place` may be said in public, `address` never; `entry` is None where it was hung."""

    place: str
    address: str | None
    since: str | None
    entry: Entry | None


@dataclass(frozen=True)
class Due:
    """A care date of any piece that is due: `days` from the day asked for, below 0 when it is overdue."""

    piece_id: str
    number: str
    title: str
    place: str
    care_id: str
    what: str
    due_on: date
    days: int


def handed_over(session: Session, piece_id: str) -> bool:
    """Whether a piece has been handed over."""
    query = select(Entry.id).where(Entry.piece_id == piece_id, Entry.kind == "handover")
    return session.scalar(query.limit(1)) is not None


def next_due(due_on: str, every_months: int | None, done_on: str | None) -> date | None:
    """When a care date is due next: on its own day, or every so many months after the day it was last done.

    None when it was done and does not come round. Days are ISO 8601.
    """
    if done_on is None:
        return date.fromisoformat(due_on)
    if every_months is None:
        return None
    return months_later(date.fromisoformat(done_on), every_months)


def care_dates(session: Session, piece_id: str) -> list[CareNow]:
    """The care dates of a piece that were not dropped, the next one first; those done for good last."""
    found = [one for one in versions(session, CareDate, piece_id=piece_id) if not one.said.dropped]
    done = _done(session, [one.entry.id for one in found])
    told = []
    for one in found:
        last = done.get(one.entry.id)
        told.append(
            CareNow(
                one, next_due(one.said.due_on, one.said.every_months, last), date.fromisoformat(last) if last else None
            )
        )
    return sorted(told, key=lambda one: (one.due_on is None, one.due_on or date.max, one.said.what))


def cared_numbers(session: Session) -> list[str]:
    """The numbers of the pieces that have a care date."""
    query = select(Piece.number).join(Entry, Entry.piece_id == Piece.piece_id).where(Entry.kind == "care_date")
    return list(session.scalars(query.distinct().order_by(Piece.number)))


def dropped_dates(session: Session, piece_id: str) -> list[Version[CareDate]]:
    """The care dates of a piece that are not wanted any more."""
    return [one for one in versions(session, CareDate, piece_id=piece_id) if one.said.dropped]


def later_visits(session: Session, piece_id: str) -> list[Version[LaterVisit]]:
    """What was done to a piece after its handover, the latest day first."""
    return _by_day(versions(session, LaterVisit, piece_id=piece_id), lambda said: said.done_on)


def moves(session: Session, piece_id: str) -> list[Version[Moved]]:
    """Where a piece was moved to, the latest day first."""
    return _by_day(versions(session, Moved, piece_id=piece_id), lambda said: said.moved_on)


def keepers(session: Session, piece_id: str) -> list[Version[Keeper]]:
    """Who had a piece after its client, the latest first."""
    return _by_day(versions(session, Keeper, piece_id=piece_id), lambda said: said.since)


def keeper_now(session: Session, piece_id: str) -> KeeperNow | None:
    """Who has a piece now: its latest keeper, else the client of its job; None for no such piece."""
    found = keepers(session, piece_id)
    if found:
        said = found[0].said
        return KeeperNow(said.name, said.contact, said.since, found[0].entry)
    job = _job_of(session, piece_id)
    return KeeperNow(job.client, None, None, None) if job else None


def place_now(session: Session, piece_id: str) -> PlaceNow | None:
    """Where a piece is now: where it was last moved to, else the place of its job; None for no such piece."""
    found = moves(session, piece_id)
    if found:
        said = found[0].said
        return PlaceNow(said.place, said.address, said.moved_on, found[0].entry)
    job = _job_of(session, piece_id)
    return PlaceNow(job.place, job.address, None, None) if job else None


def due(session: Session, day: date, within_days: int = SOON_DAYS) -> list[Due]:
    """The care dates of all pieces that are due by `within_days` days after `day`, the longest overdue first.

    In a fixed number of queries, however many pieces there are.
    """
    columns = (
        Entry.piece_id,
        CareDate.entry_id,
        CareDate.what,
        CareDate.due_on,
        CareDate.every_months,
        CareDate.dropped,
    )
    query = select(*columns).join(CareDate, CareDate.entry_id == Entry.id)
    dates = session.execute(query.where(Entry.kind == "care_date", standing())).all()
    done = _done(session, None)
    last = day + timedelta(days=within_days)
    found: list[tuple[str, str, str, date]] = []
    for piece_id, care_id, what, due_on, every_months, dropped in dates:
        on = None if dropped else next_due(due_on, every_months, done.get(care_id))
        if on is not None and on <= last and piece_id:
            found.append((piece_id, care_id, what, on))
    if not found:
        return []
    faces = _faces(session, {piece_id for piece_id, *_rest in found})
    told = [
        Due(piece_id, *faces[piece_id], care_id, what, on, (on - day).days)
        for piece_id, care_id, what, on in found
        if piece_id in faces
    ]
    return sorted(told, key=lambda one: (one.due_on, one.number, one.what))


def _done(session: Session, care_ids: Sequence[str] | None) -> dict[str, str]:
    """The last day on which visits that stand answered these care dates, or any."""
    query = select(LaterVisit.care_date_id, func.max(LaterVisit.done_on)).join(Entry, Entry.id == LaterVisit.entry_id)
    query = query.where(Entry.kind == "aftercare", standing(), LaterVisit.care_date_id.is_not(None))
    if care_ids is not None:
        query = query.where(LaterVisit.care_date_id.in_(tuple(care_ids)))
    return dict(session.execute(query.group_by(LaterVisit.care_date_id)).all())


def _faces(session: Session, piece_ids: Collection[str]) -> dict[str, tuple[str, str, str]]:
    """Number, title and place of these pieces."""
    # More than a statement may name at once: then those of every piece that has a care date.
    every = select(Entry.piece_id).where(Entry.kind == "care_date")
    cared = tuple(piece_ids) if len(piece_ids) <= MOST_NAMED else every
    told = session.execute(
        select(Piece.piece_id, Piece.number, Entry.job_id)
        .join(Entry, Entry.id == Piece.entry_id)
        .where(Piece.piece_id.in_(cared))
    ).all()
    titles = _titles(session, cared)
    moved = _moved_to(session, cared)
    jobs = select(Entry.job_id, Job.place).join(Job, Job.entry_id == Entry.id).where(Entry.kind == "job", standing())
    places = dict(session.execute(jobs.order_by(Entry.recorded_at, Entry.id)).all())
    return {
        piece_id: (number, titles.get(piece_id, ""), moved.get(piece_id) or places.get(job_id, ""))
        for piece_id, number, job_id in told
    }


def _titles(session: Session, cared: Any) -> dict[str, str]:
    query = select(Entry.piece_id, Particulars.title).join(Particulars, Particulars.entry_id == Entry.id)
    query = query.where(Entry.kind == "particulars", standing(), Entry.piece_id.in_(cared))
    return dict(session.execute(query.order_by(Entry.recorded_at, Entry.id)).all())


def _moved_to(session: Session, cared: Any) -> dict[str, str]:
    query = select(Entry.piece_id, Moved.place).join(Moved, Moved.entry_id == Entry.id)
    query = query.where(Entry.kind == "moved", standing(), Entry.piece_id.in_(cared))
    return dict(session.execute(query.order_by(Moved.moved_on, Entry.recorded_at, Entry.id)).all())


def _job_of(session: Session, piece_id: str) -> Job | None:
    job_id = session.scalar(
        select(Entry.job_id).join(Piece, Piece.entry_id == Entry.id).where(Piece.piece_id == piece_id)
    )
    found = job_now(session, job_id) if job_id else None
    return found[1] if found else None


def _by_day(found: list[Version[B]], day: Callable[[B], str]) -> list[Version[B]]:
    # Of one day, what was recorded first happened first; a correction keeps the place of what it corrects.
    return sorted(found, key=lambda one: (day(one.said), one.first.recorded_at, one.entry.id), reverse=True)
