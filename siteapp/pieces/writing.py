"""What most rooms do when they write about a piece: an entry that corrects only the piece's own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.models import Entry
from siteapp.store.revisions import standing_bodies

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.base import Base, Body
    from siteapp.store.entries import PhotoUse, Writer


def append(
    session: Session,
    writer: Writer,
    piece: PieceNow,
    kind: str,
    body: Base,
    *,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Write one entry of a piece; returns its id."""
    entry = entries.append(
        session,
        writer,
        kind=kind,
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[body],
        photos=photos,
        corrects=corrects,
    )
    return entry.id


def take_place(
    session: Session,
    writer: Writer,
    piece: PieceNow,
    kind: str,
    bodies: Sequence[Base],
    *,
    revises: str | None,
    not_of_it: str,
    photos: Sequence[PhotoUse] = (),
) -> str:
    """Write an entry of which one at a time stands for a piece; returns its id. The first body is its kind's.

    `revises` is the entry it takes the place of; where two machines wrote one apart, revising one takes the place of
    both. Raises StoreError with `not_of_it` when `revises` has no such body or is not of this piece, Superseded when
    another one stands afterwards.
    """
    body: type[Any] = type(bodies[0])
    refuse_foreign(session, piece, body, [revises] if revises else [], not_of_it)
    stand = [entry.id for entry, _said in standing_bodies(session, body, piece_id=piece.piece_id)]
    entry = entries.append(
        session,
        writer,
        kind=kind,
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=bodies,
        photos=photos,
        corrects=[revises] if revises and revises not in stand else stand if revises else [],
    )
    # Asked after the entry was written: only from then on does its chain keep other writers out on PostgreSQL.
    found = standing_bodies(session, body, piece_id=piece.piece_id)
    others = tuple(other.id for other, _said in found if other.id != entry.id)
    if others:
        raise Superseded(entry.id, others)
    return entry.id


def refuse_foreign(session: Session, piece: PieceNow, body: type[Body], named: Sequence[str], words: str) -> None:
    """Raise StoreError with `words` when one of the entries named has no such body or is not of this piece."""
    if not named:
        return
    query = select(body.entry_id).join(Entry, Entry.id == body.entry_id)
    known = session.scalars(query.where(Entry.piece_id == piece.piece_id, Entry.id.in_(tuple(named))))
    if not set(known).issuperset(named):
        raise StoreError(words)
