"""One entry of a piece with one body: what most rooms write."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.store import entries

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.base import Base
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
