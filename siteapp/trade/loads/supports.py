"""What holds a piece, where it bears on the wall, and what acts on it. Coordinates in mm, forces in N.

x runs to the right and y up, both **as seen from the front**; z runs out from the wall, which lies at z = 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from siteapp.trade.errors import TradeError, in_range

# Wide enough for the largest piece that goes through a door in one length; a metre typed as 10 m still fits, and is
# then seen on the drawing. Ours, no source.
FURTHEST_MM = 20_000.0
DEEPEST_MM = 5_000.0
LARGEST_N = 1_000_000.0
HEAVIEST_KG = 20_000.0
LARGEST_FACTOR = 10.0
LONGEST_LABEL = 80
STEEPEST_DEG = 80.0  # of a bevel, from level; ours
GRAVITY_M_S2 = 9.80665  # standard gravity, ISO 80000-3
WEIGHT = "weight"

Place = tuple[float, float, float]


class Placed(Protocol):
    """Anything that says where it is, in mm: a weighed balance point, for one."""

    @property
    def x_mm(self) -> float:
        """To the right, as seen from the front."""

    @property
    def y_mm(self) -> float:
        """Up."""

    @property
    def z_mm(self) -> float:
        """Out from the wall."""


@dataclass(frozen=True)
class Support:
    """A hanging point, and the ways in which it can hold the piece.

    `across`: to either side (a slot along x does not). `up`: against falling. `down`: against being lifted off (an
    open hook does not). `pull`: against coming away from the wall. Nothing pushes a piece off the wall but its pads.
    `bevel_deg` is of a bevelled rail, from level: its own anchors are pulled by the thrust of what hangs on it.
    Raises TradeError for a blank label, a place outside ±20 000 mm, or a bevel outside 0…80°.
    """

    label: str
    x_mm: float
    y_mm: float
    across: bool = True
    up: bool = True
    down: bool = False
    pull: bool = True
    bevel_deg: float | None = None

    def __post_init__(self) -> None:
        if not isinstance(self.label, str) or not self.label.strip() or len(self.label) > LONGEST_LABEL:
            message = f"label of a support is {str(self.label)[:LONGEST_LABEL]!r}; allowed are 1 to {LONGEST_LABEL} "
            raise TradeError(message + "characters")
        place(f"support {self.label}", self.x_mm, self.y_mm)
        for way in ("across", "up", "down", "pull"):
            if not isinstance(getattr(self, way), bool):
                message = f"support {self.label}: {way} is {getattr(self, way)!r}; allowed are True and False"
                raise TradeError(message)
        if self.bevel_deg is not None:
            in_range(f"support {self.label}: bevel", self.bevel_deg, 0, STEEPEST_DEG, "° from level")


@dataclass(frozen=True)
class Pad:
    """A place where the piece bears on the wall: it pushes, and nothing else. Raises TradeError outside ±20 000 mm."""

    x_mm: float
    y_mm: float

    def __post_init__(self) -> None:
        place("pad", self.x_mm, self.y_mm)


@dataclass(frozen=True)
class Action:
    """A force on the piece in N (to the right, up, out from the wall) and where it acts, in mm.

    Raises TradeError for a force outside ±1 000 000 N, or a place outside ±20 000 mm (z: ±5 000 mm).
    """

    fx_n: float
    fy_n: float
    fz_n: float
    x_mm: float
    y_mm: float
    z_mm: float
    name: str = ""

    def __post_init__(self) -> None:
        what = self.name or "action"
        for way, value in (("across", self.fx_n), ("up", self.fy_n), ("out from the wall", self.fz_n)):
            in_range(f"{what}: force {way}", value, -LARGEST_N, LARGEST_N, "N")
        place(what, self.x_mm, self.y_mm, self.z_mm)


def weight_action(mass_kg: float, centre: Place | Placed, factor: float = 1.0) -> Action:
    """The weight of `mass_kg` (above 0 to 20 000 kg) times `factor` (0…10), acting downwards at `centre`, in N.

    W = factor · m · g, g = 9.80665 m/s² (standard gravity, ISO 80000-3). `centre` is (x, y, z) in mm, or anything
    with x_mm, y_mm, z_mm. Until z was measured it is the piece's full depth. Raises TradeError outside the ranges.
    """
    in_range("mass of the piece", mass_kg, 0, HEAVIEST_KG, "kg", above_low=True)
    in_range("factor on the weight", factor, 0, LARGEST_FACTOR, "(times)")
    x_mm, y_mm, z_mm = where("centre of the weight", centre)
    return Action(0.0, -factor * mass_kg * GRAVITY_M_S2, 0.0, x_mm, y_mm, z_mm, WEIGHT)


def where(what: str, at: Place | Placed) -> Place:
    """A place in space as three numbers in mm; raises TradeError when it is none."""
    try:
        found = (at[0], at[1], at[2]) if isinstance(at, tuple | list) else (at.x_mm, at.y_mm, at.z_mm)
    except (AttributeError, IndexError):
        message = f"{what} is {at!r}; allowed are three numbers: x, y and z in mm"
        raise TradeError(message) from None
    return place(what, *found)


def place(what: str, x_mm: float, y_mm: float, z_mm: float = 0.0) -> Place:
    """The same three numbers once they are known to be a place on or before the wall."""
    return (
        in_range(f"{what}: x", x_mm, -FURTHEST_MM, FURTHEST_MM, "mm"),
        in_range(f"{what}: y", y_mm, -FURTHEST_MM, FURTHEST_MM, "mm"),
        in_range(f"{what}: z", z_mm, -DEEPEST_MM, DEEPEST_MM, "mm"),
    )
