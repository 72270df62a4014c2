"""Films, spreading rates, mixes and waits against figures from outside the project, each named beside its check."""

from __future__ import annotations

import math
from fractions import Fraction
from statistics import geometric_mean

import pytest

from siteapp.trade import coating
from siteapp.trade.errors import TradeError

CLOSE = 1e-9

# NIST Special Publication 811 (2008), Appendix B, exact: US gallon 231 in³, mil 25.4 µm, square foot 0.09290304 m².
GALLON_L = 231 * 25.4**3 / 1e6
MIL_UM = 25.4
FOOT2_M2 = 0.09290304


@pytest.mark.parametrize(
    ("wet_um", "volume_solids", "thinned", "dry_um"),
    [(100, 0.40, 0.0, 40.0), (150, 0.35, 0.05, 50.0), (200, 0.60, 0.0, 120.0), (60, 0.30, 0.20, 15.0)],
)
def test_dry_films_of_practice(wet_um: float, volume_solids: float, thinned: float, dry_um: float) -> None:
    # DFT = WFT·VS/(1 + T), from memory of coating inspectors' practice; rows computed by hand outside the project.
    assert coating.dry_film_um(wet_um, volume_solids, thinned) == pytest.approx(dry_um, rel=CLOSE)
    assert coating.wet_film_um(dry_um, volume_solids, thinned) == pytest.approx(wet_um, rel=CLOSE)


def test_the_spreading_rate_that_a_paints_data_sheet_prints() -> None:
    # Read in a public copy of a paint's data sheet: "Volume solids 30 %; theoretical spreading rate 7.5 m²/L at 40 µm".
    assert coating.spreading_rate_m2_per_l(0.30, 40) == pytest.approx(7.5, rel=CLOSE)


@pytest.mark.parametrize(("solids", "dry_um", "m2_per_l"), [(0.40, 25, 16.0), (0.60, 125, 4.8)])
def test_spreading_rates_in_the_form_that_data_sheets_use(solids: float, dry_um: float, m2_per_l: float) -> None:
    # 10 · VS% / DFT, the form read in public data sheets; rows computed by hand outside the project.
    assert coating.spreading_rate_m2_per_l(solids, dry_um) == pytest.approx(m2_per_l, rel=CLOSE)


def test_a_gallon_of_solids_covers_1604_square_feet_a_mil_thick() -> None:
    # Read in a public text on coating inspection: theoretical coverage 1604 ft²·mil/gal (US) at 100 % solids.
    rate = coating.spreading_rate_m2_per_l(1, MIL_UM)
    assert rate * GALLON_L / FOOT2_M2 == pytest.approx(1604, abs=0.5)
    # The same turned round: a gallon on 1604 ft² makes one mil.
    assert coating.film_from_use_um(GALLON_L, 1604 * FOOT2_M2, 1) == pytest.approx(MIL_UM, rel=1e-3)


def test_paint_for_an_area_in_whole_numbers() -> None:
    # By hand: 12 m² at 7.5 m²/l with a quarter lost is 12/5.625 l a coat.
    assert coating.volume_needed_l(12, 40, 0.30, 0.25, 2) == pytest.approx(float(2 * Fraction(12) / Fraction("5.625")))


def test_four_to_one_by_volume_is_a_hundred_to_nineteen_by_mass() -> None:
    # mass B : mass A = volume B × density B : volume A × density A, an identity; the row computed outside the
    # project: 18.8888888889 B to 100 A.
    by_mass = coating.parts_by_mass({"A": 4, "B": 1}, {"A": 1.35, "B": 1.02})
    assert 100 * by_mass["B"] / by_mass["A"] == pytest.approx(18.8888888889, rel=1e-9)


def test_a_mix_in_exact_shares() -> None:
    # Exact rational arithmetic (the standard library's Fraction): 100 : 18.5 : 5 in 742 g.
    parts = {"A": Fraction(100), "B": Fraction("18.5"), "thinner": Fraction(5)}
    mixed = coating.mix_by_mass(742, {name: float(part) for name, part in parts.items()})
    for name, part in parts.items():
        assert mixed[name] == pytest.approx(float(742 * part / sum(parts.values())), rel=CLOSE)


@pytest.mark.parametrize("percent", [0, 0.5, 0.999, 4.001, 5, 20])
def test_catalyst_beyond_what_suppliers_allow_is_refused(percent: float) -> None:
    # Read in two resin suppliers' public guides: 1 to 4 % by weight, and no cure, or too hot a one, outside.
    with pytest.raises(TradeError, match="from 1 to 4 % by mass"):
        coating.catalyst(1000, percent, 1.15)


def test_two_percent_of_a_kilogram() -> None:
    # By hand: 20 g, and 20/1.15 ml. The density is invented, of the usual size.
    mass_g, volume_ml = coating.catalyst(1000, 2, 1.15)
    assert (mass_g, volume_ml) == (pytest.approx(20, rel=CLOSE), pytest.approx(20 / 1.15, rel=CLOSE))


def test_half_way_between_two_rows_the_hours_are_their_geometric_mean() -> None:
    # What log-linear means, by the standard library's geometric_mean.
    table = [(10, 12.0), (20, 5.0), (30, 3.0)]
    assert coating.interval_hours(table, 15) == pytest.approx(geometric_mean([12.0, 5.0]), rel=CLOSE)
    assert coating.interval_hours(table, 25) == pytest.approx(geometric_mean([5.0, 3.0]), rel=CLOSE)


def test_a_table_that_halves_every_ten_degrees_is_the_rule_of_thumb() -> None:
    # A straight line in the logarithm is exponential decay: both roads lead to the same hours.
    table = [(10, 8.0), (20, 4.0), (30, 2.0)]
    for surface_c in (11.0, 17.5, 20.0, 28.25):
        assert coating.interval_hours(table, surface_c) * 60 == pytest.approx(
            coating.adjusted_minutes(240, 20, surface_c), rel=CLOSE
        )


@pytest.mark.parametrize(("to_c", "expected_min"), [(30, 15.0), (10, 60.0), (20, 30.0)])
def test_pot_life_halves_or_doubles_each_ten_degrees(to_c: float, expected_min: float) -> None:
    # Common practice, no source; rows computed by hand outside the project.
    assert coating.adjusted_minutes(30, 20, to_c) == pytest.approx(expected_min, rel=CLOSE)


def test_the_rule_of_thumb_is_an_ordinary_activation_energy() -> None:
    # Arrhenius with R = 8.314462618 J/(mol·K) (CODATA 2018): doubling from 25 to 35 °C is 52.95 kJ/mol, computed
    # outside the project; that is inside the 50 to 60 kJ/mol usual for curing resins (from memory).
    ratio = coating.adjusted_minutes(60, 25, 35) / 60
    energy_kj_mol = 8.314462618e-3 * math.log(1 / ratio) / (1 / 298.15 - 1 / 308.15)
    assert energy_kj_mol == pytest.approx(52.9488621647, abs=0.05)
