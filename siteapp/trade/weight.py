"""Weight and balance point: laminates and films by area, parts put together, what scales say, estimate against weighed.

x runs to the right and y up as seen from the front, from the lower left corner; z out from the wall, from the back of
the piece. Lengths in mm, masses in kg. Solids and shells by their sizes are in `by_size`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Final, Literal

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from siteapp.trade.verdicts import Verdict

# Wide enough for any piece that people hang; a slipped decimal point or a percentage typed as a fraction still falls
# outside. All ours, no source.
MOST_GLASS_G_M2 = 50_000.0
LEAST_FRACTION = 0.05
MOST_FRACTION = 0.95
LIGHTEST_RESIN_KG_M3 = 500.0
HEAVIEST_RESIN_KG_M3 = 3_000.0
LIGHTEST_FIBRE_KG_M3 = 1_000.0
HEAVIEST_FIBRE_KG_M3 = 4_000.0
THICKEST_FILM_UM = 50_000.0
LIGHTEST_FILM_KG_M3 = 100.0
HEAVIEST_FILM_KG_M3 = 25_000.0
HEAVIEST_KG = 5_000.0
FARTHEST_MM = 20_000.0
MOST_PARTS = 1_000
MOST_SCALES = 12

# Polyester as cured, and E-glass as small-craft scantling rules (ISO 12215-5) take it; from memory.
POLYESTER_KG_M3 = 1_200.0
E_GLASS_KG_M3 = 2_560.0

# Ours: scales nearer to each other than this are at one place; a row of scales whose width, or whose slope, is less
# than a hundredth of its length is a straight row, and runs along x or along y.
APART_MM = 10.0
STRAIGHT = 0.01

# Ours: how far the scales may be from the build-up before somebody says why.
HEAVIER_PERCENT = 10.0
LIGHTER_PERCENT = 5.0

LAMINATE_SOURCE = (
    "mass = glass / glass fraction; thickness = glass / its density + resin / its density: the balance of mass and "
    "volume in Geerts, Calculating Laminate Thickness, and in ISO 12215-5 (that one from memory)"
)
LAMINATE_ASSUMPTIONS = (
    "no air in it",
    "the glass fraction is by mass, of the cured laminate; hand lay-up of chopped mat is usually 0.25 to 0.35",
    "the densities are those of glass and of cured resin without filler",
)
PARTS_SOURCE = "balance point = sum of mass × place / sum of mass (statics)"
PARTS_ASSUMPTIONS = (
    "an estimate: every part is in the list, and each is as heavy as worked out",
    "each part's place is the middle of its own weight",
    "laps, fillets, filler and glue that no line names weigh more",
)
SCALES_SOURCE = "balance point = sum of reading × place / sum of readings (balance of moments)"
SCALES_ASSUMPTIONS = (
    "only the scales carry it, all were read at one time, and each was at zero before",
    "the tops of the scales are level with each other",
    "each place is where the load meets the scale, measured on the piece",
)
COMPARE_SOURCE = (
    f"heavier by more than {HEAVIER_PERCENT:g} % or lighter by more than {LIGHTER_PERCENT:g} % than the build-up asks "
    "why: limits of ours; hand lay-up runs heavy"
)
COMPARE_ASSUMPTIONS = (
    "the scales were right, and carried all of the piece and nothing else",
    "the build-up names what was on the piece when it was weighed",
)

# How a piece is laid on the scales, and which two of its directions then lie level.
FLAT: Final = "flat"
ON_EDGE: Final = "on its lower or upper edge"
ON_SIDE: Final = "on a side edge"
Laid = Literal["flat", "on its lower or upper edge", "on a side edge"]
LEVEL: Final[dict[str, tuple[str, str]]] = {FLAT: ("x", "y"), ON_EDGE: ("x", "z"), ON_SIDE: ("y", "z")}


@dataclass(frozen=True)
class Laminate:
    """A square metre of laminate: `mass_kg_m2` with the resin's share of it, thickness in mm, fibre share of volume."""

    mass_kg_m2: float
    resin_kg_m2: float
    thickness_mm: float
    fibre_volume_fraction: float
    assumptions: tuple[str, ...] = LAMINATE_ASSUMPTIONS
    source: str = LAMINATE_SOURCE


@dataclass(frozen=True)
class Part:
    """A part with its mass in kg and the middle of its weight in mm; None for a place that is not known."""

    name: str
    mass_kg: float
    x_mm: float | None
    y_mm: float | None
    z_mm: float | None


@dataclass(frozen=True)
class MassPoint:
    """A mass in kg at its balance point in mm. None is a place that is not known; `notes` then say why."""

    mass_kg: float
    x_mm: float | None
    y_mm: float | None
    z_mm: float | None
    notes: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True)
class Comparison:
    """Estimate against weighed. `difference_percent` is above 0 when the piece is heavier than its build-up.

    `asks_why` when somebody has to say where the difference comes from; `reason` says what stands against *met*.
    """

    estimated_kg: float | None
    weighed_kg: float | None
    difference_percent: float | None
    verdict: Verdict
    asks_why: bool
    reason: str
    assumptions: tuple[str, ...] = COMPARE_ASSUMPTIONS
    source: str = COMPARE_SOURCE


def laminate(
    glass_g_m2: float,
    glass_fraction: float,
    *,
    resin_kg_m3: float = POLYESTER_KG_M3,
    glass_kg_m3: float = E_GLASS_KG_M3,
) -> Laminate:
    """Mass and thickness of a laminate with `glass_g_m2` of dry glass (all plies; above 0 to 50 000 g/m²).

    m = w/ψ; resin = m − w; t = w·(1/df + (1−ψ)/(ψ·dr)) with the densities df, dr of fibre and resin; fibre volume
    fraction = (w/df)/t. `glass_fraction` ψ by mass, 0.05…0.95; resin 500…3000 kg/m³, glass or other fibre 1000…4000.
    Source: LAMINATE_SOURCE. Assumes LAMINATE_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    glass_kg_m2 = in_range("glass", glass_g_m2, 0, MOST_GLASS_G_M2, "g/m²", above_low=True) / 1000
    fraction = in_range("glass fraction", glass_fraction, LEAST_FRACTION, MOST_FRACTION, "(fraction of 1, by mass)")
    resin_density = in_range("density of the resin", resin_kg_m3, LIGHTEST_RESIN_KG_M3, HEAVIEST_RESIN_KG_M3, "kg/m³")
    glass_density = in_range("density of the glass", glass_kg_m3, LIGHTEST_FIBRE_KG_M3, HEAVIEST_FIBRE_KG_M3, "kg/m³")
    resin_kg_m2 = glass_kg_m2 * (1 - fraction) / fraction
    # Thickness by glass alone and by resin alone, in mm: so that no glass at all but a hair is not 0/0.
    per_glass, per_resin = 1000 / glass_density, (1 - fraction) / fraction * 1000 / resin_density
    return Laminate(
        mass_kg_m2=glass_kg_m2 / fraction,
        resin_kg_m2=resin_kg_m2,
        thickness_mm=glass_kg_m2 * (per_glass + per_resin),
        fibre_volume_fraction=per_glass / (per_glass + per_resin),
    )


def film_mass_kg_m2(film_um: float, density_kg_m3: float) -> float:
    """Mass in kg of a square metre of film: thickness × density, the film as it stays on the piece.

    `film_um` above 0 to 50 000 µm, `density_kg_m3` 100…25 000 of the film as it is. For a gelcoat that loses nothing
    as it cures, wet film and wet density do (2 to 4 % of styrene left out). Raises TradeError outside the ranges.
    """
    in_range("film", film_um, 0, THICKEST_FILM_UM, "µm", above_low=True)
    in_range("density of the film", density_kg_m3, LIGHTEST_FILM_KG_M3, HEAVIEST_FILM_KG_M3, "kg/m³")
    return film_um * density_kg_m3 / 1e6


def assemble(parts: Iterable[Part]) -> MassPoint:
    """All parts together: their mass and balance point, r = Σ m·r / Σ m in each direction.

    1 to 1000 parts, each above 0 to 5000 kg, at ±20 000 mm. A part whose place is not known in a direction leaves the
    whole's unknown there, and a note says which. Source: PARTS_SOURCE. Assumes PARTS_ASSUMPTIONS. Raises TradeError
    outside the ranges.
    """
    parts = tuple(parts)
    _counted("parts", len(parts), MOST_PARTS)
    masses = [_mass(f"mass of {part.name}", part.mass_kg) for part in parts]
    notes: list[str] = []
    centre: dict[str, float | None] = dict.fromkeys("xyz")
    for axis in centre:
        given = [(part.name, getattr(part, f"{axis}_mm")) for part in parts]
        places = [_place(f"{axis} of {name}", place) for name, place in given if place is not None]
        if len(places) == len(parts):
            centre[axis] = _mean(masses, places)
        else:
            missing = ", ".join(name for name, place in given if place is None)
            notes.append(f"{axis} is not known: no {axis} is given for {missing}")
    x_mm, y_mm, z_mm = centre.values()
    return MassPoint(math.fsum(masses), x_mm, y_mm, z_mm, tuple(notes), PARTS_ASSUMPTIONS, PARTS_SOURCE)


def centre_from_scales(readings: Iterable[tuple[float, float, float]], *, laid: Laid = FLAT) -> MassPoint:
    """Mass and balance point of a piece that rests on scales: each reading is (x_mm, y_mm, mass_kg).

    Sums of moments: r = Σ m·r / Σ m. `laid` flat, the places are x and y. Tipped on its lower or upper edge with the
    back plumb they are x and z, on a side edge y and z: z is how far out from the wall the weight sits. One scale gives
    the mass alone; two, or several in a row, the place along the row, which must run along one of the directions; three
    that are no row, both. 1 to 12 scales at ±20 000 mm, at least 10 mm from one another, each reading above 0 to
    5000 kg: one that carries nothing tells nothing. What is not known is None, and a note says why. Source:
    SCALES_SOURCE. Assumes SCALES_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    if laid not in LEVEL:
        message = f"how it is laid on the scales is {laid!r}; allowed is {', '.join(map(repr, LEVEL))}"
        raise TradeError(message)
    readings = tuple(readings)
    _counted("scales", len(readings), MOST_SCALES)
    first, second = LEVEL[laid]
    places, masses = [], []
    for number, (first_mm, second_mm, mass_kg) in enumerate(readings, 1):
        places.append((_place(f"scale {number}: {first}", first_mm), _place(f"scale {number}: {second}", second_mm)))
        masses.append(_mass(f"scale {number}: reading", mass_kg))
    _apart(places)
    known, note = _told_by(places, first, second)
    centre = {axis: _mean(masses, [place[at] for place in places]) for at, axis in enumerate((first, second))}
    x_mm, y_mm, z_mm = (centre[axis] if axis in known else None for axis in "xyz")
    notes = (note,) if note else ()
    return MassPoint(math.fsum(masses), x_mm, y_mm, z_mm, notes, SCALES_ASSUMPTIONS, SCALES_SOURCE)


def compare(estimated_kg: float | None, weighed_kg: float | None) -> Comparison:
    """What the scales say against what the build-up says, each above 0 to 5000 kg, None for what is not known.

    Heavier by more than 10 % or lighter by more than 5 % (both ours) is *not met*, and asks why; a weight that is
    missing is *cannot tell*: a piece that was not weighed does not go into the van. Source: COMPARE_SOURCE. Assumes
    COMPARE_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    if estimated_kg is not None:
        _mass("estimated weight", estimated_kg)
    if weighed_kg is not None:
        _mass("weighed", weighed_kg)
    if weighed_kg is None:
        reason = "it is not weighed; it has to be before the van leaves"
        return Comparison(estimated_kg, None, None, CANNOT_TELL, asks_why=False, reason=reason)
    if estimated_kg is None:
        reason = "the build-up gives no weight to hold the scales against"
        return Comparison(None, weighed_kg, None, CANNOT_TELL, asks_why=False, reason=reason)
    # Rounded far below what any scales show, so that 22 kg to 20 kg is 10 % and not a hair more.
    percent = round((weighed_kg / estimated_kg - 1) * 100, 9)
    if -LIGHTER_PERCENT <= percent <= HEAVIER_PERCENT:
        return Comparison(estimated_kg, weighed_kg, percent, MET, asks_why=False, reason="")
    way, limit = ("heavier", HEAVIER_PERCENT) if percent > 0 else ("lighter", LIGHTER_PERCENT)
    reason = f"it weighs {_shown(abs(percent), limit)} % {way} than its build-up says, more than {limit:g} %: why?"
    return Comparison(estimated_kg, weighed_kg, percent, NOT_MET, asks_why=True, reason=reason)


def _mass(what: str, mass_kg: float) -> float:
    return in_range(what, mass_kg, 0, HEAVIEST_KG, "kg", above_low=True)


def _place(what: str, place_mm: float) -> float:
    return in_range(what, place_mm, -FARTHEST_MM, FARTHEST_MM, "mm")


def _counted(what: str, many: int, most: int) -> None:
    if not 1 <= many <= most:
        message = f"number of {what} is {many}; allowed is 1 to {most}"
        raise TradeError(message)


def _mean(masses: Sequence[float], places: Sequence[float]) -> float:
    """The mean place by mass; never a rounding outside of the places themselves."""
    mean = math.fsum(mass * place for mass, place in zip(masses, places, strict=True)) / math.fsum(masses)
    return min(max(mean, min(places)), max(places))


def _apart(places: Sequence[tuple[float, float]]) -> None:
    for (one, here), (other, there) in combinations(enumerate(places, 1), 2):
        if math.dist(here, there) < APART_MM:
            message = (
                f"scales {one} and {other} are {math.dist(here, there):.3g} mm apart; allowed is {APART_MM:g} mm or "
                "more: two scales at one place are one"
            )
            raise TradeError(message)


def _told_by(places: Sequence[tuple[float, float]], first: str, second: str) -> tuple[tuple[str, ...], str]:
    """Which of two directions the scales' places tell, and in words why not both."""
    if len(places) == 1:
        return (), f"one scale gives the weight alone; where it sits along {first} and {second} is not known"
    start, end = max(combinations(sorted(places), 2), key=lambda pair: math.dist(*pair))
    length = math.dist(start, end)
    run, rise = end[0] - start[0], end[1] - start[1]
    across = max(abs(run * (y - start[1]) - rise * (x - start[0])) / length for x, y in places)
    if across > STRAIGHT * length:
        return (first, second), ""
    if abs(rise) <= STRAIGHT * length:
        return (first,), f"the scales stand in a row along {first}; {second} is not known"
    if abs(run) <= STRAIGHT * length:
        return (second,), f"the scales stand in a row along {second}; {first} is not known"
    return (), f"the scales stand in a slanting row, which tells neither {first} nor {second}; set them along one"


def _shown(percent: float, limit: float) -> str:
    """A percentage with as many digits as it needs not to read like the limit that it passes."""
    return next(text for digits in range(1, 10) if float(text := f"{percent:.{digits}f}") > limit)
