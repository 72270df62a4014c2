"""Readings of a hole survey: tapes between holes, heights from a laser line, and pairs that were set level."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import combinations
from typing import TYPE_CHECKING, Final

from siteapp.trade.errors import TradeError, in_range

if TYPE_CHECKING:
    from collections.abc import Mapping

# All ours, no source: wide enough for any wall, narrow enough for a slipped decimal point.
SHORTEST_MM = 1.0
LONGEST_MM = 50_000.0
FARTHEST_MM = 100_000.0
HIGHEST_MM = 20_000.0
LEAST_SD_MM = 0.0001
MOST_SD_MM = 1_000.0
# Two holes nearer than this are one hole typed twice.
SAME_PLACE_MM = 1.0
FEWEST_POINTS = 2
MOST_POINTS = 60
MOST_READINGS = 600
LONGEST_LABEL = 40

# A class II tape is allowed ±(0.3 + 0.2·L) mm, L in whole metres (Measuring Instruments Directive 2014/32/EU, annex
# MI-008, from memory). We take that as one standard deviation, which doubles it and more: the hand and eye are ours.
TAPE_MM = 0.3
TAPE_MM_PER_M = 0.2
LASER_SD_MM = 1.0


@dataclass(frozen=True)
class TapeReading:
    """A distance in mm between the middles of holes `a` and `b`, 1…50 000 mm.

    `sd_mm` is its standard deviation, 0.0001…1000 mm; None stands for 0.3 + 0.2·L(m) mm. `from_100` says that the
    tape was held at its 100 mm mark; the 100 is already taken off `distance_mm`. `why` is what it is asked for.
    Raises TradeError outside the ranges and for a hole measured to itself.
    """

    a: str
    b: str
    distance_mm: float
    sd_mm: float | None = None
    from_100: bool = field(default=False, compare=False)
    why: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        a_label("tape from", self.a)
        a_label("tape to", self.b)
        if self.a == self.b:
            message = f"tape {self.a} to {self.b} is from a hole to itself; allowed are two holes"
            raise TradeError(message)
        in_range(f"tape {self.a} to {self.b}", self.distance_mm, SHORTEST_MM, LONGEST_MM, "mm")
        _sd(f"tape {self.a} to {self.b}", self.sd_mm)

    @property
    def sigma_mm(self) -> float:
        """Standard deviation in mm: the one given, or that of a class II tape read by hand."""
        return tape_sd_mm(self.distance_mm) if self.sd_mm is None else self.sd_mm

    @property
    def key(self) -> tuple[str, str]:
        """What it measures, as the key of `findable_mm`: the two holes in alphabetical order."""
        return (self.a, self.b) if self.a < self.b else (self.b, self.a)

    @property
    def holes(self) -> tuple[str, ...]:
        """The holes it touches."""
        return (self.a, self.b)

    @property
    def observed_mm(self) -> float:
        """What was read."""
        return self.distance_mm


@dataclass(frozen=True)
class HeightReading:
    """The height in mm of the middle of hole `label` above one laser line, −20 000…20 000 mm.

    All heights are from one line, set once; where that line lies need not be known. `sd_mm` 0.0001…1000 mm. Raises
    TradeError outside the ranges.
    """

    label: str
    height_mm: float
    sd_mm: float = LASER_SD_MM
    why: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        a_label("height of", self.label)
        in_range(f"height of {self.label}", self.height_mm, -HIGHEST_MM, HIGHEST_MM, "mm")
        _sd(f"height of {self.label}", self.sd_mm)

    @property
    def sigma_mm(self) -> float:
        """Standard deviation in mm."""
        return self.sd_mm

    @property
    def key(self) -> tuple[str, str]:
        """What it measures, as the key of `findable_mm`: the hole and the words *laser line*."""
        return (self.label, LASER_LINE)

    @property
    def holes(self) -> tuple[str, ...]:
        """The holes it touches."""
        return (self.label,)

    @property
    def observed_mm(self) -> float:
        """What was read."""
        return self.height_mm


@dataclass(frozen=True)
class LevelPair:
    """Two holes that were set on one level line: a reading of 0 mm for their difference in height.

    `sd_mm` is the standard deviation of that difference, 0.0001…1000 mm. Raises TradeError outside the ranges.
    """

    a: str
    b: str
    sd_mm: float = LASER_SD_MM * math.sqrt(2)
    why: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        a_label("level from", self.a)
        a_label("level to", self.b)
        if self.a == self.b:
            message = f"level {self.a} to {self.b} is from a hole to itself; allowed are two holes"
            raise TradeError(message)
        _sd(f"level {self.a} to {self.b}", self.sd_mm)

    @property
    def sigma_mm(self) -> float:
        """Standard deviation in mm of the difference."""
        return self.sd_mm

    @property
    def key(self) -> tuple[str, str]:
        """What it measures, as the key of `findable_mm`: both holes, in the words of a level."""
        return (f"{self.a} level with", self.b)

    @property
    def holes(self) -> tuple[str, ...]:
        """The holes it touches."""
        return (self.a, self.b)

    @property
    def observed_mm(self) -> float:
        """No difference in height."""
        return 0.0


class ByPair(dict[tuple[str, str], float]):
    """Figures by what is measured; two holes may be named either way round."""

    def __missing__(self, pair: tuple[str, str]) -> float:
        a, b = pair
        if (b, a) in self:
            return self[(b, a)]
        raise KeyError(pair)


LASER_LINE: Final = "laser line"
Reading = TapeReading | HeightReading | LevelPair


def tape_sd_mm(distance_mm: float) -> float:
    """Standard deviation in mm of a distance read by hand with a class II tape: 0.3 + 0.2·L(m)."""
    return TAPE_MM + TAPE_MM_PER_M * distance_mm / 1000


def in_words(reading: Reading) -> str:
    """The reading as it is called out: *A to B, from 100, 1 204 mm*."""
    if isinstance(reading, TapeReading):
        start = ", from 100" if reading.from_100 else ""
        return f"{reading.a} to {reading.b}{start}, {reading.distance_mm:g} mm"
    if isinstance(reading, HeightReading):
        return f"height of {reading.label}, {reading.height_mm:g} mm"
    return f"{reading.a} level with {reading.b}"


def a_label(quantity: str, label: object) -> None:
    """Raise TradeError unless `label` is a word of 1…40 characters."""
    if not isinstance(label, str) or not label.strip() or len(label) > LONGEST_LABEL:
        message = (
            f"{quantity}: the hole's name is {str(label)[:LONGEST_LABEL]!r}; allowed is a name of 1 to 40 characters"
        )
        raise TradeError(message)


def places(
    what: str, points: Mapping[str, tuple[float, float]], fewest: int = FEWEST_POINTS
) -> dict[str, tuple[float, float]]:
    """`points` with every place checked: `fewest` to 60 points, each −100 000…100 000 mm, no two at one place.

    Raises TradeError that names the point, or the two at one place.
    """
    if not fewest <= len(points) <= MOST_POINTS:
        message = f"{what}: {len(points)} in number; allowed is from {fewest} to {MOST_POINTS}"
        raise TradeError(message)
    checked = {}
    for label, place in points.items():
        a_label(what, label)
        x_mm, y_mm = _pair(f"{what}: {label}", place)
        checked[label] = (
            in_range(f"{what}: {label} across", x_mm, -FARTHEST_MM, FARTHEST_MM, "mm"),
            in_range(f"{what}: {label} up", y_mm, -FARTHEST_MM, FARTHEST_MM, "mm"),
        )
    for (one, first), (other, second) in combinations(checked.items(), 2):
        if math.dist(first, second) < SAME_PLACE_MM:
            message = (
                f"{what}: {one} and {other} are at one place; allowed is at least {SAME_PLACE_MM:g} mm between them"
            )
            raise TradeError(message)
    return checked


def known_readings(readings: Iterable[Reading], near: Mapping[str, object]) -> tuple[Reading, ...]:
    """`readings` as a tuple, when there are not too many and each is of holes in `near`; TradeError otherwise."""
    listed = tuple(readings)
    if len(listed) > MOST_READINGS:
        message = f"readings are {len(listed)}; allowed is at most {MOST_READINGS}"
        raise TradeError(message)
    for reading in listed:
        for label in reading.holes:
            if label not in near:
                message = f"{in_words(reading)}: there is no hole {label}; allowed are {', '.join(map(str, near))}"
                raise TradeError(message)
    return listed


def _pair(quantity: str, place: object) -> tuple[float, float]:
    values = tuple(place) if isinstance(place, Iterable) and not isinstance(place, str) else ()
    if len(values) != len(("across", "up")):
        message = f"{quantity} is {str(place)[:LONGEST_LABEL]}; allowed are two numbers in mm, across and up"
        raise TradeError(message)
    return values[0], values[1]


def _sd(quantity: str, sd_mm: float | None) -> None:
    if sd_mm is not None:
        in_range(f"{quantity}: standard deviation", sd_mm, LEAST_SD_MM, MOST_SD_MM, "mm")
