"""What a piece's build-up comes to: its weight and balance point, and what is missing for them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from siteapp.trade.weight import PARTS_ASSUMPTIONS, PARTS_SOURCE, Part, assemble

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.weight import MassPoint


class Line(Protocol):
    """A line of a build-up as it is recorded, or as it was typed."""

    material: str
    mass_kg: float | None
    x_mm: float | None
    y_mm: float | None
    z_mm: float | None


@dataclass(frozen=True)
class BuildUpNow:
    """What the lines come to: `known_kg` of those that have a weight, and the whole only where all have one.

    `without` are the materials whose line has no weight.
    """

    known_kg: float | None
    whole: MassPoint | None
    without: tuple[str, ...]
    assumptions: tuple[str, ...] = PARTS_ASSUMPTIONS
    source: str = PARTS_SOURCE

    @property
    def mass_kg(self) -> float | None:
        """The weight of the whole; None while a line has none."""
        return self.whole.mass_kg if self.whole else None


def come_to(lines: Sequence[Line]) -> BuildUpNow:
    """Add the lines up. Raises TradeError for a weight or a place that cannot be."""
    parts = [Part(line.material, line.mass_kg, line.x_mm, line.y_mm, line.z_mm) for line in lines if line.mass_kg]
    without = tuple(line.material for line in lines if not line.mass_kg)
    known = math.fsum(part.mass_kg for part in parts) if parts else None
    return BuildUpNow(known, assemble(parts) if parts and not without else None, without)
