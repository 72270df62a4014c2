"""Where numbered marks stand over a photo: a ring around the spot itself, and its number in a disc beside the ring.

The ring is open, so that what it points at stays to be seen.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.documents.condition.records import Spot

RING_MM = 1.5  # radii
DISC_MM = 1.75
# Centre to centre: the disc touches its ring, so that nobody wonders which belongs to which.
APART_MM = RING_MM + DISC_MM
# Tried in this order: to the upper right, then round; those straight up, down and sideways when corners are taken.
WAYS = tuple(math.radians(degrees) for degrees in (45, 315, 135, 225, 0, 180, 90, 270))


@dataclass(frozen=True)
class Placed:
    """A mark on a picture, in mm from the picture's upper left: centre of the ring and centre of the number's disc."""

    number: int
    ring_x: float
    ring_y: float
    disc_x: float
    disc_y: float


def placed(spots: Sequence[Spot], width_mm: float, height_mm: float) -> list[Placed]:
    """Place marks over a picture of this size, each disc within the picture and clear of what is there if it can be.

    Rings stand exactly on their spots; only discs give way. With no free way left, discs overlap.
    """
    rings = [(spot.x * width_mm, spot.y * height_mm) for spot in spots]
    discs: list[tuple[float, float]] = []
    found = []
    for spot, (x, y) in zip(spots, rings, strict=True):
        ways = [(x + APART_MM * math.cos(way), y - APART_MM * math.sin(way)) for way in WAYS]
        inside = [
            at for at in ways if DISC_MM <= at[0] <= width_mm - DISC_MM and DISC_MM <= at[1] <= height_mm - DISC_MM
        ]
        choices = inside or ways
        others = [ring for ring in rings if ring != (x, y)]
        disc = max(choices, key=lambda at: min(_clear(at, others, discs), 0.0))
        discs.append(disc)
        found.append(Placed(spot.number, x, y, *disc))
    return found


def _clear(
    at: tuple[float, float], rings: Sequence[tuple[float, float]], discs: Sequence[tuple[float, float]]
) -> float:
    """How far a disc at this place is from the nearest ring or disc, in mm; below zero when it would overlap."""
    gaps = [math.dist(at, ring) - RING_MM - DISC_MM for ring in rings]
    gaps += [math.dist(at, disc) - 2 * DISC_MM for disc in discs]
    return min(gaps, default=math.inf)
