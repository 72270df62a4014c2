"""Pieces found by what was put on them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.finishing.models import Coat
from siteapp.finishing.names import plain
from siteapp.store.entries import standing
from siteapp.store.models import Entry

if TYPE_CHECKING:
    from sqlalchemy.orm import Session


def pieces_with(session: Session, wanted: str) -> set[str]:
    """Ids of the pieces with a standing coat whose product's or batch's words have `wanted` in them, in any case.

    One query. Compared here and not in the database, since SQLite knows upper and lower case of A to Z only.
    """
    words = plain(wanted)
    if not words:
        return set()
    query = select(Entry.piece_id, Coat.product, Coat.batch).join(Coat, Coat.entry_id == Entry.id)
    rows = session.execute(query.where(standing()).distinct())
    return {piece_id for piece_id, product, batch in rows if words in plain(product) or words in plain(batch or "")}
