"""Bare geometry of a box on its way: through an opening, round a corner, stood up under a ceiling.

`room_mm` is room for hands and blankets, added all round the box before anything is held against it: 50 mm unless said
(ours). With 0 these are the textbook's figures.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import in_range
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from siteapp.trade.verdicts import Verdict

ROOM_MM = 50.0
MOST_ROOM_MM = 1_000.0
# Wide enough for a hall's door and a lorry's box; a slipped decimal point in mm still falls outside. Ours.
NARROWEST_MM = 1.0
LARGEST_MM = 50_000.0
# Halvings of an interval of at most 50 m: far below what anybody measures.
HALVINGS = 60
SCAN = 720

OPENING_SOURCE = (
    "rectangle in rectangle: Carver, American Mathematical Monthly 64 (1957); Wetzel, Rectangles in Rectangles, "
    "Mathematics Magazine 73 (2000); both from memory"
)
CORNER_SOURCE = (
    "ladder round a corner, as calculus textbooks have it, taken further to a box of some thickness: both outer "
    "corners on the outer walls, the inner corner a thickness away or more, at every angle (derived)"
)
STANDING_SOURCE = "Pythagoras: turned over an edge, a box is as tall as its diagonal on the way"
ASSUMPTIONS = (
    "sizes of the way are clear sizes, measured at the narrowest: handles, stops, skirtings and pipes taken off",
    "the box is stiff and square, and straight walls meet at a right angle",
    "room for hands and blankets is added on every side",
)


@dataclass(frozen=True)
class Passage:
    """Whether a box passes, and how.

    `spare_mm` is by how much it could grow (negative: must shrink): an opening's section both ways, a corner's box in
    length, what is stood up in its diagonal. `longest_mm` is the longest box of its width that goes round a corner.
    None for what cannot be told.
    """

    verdict: Verdict
    how: str
    spare_mm: float | None = None
    longest_mm: float | None = None
    assumptions: tuple[str, ...] = ASSUMPTIONS
    source: str = ""


def through_opening(
    section_mm: tuple[float | None, float | None],
    opening_mm: tuple[float | None, float | None],
    *,
    room_mm: float = ROOM_MM,
) -> Passage:
    """Whether a box of cross-section `section_mm` (p, q) goes through an opening (a, b), straight or tilted.

    All in mm, the box 0…50 000, the opening 1…50 000; None is *cannot tell*. Pushed straight through, turned about its
    line of travel as need be: p ≥ q fits a ≥ b when p ≤ a and q ≤ b, or when p > a, q ≤ b and
    b ≥ (2pqa + (p² − q²)√(p² + q² − a²)) / (p² + q²). Source: OPENING_SOURCE. Raises TradeError outside the ranges.
    """
    grown = [_grown("size of the box", size, room_mm) for size in section_mm]
    opening = [_size("size of the opening", size) for size in opening_mm]
    if None in (*grown, *opening):
        return Passage(CANNOT_TELL, "a size is missing", source=OPENING_SOURCE)
    across, up = (float(size or 0) for size in grown)
    wide, high = (float(size or 0) for size in opening)
    spare_mm = _most_growth(max(across, up), min(across, up), max(wide, high), min(wide, high))
    if spare_mm < 0:
        how = "neither straight nor tilted"
    elif across <= wide and up <= high:
        how = "straight"
    elif across <= high and up <= wide:
        how = "turned on its side"
    else:
        how = f"tilted by about {_tilt_deg(max(across, up), min(across, up), max(wide, high)):.0f}°"
    return Passage(MET if spare_mm >= 0 else NOT_MET, how, spare_mm, source=OPENING_SOURCE)


def round_corner(
    length_mm: float | None,
    width_mm: float | None,
    corridor_a_mm: float | None,
    corridor_b_mm: float | None,
    *,
    room_mm: float = ROOM_MM,
) -> Passage:
    """Whether a box carried level goes round a square corner between corridors of width a and b.

    All in mm, the box 0…50 000, corridors 1…50 000; None is *cannot tell*. `length_mm` and `width_mm` on plan; the
    shorter counts as width.
    Turned: L ≤ min over 0 < θ < 90° of (a·sin θ + b·cos θ − w) / (sin θ·cos θ), w ≤ a, b. Slid round without turning:
    one side within a and the other within b. `spare_mm` is `longest_mm` less the length. Source: CORNER_SOURCE.
    Raises TradeError outside the ranges.
    """
    length = _grown("length of the box", length_mm, room_mm)
    width = _grown("width of the box", width_mm, room_mm)
    one = _size("width of the corridor", corridor_a_mm)
    other = _size("width of the other corridor", corridor_b_mm)
    if length is None or width is None or one is None or other is None:
        return Passage(CANNOT_TELL, "a size is missing", source=CORNER_SOURCE)
    length, width = max(length, width), min(length, width)
    slid, turned = _longest_slid(width, one, other), _longest_turned(width, one, other)
    longest = max(slid, turned)
    if length > longest:
        how = "not round the corner, level"
    else:
        how = "slid round without turning" if length <= slid else "turned round the corner"
    longest_mm = max(longest - 2 * room_mm, 0.0)
    return Passage(MET if length <= longest else NOT_MET, how, longest - length, longest_mm, source=CORNER_SOURCE)


def stand_up(
    height_mm: float | None, depth_mm: float | None, ceiling_mm: float | None, *, room_mm: float = ROOM_MM
) -> Passage:
    """Whether a box is stood up, from lying, over its bottom edge under a ceiling: √(h² + d²) ≤ ceiling.

    `height_mm` and `depth_mm` are the two sizes that change places; in mm, 0…50 000, the ceiling from 1; None is
    *cannot tell*.
    `spare_mm` is what is left under the ceiling on the way. Source: STANDING_SOURCE. Raises TradeError outside.
    """
    height = _grown("height of the box", height_mm, room_mm)
    depth = _grown("depth of the box", depth_mm, room_mm)
    ceiling = _size("height of the ceiling", ceiling_mm)
    if height is None or depth is None or ceiling is None:
        return Passage(CANNOT_TELL, "a size is missing", source=STANDING_SOURCE)
    spare_mm = ceiling - math.hypot(height, depth)
    how = "stood up over its edge" if spare_mm >= 0 else "too tall on the way up"
    return Passage(MET if spare_mm >= 0 else NOT_MET, how, spare_mm, source=STANDING_SOURCE)


def longest_pole_mm(one_mm: float, other_mm: float, height_mm: float = 0.0) -> float:
    """The longest pole without thickness that goes round a corner, in mm, tilted up to `height_mm` (0: level).

    L = (a^⅔ + b^⅔)^(3/2), with a ceiling √(L² + c²): calculus textbooks and Pythagoras. Nothing longer goes round,
    however thin and however tipped.
    """
    return math.hypot((one_mm ** (2 / 3) + other_mm ** (2 / 3)) ** 1.5, height_mm)


def _grown(what: str, size_mm: float | None, room_mm: float) -> float | None:
    in_range("room for hands", room_mm, 0, MOST_ROOM_MM, "mm")
    return None if size_mm is None else in_range(what, size_mm, 0, LARGEST_MM, "mm") + 2 * room_mm


def _size(what: str, size_mm: float | None) -> float | None:
    return None if size_mm is None else in_range(what, size_mm, NARROWEST_MM, LARGEST_MM, "mm")


def _fits(p: float, q: float, a: float, b: float) -> bool:
    """Carver and Wetzel's condition, for p ≥ q and a ≥ b."""
    if p <= a:
        return q <= b
    squares = p * p + q * q  # more than 0, since p > a
    return q <= b and b * squares >= 2 * p * q * a + (p * p - q * q) * math.sqrt(squares - a * a)


def _most_growth(p: float, q: float, a: float, b: float) -> float:
    """By how much p ≥ q may grow alike and still fit a ≥ b, straight or tilted; negative when it must shrink."""
    low, high = min(a - p, b - q), b - q
    # Straight, it may grow until one side touches; tilted further only where its longer side touched first.
    for _ in range(HALVINGS if low < high else 0):
        middle = (low + high) / 2
        if _fits(p + middle, max(q + middle, 0.0), a, b):
            low = middle
        else:
            high = middle
    if low < 0 <= high and _fits(p, q, a, b):
        return 0.0
    return low


def _tilt_deg(p: float, q: float, a: float) -> float:
    """The least turn at which a section p × q, p > a, is no taller than a: p·cos θ + q·sin θ = a."""
    return math.degrees(math.atan2(q, p) + math.acos(a / math.hypot(p, q)))


def _longest_slid(width: float, one: float, other: float) -> float:
    return max([across for along, across in ((one, other), (other, one)) if width <= along], default=0.0)


def _longest_turned(width: float, one: float, other: float) -> float:
    if width > min(one, other):
        return 0.0

    def longest(angle: float) -> float:
        sine, cosine = math.sin(angle), math.cos(angle)
        return (one * sine + other * cosine - width) / (sine * cosine)

    # A scan finds the valley, halving by the golden section its floor: it may lie close to either end.
    step = math.pi / 2 / SCAN
    lowest = min(range(1, SCAN), key=lambda place: longest(place * step))
    low, high = (max(lowest - 1, 0.001)) * step, min(lowest + 1, SCAN - 0.001) * step
    golden = (math.sqrt(5) - 1) / 2
    for _ in range(HALVINGS):
        left, right = high - golden * (high - low), low + golden * (high - low)
        if longest(left) <= longest(right):
            high = right
        else:
            low = left
    return min(longest((low + high) / 2), longest(lowest * step))
