"""Things that are revised rather than changed: jobs, particulars, people. The latest revision stands.

Two revisions of one parent, made on two machines, both stand until a person chooses: a fork.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Generic, TypeVar

from sqlalchemy import select

from siteapp.store.entries import standing
from siteapp.store.models import Entry, EntryCorrects, EntryPhoto

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.store.base import Body

# A device's word for when is believed up to a day late (a phone that waited to send) and ten minutes early (clocks).
LATE = timedelta(days=1)
EARLY = timedelta(minutes=10)

B = TypeVar("B", bound="Body")


@dataclass(frozen=True)
class Version(Generic[B]):
    """An entry that stands, what it says, its photos in order, and what it took the place of, latest first."""

    entry: Entry
    said: B
    photos: tuple[EntryPhoto, ...]
    earlier: tuple[tuple[Entry, B], ...]

    @property
    def replaced(self) -> tuple[Entry, ...]:
        """The entries of the earlier versions."""
        return tuple(entry for entry, _said in self.earlier)

    @property
    def first(self) -> Entry:
        """What its corrections began with; itself when it corrects nothing."""
        return self.replaced[-1] if self.earlier else self.entry

    @property
    def at(self) -> datetime:
        """When it happened, UTC. A correction says what was so then: it makes nothing younger."""
        return believed(self.first.at, self.first.recorded_at)

    def slot(self, slot: str) -> list[str]:
        """The photos of one slot, by SHA-256, in order."""
        return [photo.sha256 for photo in self.photos if photo.slot == slot]


def standing_bodies(
    session: Session,
    body: type[B],
    *,
    job_id: str | None = None,
    piece_id: str | None = None,
) -> list[tuple[Entry, B]]:
    """Bodies of one kind that nothing corrects, oldest first, with their entries; of one job or piece if named."""
    query = select(Entry, body).join(body, body.entry_id == Entry.id).where(standing())
    if job_id is not None:
        query = query.where(Entry.job_id == job_id)
    if piece_id is not None:
        query = query.where(Entry.piece_id == piece_id)
    return [(entry, said) for entry, said in session.execute(query.order_by(Entry.recorded_at, Entry.id))]


def all_bodies(session: Session, body: type[B], *, piece_id: str) -> list[tuple[Entry, B]]:
    """Every body of one kind of a piece, corrected ones too, oldest first."""
    query = select(Entry, body).join(body, body.entry_id == Entry.id).where(Entry.piece_id == piece_id)
    return [(entry, said) for entry, said in session.execute(query.order_by(Entry.recorded_at, Entry.id))]


def photos_of(session: Session, entry_ids: Iterable[str]) -> dict[str, list[EntryPhoto]]:
    """The photos of some entries, in order, by entry."""
    found: dict[str, list[EntryPhoto]] = {}
    query = select(EntryPhoto).where(EntryPhoto.entry_id.in_(tuple(entry_ids)))
    for photo in session.scalars(query.order_by(EntryPhoto.entry_id, EntryPhoto.position)):
        found.setdefault(photo.entry_id, []).append(photo)
    return found


def believed(told: datetime | None, recorded: datetime) -> datetime:
    """The device's word for when, if it is near enough to when the laptop recorded it, else that."""
    if told is None or not recorded - LATE <= told <= recorded + EARLY:
        return recorded
    return told


def versions(session: Session, body: type[B], *, piece_id: str) -> list[Version[B]]:
    """The bodies of one kind of a piece that stand, the latest first, each with its photos and what it corrected."""
    everything = {entry.id: (entry, said) for entry, said in all_bodies(session, body, piece_id=piece_id)}
    query = select(EntryCorrects).where(EntryCorrects.entry_id.in_(tuple(everything)))
    corrected: dict[str, list[str]] = {}
    for link in session.scalars(query):
        corrected.setdefault(link.entry_id, []).append(link.corrects_id)
    photos = photos_of(session, everything)
    gone = {other for others in corrected.values() for other in others}
    stand = [
        Version(entry, said, tuple(photos.get(entry.id, ())), _earlier(entry.id, everything, corrected))
        for entry, said in everything.values()
        if entry.id not in gone
    ]
    return sorted(stand, key=lambda one: (one.first.recorded_at, one.entry.recorded_at, one.entry.id), reverse=True)


def _earlier(
    entry_id: str, everything: Mapping[str, tuple[Entry, B]], corrected: Mapping[str, list[str]]
) -> tuple[tuple[Entry, B], ...]:
    """What led to an entry by correction, latest first."""
    found: dict[str, tuple[Entry, B]] = {}
    waiting = list(corrected.get(entry_id, ()))
    while waiting:
        other = waiting.pop()
        if other in everything and other not in found:
            found[other] = everything[other]
            waiting.extend(corrected.get(other, ()))
    return tuple(sorted(found.values(), key=lambda one: (one[0].recorded_at, one[0].id), reverse=True))
