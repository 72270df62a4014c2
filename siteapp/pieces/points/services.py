"""Hanging points: kept with the particulars, as seen from the front. The only code that writes them by themselves."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.pieces import services as pieces
from siteapp.pieces.points.forms import turned

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


def revise_points(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    revises: str,
    measured_from: str,
    rows: list[dict[str, Any]],
) -> None:
    """Say where the hanging points are, as a revision of the particulars; everything else stays as it is.

    `rows` hold the fields of `HangingPoint`, x as seen from the side named by `measured_from` (`front`, `back`); they
    are kept as seen from the front. Raises Superseded when `revises` is not the latest revision, StoreError when it is
    none of this piece's.
    """
    facts = pieces.facts_now(piece)
    facts["fields"]["points_from"] = measured_from
    facts["hanging_points"] = turned(rows, measured_from, piece.particulars.width_mm)
    pieces.revise_particulars(session, writer, piece=piece, revises=revises, facts=facts)
