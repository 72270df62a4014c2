"""Films, coverage and waits against published figures."""

from __future__ import annotations

from datetime import date

import pytest

from siteapp.trade.film import built_up, coverage, film_from_gauge, film_from_volume
from siteapp.trade.waits import best_before


# Dry film = wet film × volume solids / (1 + thinner), as paint data sheets print it (coating practice, from memory):
# 100 µm at 40 % leave 40, 150 µm at 35 % with 5 % thinner 50, 200 µm at 60 % 120, 60 µm at 30 % with 20 % thinner 15.
@pytest.mark.parametrize(
    ("wet_um", "solids", "thinned", "dry_um"),
    [(100, 0.4, 0.0, 40.0), (150, 0.35, 0.05, 50.0), (200, 0.6, 0.0, 120.0), (60, 0.3, 0.2, 15.0)],
)
def test_a_gauge_reading_leaves_the_dry_film_that_data_sheets_give(
    wet_um: float, solids: float, thinned: float, dry_um: float
) -> None:
    film = film_from_gauge([wet_um] * 3, solids, thinned=thinned, target_um=dry_um - 0.01)
    assert film.dry_um == pytest.approx(dry_um, rel=1e-9)
    assert film.verdict == "met"


# "Volume solids 30 %; theoretical spreading rate 7.5 m²/L at 40 µm dry", read in a paint maker's data sheet (public
# copy); the other two worked out from TSR = 10·VS%/DFT.
@pytest.mark.parametrize(("solids", "dry_um", "rate"), [(0.30, 40, 7.5), (0.40, 25, 16.0), (0.60, 125, 4.8)])
def test_a_litre_goes_as_far_as_data_sheets_say(solids: float, dry_um: float, rate: float) -> None:
    found = coverage(15.0, dry_um, solids)
    assert found.rate_m2_per_l == pytest.approx(rate, rel=1e-9)
    assert found.needed_l == pytest.approx(15.0 / rate, rel=1e-9)


# US Form: 1604 ft² × mil per gallon at 100 % solids (read in a maker's guide): 1604 ft² = 149.0 m², 1 mil = 25.4 µm,
# 1 US gallon = 3.785411784 l exactly.
def test_a_gallon_covers_sixteen_hundred_square_feet_a_mil_thick() -> None:
    found = film_from_volume(3.785411784, 1604 * 0.09290304, 1.0)
    assert found.dry_um == pytest.approx(25.4, rel=1e-3)
    assert found.verdict == "cannot tell"


def test_the_films_of_coats_add_up_when_each_was_measured() -> None:
    one = film_from_gauge([100, 110, 90], 0.4, target_um=30)
    total, verdict, _reasons = built_up([one, one], target_um=70, most_um=100)
    assert total == pytest.approx(80)
    assert verdict == "met"


# The Gregorian calendar; `date + interval` of PostgreSQL gives the same (tests/published/test_months.py asks it).
@pytest.mark.parametrize(
    ("made", "months", "ends"),
    [
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2025, 12, 31), 2, date(2026, 2, 28)),
    ],
)
def test_shelf_life_ends_on_the_calendars_day(made: date, months: int, ends: date) -> None:
    assert best_before(made_on=made, shelf_months=months)[0] == ends
