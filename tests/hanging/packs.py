"""A piece whose whole form came back and is met, recorded through each room's own service. Invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.hanging.holes import services as holes
from siteapp.hanging.pack import services
from siteapp.pieces.points.reading import places
from siteapp.pieces.services import facts_now, find, revise_particulars
from siteapp.store.entries import PhotoUse
from siteapp.trade.survey import TapeReading, suggest_readings
from tests import factories
from tests.hanging.anchors import support as anchors
from tests.hanging.walls import find_wall

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

POINTS = {"A": (150.0, 740.0), "B": (1050.0, 740.0), "C": (180.0, 90.0), "D": (1020.0, 90.0)}


def a_piece_on_four_points(session: Session, **point: Any) -> PieceNow:
    """A piece on four bolts of 8 mm in holes of 12 mm, unless `point` says otherwise of each."""
    piece = factories.a_piece(session, who_to_ask=f"the workshop, 00 0000 000 {factories.MARK}")
    before = facts_now(piece)
    row = before["hanging_points"][0] | {"hole_mm": 12.0, "bolt_mm": 8.0, "holds": "bolt"} | point
    rows = [row | {"label": label, "x_mm": x, "y_mm": y} for label, (x, y) in POINTS.items()]
    writer = factories.a_writer(session)
    facts = before | {"hanging_points": rows}
    revise_particulars(session, writer, piece=piece, revises=piece.revision.id, facts=facts)  # type: ignore[arg-type]
    return again(session, piece)


def again(session: Session, piece: PieceNow) -> PieceNow:
    """The piece as its particulars are now."""
    found = find(session, piece.number)
    assert found is not None
    return found


def measure_holes(session: Session, piece: PieceNow) -> str:
    """Every reading that is suggested, as the drawing has it."""
    read = [
        holes.ReadFacts(one.a, one.b, one.distance_mm, f"{one.distance_mm:.0f}")
        if isinstance(one, TapeReading)
        else holes.ReadFacts(one.holes[0], None, one.observed_mm, f"{one.observed_mm:.0f}")
        for one in suggest_readings(places(piece))
    ]
    facts: Any = dict.fromkeys(holes.RoundFacts.__annotations__) | {"unit": "mm", "caller": "B", "mirrored": False}
    return holes.record(session, factories.a_writer(session), piece=piece, facts=facts, read=read)


def bring_back(
    session: Session, piece: PieceNow, template_id: str, *, revises: str | None = None, photo: bool = True, **facts: Any
) -> str:
    """The form that came back; returns the entry's id."""
    said: Any = {"filled_by": f"B. Builder {factories.MARK}", "filled_on": "2026-11-20", "note": None}
    photos = [PhotoUse(factories.a_photo_row(session), services.FORM_SLOT)] if photo else []
    return services.record(
        session,
        factories.a_writer(session),
        piece=piece,
        facts=said | {"template_id": template_id} | facts,
        photos=photos,
        revises=revises,
    )


def everything_back(session: Session) -> tuple[PieceNow, str]:
    """A piece with template, wall, anchors and holes that are met, and the form; with the template's entry id."""
    piece = a_piece_on_four_points(session)
    template_id = anchors.template(session, piece, wall_asked="solid masonry")
    find_wall(session, piece)
    for label in POINTS:
        anchors.set_anchor(session, piece, label)
    measure_holes(session, piece)
    bring_back(session, piece, template_id)
    return piece, template_id
