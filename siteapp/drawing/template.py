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
HALF_TURN = 180.0
ROOM_MM = 10.0  # about what is drawn, so that no line falls on a sheet's edge


@dataclass(frozen=True)
class Template:
    """The piece's outline and its points, in mm, x to the right and y up **as seen from the front**.

    All places are from the outline's lower left corner, (0, 0). Without a width or a height there is no outline.
    `heading` names the piece (number and title). `datum` is the point that positions are given from, wherever it lies
    (the corner itself while nobody has chosen one), `datum_words` where it is found; `level_mm` the height of the level
    line.
    """

    heading: str
    width_mm: float | None
    height_mm: float | None
    points: tuple[PlanPoint, ...]
    level_mm: float
    datum: tuple[float, float] = (0.0, 0.0)
    datum_words: str = ""

    def from_datum(self, point: PlanPoint) -> tuple[float, float]:
        """A point's x and y from the datum."""
        return point.x_mm - self.datum[0], point.y_mm - self.datum[1]

    @property
    def field(self) -> tuple[float, float, float, float]:
        """What sheets of paper must show: left, bottom, right, top. Outline and points, each with room around it.

        Raises ValueError when there is neither.
        """
        places = [(point.x_mm, point.y_mm) for point in self.points]
        if self.width_mm and self.height_mm:
            places += [(0.0, 0.0), (self.width_mm, self.height_mm)]
        if not places:
            message = "a template needs points, or an outline"
            raise ValueError(message)
        xs, ys = [x for x, _y in places], [y for _x, y in places]
        return min(xs) - ROOM_MM, min(ys) - ROOM_MM, max(xs) + ROOM_MM, max(ys) + ROOM_MM


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
        size = {"across": trimmed(point.hole_mm), "along": trimmed(point.hole_mm + point.slot_mm)}
        turn = point.slot_deg % HALF_TURN
        if turn == 0:
            return say("slot %(across)s × %(along)s mm, level") % size
        if turn == HALF_TURN / 2:
            return say("slot %(across)s × %(along)s mm, upright") % size
        return say("slot %(across)s × %(along)s mm, turned %(turn)s° up from level") % {
            **size,
            "turn": trimmed(turn if turn < HALF_TURN / 2 else turn - HALF_TURN),
        }
    return say("hole %s mm") % trimmed(point.hole_mm)


def trimmed(value: float) -> str:
    """Write a length to a tenth of a millimetre, without an idle zero, with a true minus sign."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text.replace("-", "−")
