"""Things that are revised rather than changed: jobs, particulars, people. The latest revision stands.

Two revisions of one parent, made on two machines, both stand until a person chooses: a fork.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from sqlalchemy import select

from siteapp.store.entries import standing
from siteapp.store.models import Entry, EntryPhoto

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy.orm import Session

    from siteapp.store.base import Body

B = TypeVar("B", bound="Body")


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
