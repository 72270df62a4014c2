"""What a plan of a piece is made of: its outline, points, pads, arrows and lines, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, replace

MADE, FOUND, GONE = "made", "found", "gone"


@dataclass(frozen=True)
class PlanPoint:
    """A hole or slot about (`x_mm`, `y_mm`).

    `hole_mm` is its width, None where it is not known; `slot_mm` how far the hole is drawn out to a slot, 0 for a round
    one, and `slot_deg` the way, from x towards y: a slot 12 × 40 mm is 12 drawn out by 28. `note` stands under the
    label. `kind`: MADE is drawn in full, FOUND (as drilled, as measured) as a cross in a dashed ring, GONE (taken away)
    as a dashed ring alone.
    """

    label: str
    x_mm: float
    y_mm: float
    hole_mm: float | None = None
    slot_mm: float = 0.0
    slot_deg: float = 0.0
    note: str = ""
    kind: str = MADE


@dataclass(frozen=True)
class PlanPad:
    """Where the piece bears on the wall."""

    x_mm: float
    y_mm: float
    label: str = ""


@dataclass(frozen=True)
class PlanArrow:
    """An arrow from (`x_mm`, `y_mm`) to a tip `dx_mm`, `dy_mm` further, in mm of the drawing like everything else.

    What its length stands for is the caller's affair; it may reach beyond the outline.
    """

    x_mm: float
    y_mm: float
    dx_mm: float
    dy_mm: float
    label: str = ""


@dataclass(frozen=True)
class PlanLine:
    """A line between two places: a rail, a batten, a tape; `hidden` ones are dashed."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    label: str = ""
    hidden: bool = False


@dataclass(frozen=True)
class Plan:
    """What is drawn: x to the right and y up from the lower left corner of the outline, in mm.

    Without a width or a height there is no outline and no size. `level_mm` is the height of the level line. The
    words are the page's own: `seen` says from where the piece is looked at.
    """

    width_mm: float | None
    height_mm: float | None
    points: tuple[PlanPoint, ...] = ()
    pads: tuple[PlanPad, ...] = ()
    centre: tuple[float, float] | None = None
    level_mm: float | None = None
    arrows: tuple[PlanArrow, ...] = ()
    lines: tuple[PlanLine, ...] = ()
    seen: str = "seen from the front"
    centre_words: str = "balance"
    level_words: str = "level"


def from_the_back(plan: Plan, *, seen: str) -> Plan:
    """Give the same piece as it looks from behind: left and right changed over. Raises ValueError without a width."""
    if plan.width_mm is None:
        message = "a plan without a width cannot be turned round"
        raise ValueError(message)
    wide = plan.width_mm
    return replace(
        plan,
        points=tuple(replace(one, x_mm=wide - one.x_mm, slot_deg=-one.slot_deg) for one in plan.points),
        pads=tuple(replace(one, x_mm=wide - one.x_mm) for one in plan.pads),
        centre=(wide - plan.centre[0], plan.centre[1]) if plan.centre else None,
        arrows=tuple(replace(one, x_mm=wide - one.x_mm, dx_mm=-one.dx_mm) for one in plan.arrows),
        lines=tuple(replace(one, x1_mm=wide - one.x1_mm, x2_mm=wide - one.x2_mm) for one in plan.lines),
        seen=seen,
    )
