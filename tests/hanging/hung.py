"""A piece whose loads are met as far as loads can be, through the rooms' own services. All of it is invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.hanging.loads import services
from siteapp.pieces import services as pieces
from siteapp.pieces.weighing.services import record_weighing
from tests import factories
from tests.hanging.walls import find_wall

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

POINTS: tuple[dict[str, Any], ...] = (
    {"label": "A", "x_mm": 150.0, "y_mm": 740.0, "hole_mm": 9.0, "bolt_mm": 8.0, "holds": "bolt"},
    {"label": "B", "x_mm": 600.0, "y_mm": 740.0, "hole_mm": 9.0, "bolt_mm": 8.0, "holds": "bolt"},
    {"label": "C", "x_mm": 1050.0, "y_mm": 740.0, "hole_mm": 9.0, "bolt_mm": 8.0, "holds": "bolt"},
    {"label": "D", "x_mm": 600.0, "y_mm": 100.0, "hole_mm": 9.0, "bolt_mm": 8.0, "holds": "bolt"},
)
CORNERS = ((0.0, 0.0), (1200.0, 0.0), (0.0, 800.0), (1200.0, 800.0))
# 31.4 kg on three scales: x = 600, y = 400 mm; on edge 34 mm out from the wall.
LYING = (
    {"x_mm": 100.0, "y_mm": 100.0, "mass_kg": 7.85},
    {"x_mm": 1100.0, "y_mm": 100.0, "mass_kg": 7.85},
    {"x_mm": 600.0, "y_mm": 700.0, "mass_kg": 15.7},
)
ON_EDGE = ({"z_mm": 0.0, "mass_kg": 20.0}, {"z_mm": 95.0, "mass_kg": 11.4})
LEAN: dict[str, Any] = {
    "lean_n": 200.0,
    "lean_x_mm": 600.0,
    "lean_y_mm": 0.0,
    "lean_why": f"visitors walk past it {factories.MARK}",
    "sudden": 2.0,
    "note": None,
}
ANCHOR: dict[str, Any] = {
    "kind": "masonry solid",
    "pull_n": 9000.0,
    "shear_n": 9000.0,
    "document": f"approval 17/0001 {factories.MARK}, table 5",
    "covered": True,
}


def give_points(session: Session, piece: PieceNow, points: Sequence[dict[str, Any]] = POINTS) -> PieceNow:
    """The piece with these hanging points."""
    rows = [{"note": None, **point} for point in points]
    facts = pieces.facts_now(piece) | {"hanging_points": rows}
    writer = factories.a_writer(session)
    pieces.revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)
    return again(session, piece)


def weigh(
    session: Session, piece: PieceNow, lying: Sequence[Any] = LYING, on_edge: Sequence[Any] = ON_EDGE
) -> PieceNow:
    """The piece once it was put on three scales, and on edge."""
    writer = factories.a_writer(session)
    record_weighing(
        session, writer, piece=piece, revises=piece.revision.id, scales="bench", lying=lying, on_edge=on_edge
    )
    return again(session, piece)


def again(session: Session, piece: PieceNow) -> PieceNow:
    """The piece as it is now."""
    found = pieces.find(session, piece.number)
    assert found is not None
    return found


def ready(session: Session, points: Sequence[dict[str, Any]] = POINTS, **wall: Any) -> PieceNow:
    """A piece with hanging points, weighed, and a wall without a gap; nothing told of its loads."""
    piece = weigh(session, give_points(session, factories.a_piece(session, stands="on points"), points))
    find_wall(session, piece, **{"gap_mm": 0.0, **wall})
    return piece


def tell(
    session: Session,
    piece: PieceNow,
    *,
    pads: Sequence[tuple[float, float]] = CORNERS,
    anchors: Sequence[services.ResistanceFacts] | None = None,
    revises: str | None = None,
    **facts: Any,
) -> str:
    """Tell what the loads rest on; returns the entry's id."""
    rows = anchors if anchors is not None else [anchor(point.label) for point in piece.hanging_points]
    return services.record(
        session,
        factories.a_writer(session),
        piece=piece,
        facts=services.SheetFacts(**{**LEAN, **facts}),
        pads=pads,
        resistances=rows,
        revises=revises,
    )


def anchor(label: str, **facts: Any) -> services.ResistanceFacts:
    """What one anchor may carry."""
    return services.ResistanceFacts(**{"label": label, **ANCHOR, **facts})
