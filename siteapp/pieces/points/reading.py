"""What a piece's hanging points say to others: places, holes, ways of holding, what fails together, a plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.drawing.plan import Plan, PlanPoint
from siteapp.drawing.template import size_words, trimmed
from siteapp.pieces.models import BOLT, HOOK, RAIL, SLOT
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable

    from siteapp.pieces.models import HangingPoint
    from siteapp.pieces.services import PieceNow
    from siteapp.trade.loads.supports import Support
    from siteapp.trade.survey import Hole

# A slot lying this near to level or plumb holds fully across itself; ours. Between, it is counted on neither way.
NEAR_DEG = 5.0
QUARTER, HALF = 90.0, 180.0


def places(piece: PieceNow) -> dict[str, tuple[float, float]]:
    """Where each hanging point is, by label: x and y in mm from the lower left corner as seen from the front."""
    return {point.label: (point.x_mm, point.y_mm) for point in piece.hanging_points}


def holes(piece: PieceNow) -> tuple[Hole, ...]:
    """The points whose hole and bolt are known, in order, as `trade.survey` takes them. Others are left out."""
    from siteapp.trade.survey import Hole

    return tuple(
        Hole(
            point.label,
            point.x_mm,
            point.y_mm,
            point.bolt_mm,
            point.hole_mm,
            point.slot_mm or 0.0,
            point.slot_deg or 0.0,
            point.edge_mm,
        )
        for point in piece.hanging_points
        if point.bolt_mm is not None and point.hole_mm is not None
    )


def supports(piece: PieceNow) -> tuple[Support, ...]:
    """The points whose way of holding is told, in order, as `trade.loads` takes them.

    Those of `unsaid` are left out: with any of them, loads cannot tell. A bolt in a hole holds all ways. A slot does
    not hold along itself; lying askew by more than 5° from level and plumb it is counted on neither way. A hook holds
    up, to the sides and against coming away, not down. A bevelled rail holds up and against coming away only.
    """
    from siteapp.trade.loads.supports import Support

    return tuple(
        Support(point.label, point.x_mm, point.y_mm, **_ways(point)) for point in piece.hanging_points if point.holds
    )


def unsaid(piece: PieceNow) -> tuple[str, ...]:
    """The labels of points of which nobody has said how they hold."""
    return tuple(point.label for point in piece.hanging_points if not point.holds)


def groups(piece: PieceNow) -> dict[str, tuple[str, ...]]:
    """What several points hang on and would fail with, by name: the labels of its points, in order."""
    found: dict[str, tuple[str, ...]] = {}
    for point in piece.hanging_points:
        if point.fails_with:
            found[point.fails_with] = (*found.get(point.fails_with, ()), point.label)
    return found


def plan_points(points: Iterable[HangingPoint]) -> tuple[PlanPoint, ...]:
    """Points as they are drawn."""
    words = {HOOK: _("hook"), RAIL: _("rail")}
    return tuple(
        PlanPoint(
            point.label,
            point.x_mm,
            point.y_mm,
            point.hole_mm,
            point.slot_mm or 0.0,
            point.slot_deg or 0.0,
            words.get(point.holds or "", ""),
        )
        for point in points
    )


def plan_of(piece: PieceNow, points: Iterable[HangingPoint] | None = None) -> Plan:
    """The piece's outline with its points, or with `points`, as seen from the front.

    `dataclasses.replace` puts more into it: balance point, pads, arrows.
    """
    said = piece.particulars
    return Plan(
        said.width_mm,
        said.height_mm,
        points=plan_points(piece.hanging_points if points is None else points),
        seen=_("seen from the front"),
        centre_words=_("balance"),
        level_words=_("level"),
    )


def said_of(plan: Plan) -> str:
    """What a plan shows, in one sentence a point, for those who do not see it."""
    told = [
        _(
            "%(label)s: %(x)s mm to the right, %(y)s mm up, %(size)s.",
            label=point.label,
            x=trimmed(point.x_mm),
            y=trimmed(point.y_mm),
            size=size_words(point, _),
        )
        for point in plan.points
    ]
    return " ".join([f"{plan.seen}.", *told])


def _ways(point: HangingPoint) -> dict[str, bool]:
    # A hole that was drawn out later, to ease it, is a slot whatever it was made as.
    if point.holds == SLOT or (point.holds == BOLT and point.slot_mm):
        off_level = abs((point.slot_deg or 0.0) % HALF)
        off_level = min(off_level, HALF - off_level)
        along_x, along_y = off_level <= NEAR_DEG, off_level >= QUARTER - NEAR_DEG
        return {"across": along_y, "up": along_x, "down": along_x, "pull": True}
    return {
        BOLT: {"across": True, "up": True, "down": True, "pull": True},
        HOOK: {"across": True, "up": True, "down": False, "pull": True},
        RAIL: {"across": False, "up": True, "down": False, "pull": True},
    }[point.holds or BOLT]
