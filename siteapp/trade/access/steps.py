"""A crate and the places on its way. Sizes in mm, None for what nobody knows.

Sizes that somebody told or guessed (`measured` left out) may stop the crate; only those measured with a tape let it on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from siteapp.trade.access.passing import LARGEST_MM, NARROWEST_MM
from siteapp.trade.errors import TradeError, in_range, one_of, whole_in_range

Way = Literal["height", "width", "depth"]
Turn = Literal["none", "quarter", "half"]

WAYS: tuple[Way, ...] = ("height", "width", "depth")
TURNS: tuple[Turn, ...] = ("none", "quarter", "half")
HEAVIEST_KG = 20_000.0
MOST_RIDERS = 50
STEEPEST_DEG = 45.0


@dataclass(frozen=True)
class Box:
    """The packed crate: outside sizes (above 0 to 50 000 mm) and gross weight (above 0 to 20 000 kg).

    `ways_up` are the sizes that may stand upright while it travels; None: nobody said. `may_tilt`: whether it may lean
    out of these for a moment. Only a gross weight that was weighed lets a lift take it. Raises TradeError outside.
    """

    width_mm: float | None
    height_mm: float | None
    depth_mm: float | None
    gross_kg: float | None = None
    weighed: bool = False
    ways_up: tuple[Way, ...] | None = None
    may_tilt: bool | None = None

    def __post_init__(self) -> None:
        for what, size in (("width", self.width_mm), ("height", self.height_mm), ("depth", self.depth_mm)):
            if size is not None:
                in_range(f"{what} of the crate", size, 0, LARGEST_MM, "mm", above_low=True)
        if self.gross_kg is not None:
            in_range("gross weight of the crate", self.gross_kg, 0, HEAVIEST_KG, "kg", above_low=True)
        for way in self.ways_up or ():
            one_of("size upright", way, WAYS)
        if self.ways_up == ():
            message = f"ways up it may travel are none; allowed are one or more of {', '.join(WAYS)}, or not known"
            raise TradeError(message)


@dataclass(frozen=True)
class Opening:
    """A door, a window, a gate, a narrow passage: clear width and height (1…50 000 mm)."""

    name: str
    width_mm: float | None
    height_mm: float | None
    measured: bool = False

    def __post_init__(self) -> None:
        _sizes(self.name, width=self.width_mm, height=self.height_mm)


@dataclass(frozen=True)
class Corner:
    """A square corner from a corridor of one width into one of another (a door's width counts too), and the height."""

    name: str
    from_mm: float | None
    into_mm: float | None
    height_mm: float | None
    measured: bool = False

    def __post_init__(self) -> None:
        _sizes(self.name, **{"width from": self.from_mm, "width into": self.into_mm, "height": self.height_mm})


@dataclass(frozen=True)
class Stand:
    """A place where it is turned over an edge under a ceiling; `to` is the size then upright, None: whichever helps."""

    name: str
    ceiling_mm: float | None
    to: Way | None = None
    measured: bool = False

    def __post_init__(self) -> None:
        _sizes(self.name, ceiling=self.ceiling_mm)
        if self.to is not None:
            one_of(f"{self.name}: size upright", self.to, WAYS)


@dataclass(frozen=True)
class Stairs:
    """A flight and the landing after it: width of the flight, headroom above the nosings, how the landing turns.

    A quarter turn needs the width of the next flight, a half turn the depth of the landing (1…50 000 mm).
    """

    name: str
    flight_mm: float | None
    headroom_mm: float | None
    turn: Turn | None
    next_mm: float | None = None
    landing_mm: float | None = None
    measured: bool = False

    def __post_init__(self) -> None:
        _sizes(self.name, flight=self.flight_mm, headroom=self.headroom_mm)
        _sizes(self.name, **{"next flight": self.next_mm, "landing": self.landing_mm})
        if self.turn is not None:
            one_of(f"{self.name}: turn of the landing", self.turn, TURNS)


@dataclass(frozen=True)
class Lift:
    """A lift's car inside, its door, the load on its plate (above 0 to 20 000 kg), and how many ride with the crate."""

    name: str
    width_mm: float | None
    depth_mm: float | None
    height_mm: float | None
    door_width_mm: float | None
    door_height_mm: float | None
    rated_kg: float | None
    riders: int | None
    measured: bool = False

    def __post_init__(self) -> None:
        _sizes(self.name, width=self.width_mm, depth=self.depth_mm, height=self.height_mm)
        _sizes(self.name, **{"door width": self.door_width_mm, "door height": self.door_height_mm})
        if self.rated_kg is not None:
            in_range(f"{self.name}: load on the plate", self.rated_kg, 0, HEAVIEST_KG, "kg", above_low=True)
        if self.riders is not None:
            whole_in_range(f"{self.name}: people riding", self.riders, 0, MOST_RIDERS, "people")


@dataclass(frozen=True)
class Slope:
    """A ramp, a drive, a lawn: clear width, and how steep it is (0…45°)."""

    name: str
    width_mm: float | None
    angle_deg: float | None
    measured: bool = False

    def __post_init__(self) -> None:
        _sizes(self.name, width=self.width_mm)
        if self.angle_deg is not None:
            in_range(f"{self.name}: slope", self.angle_deg, 0, STEEPEST_DEG, "°")


Step = Opening | Corner | Stand | Stairs | Lift | Slope


def _sizes(name: str, **sizes: float | None) -> None:
    for what, size in sizes.items():
        if size is not None:
            in_range(f"{name}: {what}", size, NARROWEST_MM, LARGEST_MM, "mm")
