"""Films, quantities and mixes of paint and resin, and the waits between coats. The product's data sheet overrules."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from siteapp.trade.climate import COLDEST_C, HOTTEST_SURFACE_C
from siteapp.trade.errors import TradeError, in_range

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

# Wide enough for anything that is brushed, rolled, sprayed or trowelled; a slipped decimal point or a percentage typed
# as a fraction still falls outside. All ours, no source.
THINNEST_UM = 0.1
THICKEST_UM = 20_000.0
LEAST_SOLIDS = 0.01
MOST_THINNED = 1.0
MOST_LOSS = 0.9
LARGEST_AREA_M2 = 100_000.0
LARGEST_VOLUME_L = 100_000.0
MOST_COATS = 99
LARGEST_MIX_G = 1_000_000.0
LARGEST_PART = 10_000.0
THINNEST_G_ML = 0.1
DENSEST_G_ML = 10.0
LONGEST_INTERVAL_H = 8_760.0
LONGEST_POT_LIFE_MIN = 10_080.0
COLDEST_POT_C = 0.0
HOTTEST_POT_C = 50.0

# Read in two suppliers' guides to polyester resin: 1 to 4 % by mass and nothing outside; gelcoat at most 2 %.
LEAST_CATALYST_PERCENT = 1.0
MOST_CATALYST_PERCENT = 4.0
DOUBLING_C = 10.0

FRACTION = "(fraction of 1)"

FILM_SOURCE = "dry film = wet film × volume solids (volume solids as ISO 3233 measures them); coating practice"
FILM_ASSUMPTIONS = (
    "nothing soaks into the surface",
    "volumes of paint and thinner add up, and all the thinner leaves",
    "the film is even; a gauge reads one place",
)
SPREADING_SOURCE = "theoretical spreading rate = 1000 × volume solids / dry film, as paint data sheets give it"
SPREADING_ASSUMPTIONS = (
    "a smooth surface that takes nothing in; a rough one takes more",
    "the loss is the share of the paint that ends elsewhere: in the roller, the pot, the air",
)
MIX_SOURCE = "shares of a total in the proportion given; mass = volume × density"
MIX_ASSUMPTIONS = (
    "the proportion is the data sheet's own, by mass or by volume as it says there",
    "densities are those of the parts as supplied, from their data sheets",
    "each part was stirred before it was poured, and all of it reached the pot",
)
CATALYST_SOURCE = (
    "mass of catalyst = percent × mass of resin; 1 to 4 % by mass is what suppliers of polyester resin allow, 1 to 2 % "
    "usual; the data sheet's own narrower range overrules"
)
CATALYST_ASSUMPTIONS = (
    "resin, catalyst and mould are at 15 °C or more; colder is not put right with more catalyst",
    "resin and catalyst are those that the data sheet names together",
)
INTERVAL_SOURCE = "the maker's table; between its rows the logarithm of the hours runs straight over temperature"
INTERVAL_ASSUMPTIONS = (
    "the temperature is that of the surface over the whole wait, not of the air",
    "film, airing and humidity are as the maker's table takes them",
)
POT_LIFE_SOURCE = "half the time for each 10 °C warmer, double for each 10 °C colder: common practice, no source"
POT_LIFE_ASSUMPTIONS = (
    "between about 15 and 30 °C; further away it is a guess",
    "a batch of the same size and shape: a large one heats itself and goes off sooner",
)


def dry_film_um(wet_um: float, volume_solids: float, thinned: float = 0.0) -> float:
    """Dry film in µm left by a wet one of `wet_um` (0.1…20 000 µm).

    dry = wet · VS / (1 + thinned). `volume_solids` as a fraction, 0.01…1 (ISO 3233); `thinned` is the volume of
    thinner added per volume of paint, 0…1. Source: FILM_SOURCE. Assumes FILM_ASSUMPTIONS. Raises TradeError outside
    the ranges.
    """
    in_range("wet film", wet_um, THINNEST_UM, THICKEST_UM, "µm")
    return wet_um * _solids(volume_solids) / _swollen(thinned)


def wet_film_um(dry_um: float, volume_solids: float, thinned: float = 0.0) -> float:
    """Wet film in µm that leaves a dry one of `dry_um` (0.1…20 000 µm): wet = dry · (1 + thinned) / VS.

    Ranges, source and assumptions as `dry_film_um`. Raises TradeError outside the ranges.
    """
    _dry(dry_um)
    return dry_um * _swollen(thinned) / _solids(volume_solids)


def spreading_rate_m2_per_l(volume_solids: float, dry_um: float, loss: float = 0.0) -> float:
    """Area in m² that a litre of paint covers at a dry film of `dry_um` (0.1…20 000 µm).

    rate = 1000 · VS / dry · (1 − loss). `volume_solids` as a fraction, 0.01…1; `loss` as a fraction of the paint,
    0…0.9. Source: SPREADING_SOURCE. Assumes SPREADING_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    solids = _solids(volume_solids)
    _dry(dry_um)
    return 1000 * solids / dry_um * _kept(loss)


def volume_needed_l(area_m2: float, dry_um: float, volume_solids: float, loss: float = 0.0, coats: int = 1) -> float:
    """Litres of paint, before thinning, for `coats` (1…99) of `dry_um` each on `area_m2` (above 0 to 100 000 m²).

    volume = coats · area / spreading rate. Other ranges, source and assumptions as `spreading_rate_m2_per_l`. Raises
    TradeError outside the ranges.
    """
    in_range("area", area_m2, 0, LARGEST_AREA_M2, "m²", above_low=True)
    in_range("coats", coats, 1, MOST_COATS, "coats")
    if coats != int(coats):
        message = f"coats is {coats:g}; allowed is a whole number from 1 to {MOST_COATS}"
        raise TradeError(message)
    return coats * area_m2 / spreading_rate_m2_per_l(volume_solids, dry_um, loss)


def film_from_use_um(volume_l: float, area_m2: float, volume_solids: float, loss: float = 0.0) -> float:
    """Mean dry film in µm when `volume_l` (above 0 to 100 000 l, before thinning) went onto `area_m2`.

    dry = 1000 · VS · volume · (1 − loss) / area: an estimate of the mean, which says nothing of the thinnest place.
    Other ranges, source and assumptions as `volume_needed_l`. Raises TradeError outside the ranges.
    """
    in_range("volume used", volume_l, 0, LARGEST_VOLUME_L, "l", above_low=True)
    in_range("area", area_m2, 0, LARGEST_AREA_M2, "m²", above_low=True)
    return 1000 * _solids(volume_solids) * volume_l * _kept(loss) / area_m2


def mix_by_mass(total_g: float, parts: Mapping[str, float]) -> dict[str, float]:
    """Grams of each part, in the order given, that make up `total_g` (above 0 to 1 000 000 g).

    grams = total · part / sum of parts. `parts` are parts by mass, each 0…10 000, not all 0. Source: MIX_SOURCE.
    Assumes MIX_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    in_range("total of the mix", total_g, 0, LARGEST_MIX_G, "g", above_low=True)
    whole = _whole(parts)
    return {name: total_g * (part / whole) for name, part in parts.items()}


def parts_by_mass(parts_by_volume: Mapping[str, float], densities: Mapping[str, float]) -> dict[str, float]:
    """Parts by mass, in the order given, of what the data sheet gives in parts by volume: volume · density.

    Parts 0…10 000 each, not all 0; `densities` in g/ml, 0.1…10 for each part. Source: MIX_SOURCE. Assumes
    MIX_ASSUMPTIONS. Raises TradeError outside the ranges and for a part without its density.
    """
    _whole(parts_by_volume)
    for name in parts_by_volume:
        _density(f"density of {name}", densities.get(name))
    return {name: part * densities[name] for name, part in parts_by_volume.items()}


def catalyst_g(
    resin_g: float, percent: float, *, least: float = LEAST_CATALYST_PERCENT, most: float = MOST_CATALYST_PERCENT
) -> float:
    """Grams of catalyst for `resin_g` of resin (above 0 to 1 000 000 g) at `percent` by mass.

    `least` to `most` is what the resin's data sheet allows, inside 1…4 % and nothing else. Source: CATALYST_SOURCE.
    Assumes CATALYST_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    in_range("mass of resin", resin_g, 0, LARGEST_MIX_G, "g", above_low=True)
    for name, limit in (("least catalyst", least), ("most catalyst", most)):
        in_range(name, limit, LEAST_CATALYST_PERCENT, MOST_CATALYST_PERCENT, "% by mass")
    in_range("catalyst", percent, least, most, "% by mass")
    return resin_g * percent / 100


def catalyst(resin_g: float, percent: float, density_g_ml: float) -> tuple[float, float]:
    """Catalyst for `resin_g` of resin at `percent` by mass: its mass in g, and its volume in ml by its density.

    `density_g_ml` 0.1…10 g/ml, from the catalyst's data sheet. Other ranges, source and assumptions as `catalyst_g`.
    Raises TradeError outside the ranges.
    """
    mass_g = catalyst_g(resin_g, percent)
    _density("density of the catalyst", density_g_ml)
    return mass_g, mass_g / density_g_ml


def interval_hours(table: Iterable[tuple[float, float]], surface_c: float) -> float:
    """Hours to wait at `surface_c`, from the maker's `table` of rows (surface in °C, hours) in any order.

    Between two rows ln(hours) runs straight over temperature; a row's own temperature gives its own hours; outside the
    table there is no answer. Surfaces −40…120 °C, each once; hours above 0 to 8760 (a year). Source: INTERVAL_SOURCE.
    Assumes INTERVAL_ASSUMPTIONS. Raises TradeError for an empty table, outside it, and outside the ranges.
    """
    rows = [(_surface("table: surface temperature", row_c), _hours(hours)) for row_c, hours in table]
    rows.sort()
    if not rows:
        message = "table of intervals has 0 rows; allowed is 1 row or more, as the data sheet gives them"
        raise TradeError(message)
    for (colder_c, _), (warmer_c, _) in pairwise(rows):
        if colder_c == warmer_c:
            message = f"table: surface temperature is {colder_c:g} °C in two rows; allowed is each temperature once"
            raise TradeError(message)
    in_range("surface temperature", surface_c, rows[0][0], rows[-1][0], "°C, what the table covers")
    below = [row for row in rows if row[0] <= surface_c][-1]
    above = next(row for row in rows if row[0] >= surface_c)
    if below == above:
        return below[1]
    share = (surface_c - below[0]) / (above[0] - below[0])
    return math.exp(math.log(below[1]) + share * (math.log(above[1]) - math.log(below[1])))


def adjusted_minutes(minutes: float, from_c: float, to_c: float) -> float:
    """Pot life or drying time given for `from_c`, as it may be at `to_c` (0…50 °C each): an estimate.

    t = minutes · 2^((from − to)/10). `minutes` above 0 to 10 080 (a week). Source: POT_LIFE_SOURCE, a rule of thumb.
    Assumes POT_LIFE_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    in_range("time", minutes, 0, LONGEST_POT_LIFE_MIN, "min", above_low=True)
    in_range("temperature it is given for", from_c, COLDEST_POT_C, HOTTEST_POT_C, "°C")
    in_range("temperature now", to_c, COLDEST_POT_C, HOTTEST_POT_C, "°C")
    return float(minutes * 2 ** ((from_c - to_c) / DOUBLING_C))


def _solids(volume_solids: float) -> float:
    return in_range("volume solids", volume_solids, LEAST_SOLIDS, 1, FRACTION)


def _swollen(thinned: float) -> float:
    return 1 + in_range("thinner added", thinned, 0, MOST_THINNED, FRACTION)


def _kept(loss: float) -> float:
    return 1 - in_range("loss", loss, 0, MOST_LOSS, FRACTION)


def _dry(dry_um: float) -> float:
    return in_range("dry film", dry_um, THINNEST_UM, THICKEST_UM, "µm")


def _whole(parts: Mapping[str, float]) -> float:
    """The sum of the parts. Plain additions in order: `sum` compensates, which no browser does."""
    whole = 0.0
    for name, part in parts.items():
        whole += in_range(f"part {name}", part, 0, LARGEST_PART, "parts")
    if whole <= 0:
        message = f"sum of the parts is {whole:g} parts; allowed is a number above 0"
        raise TradeError(message)
    return whole


def _density(what: str, density_g_ml: float | None) -> float:
    # None falls through to the refusal of what is no number.
    return in_range(what, density_g_ml, THINNEST_G_ML, DENSEST_G_ML, "g/ml")  # type: ignore[arg-type]


def _surface(what: str, surface_c: float) -> float:
    return in_range(what, surface_c, COLDEST_C, HOTTEST_SURFACE_C, "°C")


def _hours(hours: float) -> float:
    return in_range("table: hours", hours, 0, LONGEST_INTERVAL_H, "h", above_low=True)
