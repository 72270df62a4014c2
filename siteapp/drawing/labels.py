"""Where labels go: beside their points, clear of each other and of what is drawn, as far as there is room."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

# Tried in this order: to the upper right, where a drawing's labels usually stand, then round.
WAYS = ((1, 1), (1, -1), (-1, 1), (-1, -1), (0, 1), (0, -1), (1, 0), (-1, 0))
RINGS, CROWD = 5, 60  # with more labels than this they are only tried close by, and once
ROUNDS = 8  # at most, while labels cover one another
OUTSIDE = 20.0  # what a label beyond the edge costs beside one over something drawn
FURTHER = 0.05  # of a label's own area, for each ring further out
PIECES = 24  # a line is kept clear of in so many pieces at most


@dataclass(frozen=True)
class Box:
    """An upright rectangle."""

    left: float
    bottom: float
    right: float
    top: float

    def shared(self, other: Box) -> float:
        """Tell the area that both cover."""
        across = min(self.right, other.right) - max(self.left, other.left)
        up = min(self.top, other.top) - max(self.bottom, other.bottom)
        return across * up if across > 0 and up > 0 else 0.0

    @property
    def area(self) -> float:
        """Its area."""
        return (self.right - self.left) * (self.top - self.bottom)


@dataclass(frozen=True)
class Wanted:
    """A label to place: its point, the radius to keep clear about it, and the label's own width and height.

    `also` are further points that it may stand beside instead, as a line's name stands anywhere along the line.
    """

    x: float
    y: float
    clear: float
    width: float
    height: float
    also: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Placed:
    """Where a label came to stand, beside which point, and whether it is so far off that a line should lead there."""

    box: Box
    point: tuple[float, float]
    away: bool


def around(x: float, y: float, radius: float) -> Box:
    """Give the square about a place."""
    return Box(x - radius, y - radius, x + radius, y + radius)


def along(x1: float, y1: float, x2: float, y2: float, half_width: float) -> list[Box]:
    """Give boxes that cover a line between two places; one for a level or plumb line, several for a sloping one."""
    level = math.isclose(x1, x2) or math.isclose(y1, y2)
    count = 1 if level else max(1, min(PIECES, math.ceil(math.hypot(x2 - x1, y2 - y1) / (4 * half_width))))
    places = [(x1 + (x2 - x1) * step / count, y1 + (y2 - y1) * step / count) for step in range(count + 1)]
    return [
        Box(min(ax, bx) - half_width, min(ay, by) - half_width, max(ax, bx) + half_width, max(ay, by) + half_width)
        for (ax, ay), (bx, by) in pairwise(places)
    ]


def place(wanted: Sequence[Wanted], taken: Iterable[Box], within: Box, gap: float) -> list[Placed]:
    """Place labels one after another, each where it covers least of what is there already and stays `within`.

    A label that comes to cover another has its turn first the next time round; the round in which they cover least
    counts. Whatever is `taken` is only avoided: with no free way left, labels overlap. Same input, same places.
    """
    taken = [*taken]
    rings, rounds = (RINGS, ROUNDS) if len(wanted) <= CROWD else (1, 1)
    turns = list(range(len(wanted)))
    best: dict[int, Placed] = {}
    least = math.inf
    for _ in range(rounds):
        there = [*taken]
        found: dict[int, Placed] = {}
        covering: dict[int, float] = {}
        for at in turns:
            found[at] = _best(wanted[at], there, within, gap, rings)
            covered = sum(found[at].box.shared(label) for label in there[len(taken) :])
            if covered:
                covering[at] = covered
            there.append(found[at].box)
        if sum(covering.values()) < least:
            best, least = found, sum(covering.values())
        if not covering:
            break
        turns.sort(key=lambda at: at not in covering)
    return [best[at] for at in range(len(wanted))]


def _best(one: Wanted, there: Sequence[Box], within: Box, gap: float, rings: int) -> Placed:
    area = one.width * one.height
    first = one.x, one.y
    best = Placed(_beside(one, first, one.clear + gap, WAYS[0]), first, away=False)
    least = math.inf
    for point in (first, *one.also):
        near = _near(one, point, there, one.clear + gap + rings * one.height)
        for ring in range(rings):
            further = ring * FURTHER * area
            if least <= further:
                break
            off = one.clear + gap + ring * one.height * 0.8
            for way in WAYS:
                box = _beside(one, point, off, way)
                cost = further + OUTSIDE * (box.area - box.shared(within))
                if cost < least:
                    cost += sum(box.shared(other) for other in near)
                if cost < least:
                    best, least = Placed(box, point, away=ring > 1), cost
    return best


def _near(one: Wanted, point: tuple[float, float], there: Sequence[Box], furthest: float) -> list[Box]:
    """What lies so near that the label can come to cover it."""
    x, y = point
    across, up = furthest + one.width, furthest + one.height
    field = Box(x - across, y - up, x + across, y + up)
    return [box for box in there if box.shared(field)]


def _beside(one: Wanted, point: tuple[float, float], off: float, way: tuple[int, int]) -> Box:
    across, up = way
    if across and up:
        # Cornerwise it need not stand off as far both ways.
        off *= 0.75
    left = point[0] + across * off - one.width * (1 - across) / 2
    bottom = point[1] + up * off - one.height * (1 - up) / 2
    return Box(left, bottom, left + one.width, bottom + one.height)
