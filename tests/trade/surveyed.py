"""Holes on a wall, drilled and read at random, for the tests of the survey."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from siteapp.trade.survey import (
    HeightReading,
    Hole,
    TapeReading,
)

if TYPE_CHECKING:
    import random

SQUARE = {"A": (0.0, 0.0), "B": (1200.0, 0.0), "C": (1200.0, 800.0), "D": (0.0, 800.0)}
LOPSIDED = {"A": (0.0, 0.0), "B": (900.0, 40.0), "C": (700.0, 620.0), "D": (120.0, 540.0)}
ROW = {"A": (0.0, 300.0), "B": (400.0, 300.0), "C": (900.0, 300.0)}
ORDER = ("cannot tell", "not met", "met")
Points = dict[str, tuple[float, float]]


def scattered(chance: random.Random, number: int, apart_mm: float = 60.0) -> Points:
    found: Points = {}
    while len(found) < number:
        place = (chance.uniform(0, 1800), chance.uniform(0, 1100))
        if all(math.dist(place, other) > apart_mm for other in found.values()):
            found[chr(65 + len(found))] = place
    return found


def drilled(chance: random.Random, planned: Points, sd_mm: float) -> Points:
    return {label: (x + chance.gauss(0, sd_mm), y + chance.gauss(0, sd_mm)) for label, (x, y) in planned.items()}


def read(asked: object, true: Points, off: float = 0.0) -> TapeReading | HeightReading:
    """What a reading that was asked for reads on a wall whose holes are at `true`."""
    if isinstance(asked, TapeReading):
        return TapeReading(asked.a, asked.b, math.dist(true[asked.a], true[asked.b]) + off, from_100=asked.from_100)
    assert isinstance(asked, HeightReading)
    return HeightReading(asked.label, true[asked.label][1] - 250 + off)


def all_tapes(points: Points) -> list[TapeReading]:
    return [TapeReading(a, b, math.dist(points[a], points[b])) for a in points for b in points if a < b]


def all_heights(points: Points) -> list[HeightReading]:
    return [HeightReading(label, y) for label, (_, y) in points.items()]


def holes_of(planned: Points, hole_mm: float = 16.0, bolt_mm: float = 10.0) -> list[Hole]:
    return [Hole(label, x, y, bolt_mm, hole_mm) for label, (x, y) in planned.items()]


def moved(points: Points, turn: float, across: float, up: float) -> Points:
    cos, sin = math.cos(turn), math.sin(turn)
    return {label: (cos * x - sin * y + across, sin * x + cos * y + up) for label, (x, y) in points.items()}
