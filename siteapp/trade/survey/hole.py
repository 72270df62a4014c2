"""A hole or slot on the piece, and how much of its room the uncertainty of the bolts takes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.survey.readings import FARTHEST_MM, a_label

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.survey.network import Array

THINNEST_BOLT_MM = 1.0
THICKEST_BOLT_MM = 100.0
WIDEST_HOLE_MM = 500.0
LONGEST_SLOT_MM = 1_000.0
DIRECTIONS = 48
HALVINGS = 60
# A covariance that is negative by more than rounding is none.
ROUNDING = 1e-6


@dataclass(frozen=True)
class Hole:
    """A hole on the piece: its middle (mm, x right, y up, from the front), the bolt through it, its own width.

    `slot_mm` is how much longer than wide it is (0 for a round hole, up to 1000), `slot_deg` which way the long side
    runs, anticlockwise from x. `edge_mm`, when known, is from its middle to the plate's nearest edge. Bolt
    1…100 mm, hole no narrower than its bolt and up to 500 mm. Raises TradeError outside the ranges.
    """

    label: str
    x_mm: float
    y_mm: float
    bolt_mm: float
    hole_mm: float
    slot_mm: float = 0.0
    slot_deg: float = 0.0
    edge_mm: float | None = None

    def __post_init__(self) -> None:
        a_label("hole", self.label)
        what = f"hole {self.label}"
        in_range(f"{what}: across", self.x_mm, -FARTHEST_MM, FARTHEST_MM, "mm")
        in_range(f"{what}: up", self.y_mm, -FARTHEST_MM, FARTHEST_MM, "mm")
        in_range(f"{what}: bolt", self.bolt_mm, THINNEST_BOLT_MM, THICKEST_BOLT_MM, "mm")
        in_range(f"{what}: width", self.hole_mm, self.bolt_mm, WIDEST_HOLE_MM, "mm, no narrower than its bolt")
        in_range(f"{what}: slot", self.slot_mm, 0, LONGEST_SLOT_MM, "mm longer than wide")
        in_range(f"{what}: slot's direction", self.slot_deg, -360, 360, "°")
        if self.edge_mm is not None:
            in_range(f"{what}: middle to the plate's edge", self.edge_mm, 0, LONGEST_SLOT_MM, "mm")

    @property
    def room_mm(self) -> float:
        """How far the bolt may be from the middle, or from a slot's middle line: half of hole less bolt."""
        return (self.hole_mm - self.bolt_mm) / 2


def square(covariance: Sequence[Sequence[float]], points: int) -> Array:
    """`covariance` as a 2n × 2n array of mm², for `points` places; TradeError when it cannot be one."""
    import numpy as np

    try:
        given = np.array(covariance, dtype=float)
    except (TypeError, ValueError):
        message = "covariance holds something that is not a number; allowed are numbers in mm²"
        raise TradeError(message) from None
    size = 2 * points
    if given.shape != (size, size):
        shape = " × ".join(map(str, given.shape))
        message = f"covariance is {shape}; allowed is {size} × {size}, across and up of each measured hole in turn"
        raise TradeError(message)
    if not np.isfinite(given).all():
        message = "covariance holds a number that is not finite; allowed are numbers in mm²"
        raise TradeError(message)
    even: Array = (given + given.T) / 2
    least, most = np.linalg.eigvalsh(even)[[0, -1]]
    if np.abs(given - given.T).max() > ROUNDING * max(most, 1.0) or least < -ROUNDING * max(most, 1.0):
        message = "covariance is not one: not the same both ways, or negative; allowed is what `adjust` gives"
        raise TradeError(message)
    return even


def reach_of_error(covariance: Array, chance: float) -> float:
    """How far (mm) a place with this 2 × 2 covariance (mm²) is off, except in `chance` of all cases.

    Exact for normal errors: P(off > k) is the mean over all directions φ of exp(−k²/2(λ₁cos²φ + λ₂sin²φ)).
    """
    import numpy as np

    small, large = np.clip(np.linalg.eigvalsh(covariance), 0.0, None)
    if large <= 0:
        return 0.0
    angles = (np.arange(DIRECTIONS) + 0.5) * (math.pi / 2 / DIRECTIONS)
    spread = np.maximum(large * np.cos(angles) ** 2 + small * np.sin(angles) ** 2, 1e-300)
    low, high = 0.0, math.sqrt(-2 * math.log(chance) * float(large))
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if float(np.exp(-(middle**2) / (2 * spread)).mean()) > chance:
            low = middle
        else:
            high = middle
    return high
