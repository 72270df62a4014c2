"""What a fixing template shows, whether on sheets of paper or as a DXF: full size, as seen from the front."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from siteapp.drawing.plan import PlanPoint

    Say = Callable[[str], str]

# A tape between every two of six points is fifteen readings; beyond that, only from each to those nearest and furthest.
ALL_PAIRS = 6
# Two words for one place are one place: within this a point lies on the level line.
ON_LINE_MM = 0.05


@dataclass(frozen=True)
class Template:
    """The piece's outline and its points, in mm, x to the right and y up **as seen from the front**.

    The datum is the outline's lower left corner, (0, 0), with the level line `level_mm` above it. `heading` names the
    piece (number and title).
    """

    heading: str
    width_mm: float
    height_mm: float
    points: tuple[PlanPoint, ...]
    level_mm: float


def usual_level_mm(points: Iterable[PlanPoint]) -> float:
    """The height of the level line when nobody has chosen one: through the highest point, 0 without points."""
    return max((point.y_mm for point in points), default=0.0)


def tape_distances(points: Iterable[PlanPoint]) -> list[tuple[str, str, float]]:
    """List which points to lay a tape between after drilling, and the distance in mm from middle to middle.

    Of up to six points every pair; of more, each point with its nearest and its furthest.
    """
    there = list(points)
    pairs = [*combinations(range(len(there)), 2)]
    apart = {
        (one, other): math.dist((there[one].x_mm, there[one].y_mm), (there[other].x_mm, there[other].y_mm))
        for one, other in pairs
    }
    if len(there) > ALL_PAIRS:
        wanted = set()
        for place in range(len(there)):
            own = [pair for pair in pairs if place in pair]
            wanted |= {min(own, key=apart.__getitem__), max(own, key=apart.__getitem__)}
        pairs = [pair for pair in pairs if pair in wanted]
    return [(there[one].label, there[other].label, apart[one, other]) for one, other in pairs]


def size_words(point: PlanPoint, say: Say) -> str:
    """Say what the point is: a hole with its diameter, a slot with its width, length and way, or not known."""
    if point.hole_mm is None:
        return say("size not given")
    if point.slot_mm > 0:
        return say("slot %(across)s × %(along)s mm, lying at %(turn)s°") % {
            "across": trimmed(point.hole_mm),
            "along": trimmed(point.hole_mm + point.slot_mm),
            "turn": trimmed(point.slot_deg),
        }
    return say("hole %s mm") % trimmed(point.hole_mm)


def trimmed(value: float) -> str:
    """Write a length to a tenth of a millimetre, without an idle zero, with a true minus sign."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text.replace("-", "−")
