"""Where cables are likely to run in a wall: the zones of the wiring rules. A likelihood, never a clearance to drill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError, in_range

if TYPE_CHECKING:
    from collections.abc import Iterable

TOP_MM = 150.0
ANGLE_MM = 150.0
THIN_WALL_MM = 100.0
# Half the width of a single accessory's plate, 86 mm (BS 4662 box and plate, from memory).
ACCESSORY_HALF_MM = 43.0
LARGEST_WALL_MM = 100_000.0
THICKEST_WALL_MM = 5_000.0
WIDEST_HOLE_MM = 500.0
MOST_ACCESSORIES = 200

CLEAR = "clear"
UNKNOWN = "cannot tell"
DETECT = (
    "Outside the zones there may be cables too: older and careless work, cables deeper than 50 mm, and pipes keep to "
    "no zone. Look for cables and pipes with a detector, both sides of the wall, before each hole."
)
ZONES_SOURCE = (
    "BS 7671, 522.6.202: zones for cables less than 50 mm deep: within 150 mm of the top of the wall, within 150 mm of "
    "an angle of two walls, and straight up, down or across from an accessory; through a wall of 100 mm or less the "
    "zones of the other side count too"
)
ZONES_ASSUMPTIONS = (
    "whoever ran the cables kept to the wiring rules of the United Kingdom; other countries have other zones",
    "both ends of the wall as measured are angles with another wall, which is the worse case",
    "every socket, switch and other outlet on it was measured, those behind furniture and covered over too",
)


@dataclass(frozen=True)
class CableZone:
    """Whether a hole lies where cables are likely.

    `result` is "zone(…)" with the zones named, "clear", or "cannot tell"; *clear* never means that there is no cable:
    `note` says so and belongs to every result. `missing` says what was not known.
    """

    result: str
    zones: tuple[str, ...]
    missing: tuple[str, ...]
    note: str
    assumptions: tuple[str, ...]
    source: str


def cable_zone(
    hole_mm: tuple[float, float],
    wall_mm: tuple[float, float],
    accessories_mm: Iterable[tuple[float, float]] | None,
    *,
    accessory_halfwidth_mm: float = ACCESSORY_HALF_MM,
    hole_diameter_mm: float = 0.0,
    thickness_mm: float | None = None,
    reverse_mm: Iterable[tuple[float, float]] | None = None,
) -> CableZone:
    """Whether a hole lies in a prescribed zone for concealed cables.

    x right from the wall's left end, y up from its floor, mm, as seen from the side that is drilled: of the hole's
    middle, and of the middles of accessories on this side and, in `reverse_mm`, on the other one as seen from this one.
    `wall_mm` is width and height, above 0 to 100 000 mm. None for accessories or thickness means not known, which is
    *cannot tell* unless the hole lies in a zone anyway; an empty list means that there are none. There is no zone along
    the floor. Source: ZONES_SOURCE (read in public copies). Assumes ZONES_ASSUMPTIONS. Raises TradeError for a
    hole or accessory off the wall and outside the ranges.
    """
    width = in_range("width of the wall", wall_mm[0], 0, LARGEST_WALL_MM, "mm", above_low=True)
    height = in_range("height of the wall", wall_mm[1], 0, LARGEST_WALL_MM, "mm", above_low=True)
    x, y = _on_wall("hole", hole_mm, width, height)
    half = in_range("half width of an accessory", accessory_halfwidth_mm, 0, 1000, "mm", above_low=True)
    radius = in_range("diameter of the hole", hole_diameter_mm, 0, WIDEST_HOLE_MM, "mm") / 2
    if thickness_mm is not None:
        in_range("thickness of the wall", thickness_mm, 0, THICKEST_WALL_MM, "mm", above_low=True)
    here = _accessories("accessory", accessories_mm, width, height)
    behind = _accessories("accessory on the other side", reverse_mm, width, height)

    zones = []
    if y + radius >= height - TOP_MM:
        zones.append("top")
    if x - radius <= ANGLE_MM or x + radius >= width - ANGLE_MM:
        zones.append("angle")
    reach = half + radius
    if any(_in_line(x, y, place, reach) for place in here or ()):
        zones.append("accessory")
    thin = thickness_mm is None or thickness_mm <= THIN_WALL_MM
    # A thickness that is not known may be a thin wall's: what is known of the other side then counts.
    if thin and any(_in_line(x, y, place, reach) for place in behind or ()):
        zones.append("accessory on the other side")

    missing = []
    if here is None:
        missing.append("where the sockets, switches and other outlets are on this side")
    if behind is None and thin:
        words = "the thickness of the wall, or " if thickness_mm is None else ""
        missing.append(f"{words}where the outlets are on the other side")
    result = CLEAR
    if zones:
        result = f"zone({', '.join(zones)})"
    elif missing:
        result = UNKNOWN
    return CableZone(result, tuple(zones), tuple(missing), DETECT, ZONES_ASSUMPTIONS, ZONES_SOURCE)


def _in_line(x: float, y: float, place: tuple[float, float], reach: float) -> bool:
    return abs(x - place[0]) <= reach or abs(y - place[1]) <= reach


def _accessories(
    what: str, places: Iterable[tuple[float, float]] | None, width: float, height: float
) -> tuple[tuple[float, float], ...] | None:
    if places is None:
        return None
    found = tuple(_on_wall(f"{what} {at}", place, width, height) for at, place in enumerate(places, start=1))
    if len(found) > MOST_ACCESSORIES:
        message = f"{what}: {len(found)} were given; allowed is up to {MOST_ACCESSORIES}"
        raise TradeError(message)
    return found


def _on_wall(what: str, place: tuple[float, float], width: float, height: float) -> tuple[float, float]:
    return (
        in_range(f"{what}, across", place[0], 0, width, "mm"),
        in_range(f"{what}, up", place[1], 0, height, "mm"),
    )
