"""Holes as somebody would measure them; everything is invented."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, cast

from siteapp.hanging.holes import services
from siteapp.pieces import services as pieces
from siteapp.trade.survey import TapeReading, suggest_readings
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

# Seen from the front; none of them is another's mirror image.
POINTS = {"A": (150.0, 740.0), "B": (1050.0, 720.0), "C": (980.0, 90.0), "D": (180.0, 60.0)}
FACTS: dict[str, Any] = {
    "unit": "mm",
    "caller": "C. Caller (invented)",
    "tape": None,
    "laser": None,
    "from_form": None,
    "mirrored": False,
    "note": None,
}

Places = dict[str, tuple[float, float]]


def a_piece(session: Session, points: Places = POINTS, **overrides: Any) -> PieceNow:
    """A piece with a hole of 16 mm for a bolt of 10 mm at each of `points`; `overrides` are fields of each point."""
    made = factories.a_piece(session)
    rows = [
        {
            "label": label,
            "x_mm": x,
            "y_mm": y,
            "hole_mm": 16.0,
            "bolt_mm": 10.0,
            "holds": "bolt",
            "edge_mm": 30.0,
            "note": None,
        }
        | overrides
        for label, (x, y) in points.items()
    ]
    facts = pieces.facts_now(made) | {"hanging_points": rows}
    writer = factories.a_writer(session)
    pieces.revise_particulars(session, writer, piece=made, revises=made.revision.id, facts=cast("Any", facts))
    found = pieces.find(session, made.number)
    assert found is not None
    return found


def called(wall: Places = POINTS, planned: Places = POINTS) -> list[services.ReadFacts]:
    """Everything that is asked for, read without error on a wall whose holes are at `wall`."""
    return [one_called(asked, wall) for asked in suggest_readings(planned)]


def one_called(asked: object, wall: Places) -> services.ReadFacts:
    if isinstance(asked, TapeReading):
        mm = math.dist(wall[asked.a], wall[asked.b])
        held = 100.0 if asked.from_100 else None
        return services.ReadFacts(asked.a, asked.b, mm, f"{mm + (held or 0):.1f}", held)
    label = cast("Any", asked).label
    return services.ReadFacts(label, None, wall[label][1] - 300, f"{wall[label][1] - 300:.1f}")


def record(session: Session, piece: PieceNow, read: list[services.ReadFacts] | None = None, **overrides: Any) -> str:
    """Record a round; `overrides` are facts of it, and `corrects`."""
    corrects = overrides.pop("corrects", ())
    facts = cast("services.RoundFacts", FACTS | overrides)
    writer = factories.a_writer(session)
    return services.record(
        session, writer, piece=piece, facts=facts, read=called() if read is None else read, corrects=corrects
    )
