"""What most rooms do when they write about a piece: one entry with one body, correcting only the piece's own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.models import Entry

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


def refuse_foreign(session: Session, piece: PieceNow, body: type[Body], named: Sequence[str], words: str) -> None:
    """Raise StoreError with `words` when one of the entries named has no such body or is not of this piece."""
    if not named:
        return
    query = select(body.entry_id).join(Entry, Entry.id == body.entry_id)
    known = session.scalars(query.where(Entry.piece_id == piece.piece_id, Entry.id.in_(tuple(named))))
    if not set(known).issuperset(named):
        raise StoreError(words)
