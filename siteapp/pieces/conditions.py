"""What must hold before a piece is used as it is meant to be. Rooms further up tell it; labels and pages say it.

A room that knows of such a condition gives a function here when it is imported, since this room imports none of them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

    Teller = Callable[[Session, PieceNow], str | None]

_tellers: list[Teller] = []


def told_by(teller: Teller) -> Teller:
    """Have a function asked for a condition of each piece; it gives one short line, None when there is none now."""
    _tellers.append(teller)
    return teller


def conditions(session: Session, piece: PieceNow) -> tuple[str, ...]:
    """The conditions that hold for a piece now, one short line each."""
    told = (teller(session, piece) for teller in _tellers)
    return tuple(words for words in told if words)
