"""What always holds of films, tables of times and trends."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.trade.climate import Limits, coating_climate, perhaps_fahrenheit
from siteapp.trade.coating import catalyst_g, dry_film_um
from siteapp.trade.errors import TradeError
from siteapp.trade.film import built_up, coverage, film_from_gauge, film_from_volume
from siteapp.trade.trend import margin_trend
from siteapp.trade.waits import Table, best_before, wait

SHEET = Table(((5, 24), (10, 16), (23, 6)))


@given(st.floats(1, 2000), st.floats(0.05, 1), st.floats(0, 1))
def test_thinning_never_thickens_a_dry_film(wet: float, solids: float, thinned: float) -> None:
    assert dry_film_um(wet, solids, thinned) <= dry_film_um(wet, solids)


@pytest.mark.parametrize(
    ("readings", "facts", "verdict", "reason"),
    [
        ([100, 110, 95], {"target_um": 35}, "met", ""),
        ([100, 110, 80], {"target_um": 35}, "not met", "32 µm dry at the thinnest"),
        ([100, 140, 95], {"target_um": 35, "most_um": 50}, "not met", "56 µm dry at the thickest"),
        ([100, 110], {"target_um": 35}, "cannot tell", "2 of at least 3"),
        ([100, 110, 95], {}, "cannot tell", "no dry film is asked for"),
    ],
)
def test_a_film_is_met_when_every_reading_is(
    readings: list[float], facts: dict[str, float], verdict: str, reason: str
) -> None:
    film = film_from_gauge(readings, 0.4, **facts)
    assert film.verdict == verdict
    assert reason in " ".join(film.reasons)


def test_without_volume_solids_nobody_can_tell() -> None:
    assert film_from_gauge([100] * 3, None, target_um=35).verdict == "cannot tell"
    assert film_from_volume(1, 10, None, target_um=35).verdict == "cannot tell"


@given(st.floats(0.1, 100), st.floats(0.1, 1000), st.floats(0.05, 1), st.floats(1, 500))
def test_what_was_used_may_say_too_thin_and_never_met(litres: float, area: float, solids: float, target: float) -> None:
    assert film_from_volume(litres, area, solids, target_um=target).verdict != "met"


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: film_from_gauge([], 0.4), "readings of the wet film are 0"),
        (lambda: film_from_gauge([100] * 3, 3.0), r"volume solids is 3\.0"),
        (lambda: film_from_gauge([0.0] * 3, 0.4), "wet film is 0"),
        (lambda: film_from_gauge([100] * 3, 0.4, target_um=50, most_um=40), "most dry film is 40"),
        (lambda: film_from_volume(0, 10, 0.4), "volume used is 0"),
        (lambda: coverage(0, 40, 0.4), "area is 0"),
    ],
)
def test_figures_that_cannot_be_are_refused_by_name(ask: object, words: str) -> None:
    with pytest.raises(TradeError, match=words):
        ask()


def test_a_coat_that_was_not_measured_leaves_the_whole_unknown() -> None:
    good = film_from_gauge([100] * 3, 0.4, target_um=30)
    used = film_from_volume(1.0, 10.0, 0.4, target_um=30)
    assert built_up([good, None], target_um=70)[1] == "cannot tell"
    assert built_up([good, used], target_um=70)[1] == "cannot tell"
    assert built_up([], target_um=70)[1] == "cannot tell"
    assert built_up([good, good], target_um=90)[1] == "not met"
    assert built_up([good, good], target_um=70, most_um=75)[1] == "not met"


def test_paint_in_the_tins_may_be_too_little_and_is_never_said_to_be_enough() -> None:
    assert coverage(15, 40, 0.3, in_tins_l=1.0).verdict == "not met"
    found = coverage(15, 40, 0.3, in_tins_l=5.0, density_g_ml=1.3)
    assert (found.verdict, found.left_l, found.needed_kg) == ("cannot tell", pytest.approx(3), pytest.approx(2.6))
    assert coverage(15, 40, 0.3).verdict == "cannot tell"


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ((), "0 rows"),
        (((20, 4), (15, 6)), "row 2: surface temperature is 15 °C after 20 °C"),
        (((10, 6), (10, 6)), "row 2: surface temperature is 10 °C after 10 °C"),
        (((10, 6), (20, 8)), "row 2: hours are 8 h at 20 °C"),
        (((10, 0), (20, 8)), "row 1: hours is 0"),
        (((130, 2),), "row 1: surface temperature is 130"),
        (tuple((float(at), 5.0) for at in range(13)), "13 rows"),
    ],
)
def test_a_table_out_of_order_is_refused_by_its_row(rows: tuple[tuple[float, float], ...], words: str) -> None:
    with pytest.raises(TradeError, match=words):
        Table(rows)


@given(st.floats(5, 23), st.floats(5, 23))
def test_a_warmer_wall_never_waits_longer(one: float, other: float) -> None:
    cold, warm = sorted((one, other))
    assert wait(SHEET, warm).hours <= wait(SHEET, cold).hours + 1e-9
    assert 6 - 1e-9 <= wait(SHEET, one).hours <= 24 + 1e-9


@pytest.mark.parametrize("surface_c", [4.9, 23.1, None])
def test_outside_its_table_a_sheet_says_nothing(surface_c: float | None) -> None:
    assert wait(SHEET, surface_c).hours is None


def test_a_sheet_with_one_figure_is_taken_at_its_word() -> None:
    assert wait(None, None, single_hours=4).hours == 4
    assert wait(None, 20).hours is None


def test_a_tin_keeps_until_the_first_of_what_is_known() -> None:
    told = {"made_on": date(2026, 1, 10), "shelf_months": 24, "opened_on": date(2026, 11, 1), "opened_months": 6}
    assert best_before(**told) == (date(2027, 5, 1), "6 months from the day it was opened")
    assert best_before(printed=date(2027, 3, 31), **told)[1] == "as printed on the tin"
    assert best_before(shelf_months=24)[0] is None
    with pytest.raises(TradeError, match="months is 0"):
        best_before(made_on=date(2026, 1, 1), shelf_months=0)


def test_catalyst_keeps_to_the_sheets_own_range_inside_the_usual_one() -> None:
    assert catalyst_g(1000, 1.5, least=1, most=2) == 15
    for percent, least, most in ((2.5, 1, 2), (0.9, 1, 2), (1.5, 0.5, 2), (1.5, 1, 5)):
        with pytest.raises(TradeError, match=r"catalyst is .*% by mass"):
            catalyst_g(1000, percent, least=least, most=most)


@pytest.mark.parametrize(
    ("value", "asked"), [(68, True), (104, True), (113, True), (114, False), (45, False), (20, False)]
)
def test_a_room_that_reads_like_fahrenheit_is_asked_about(value: float, asked: bool) -> None:
    assert perhaps_fahrenheit(value) is asked


def test_below_its_lowest_a_water_based_paint_forms_no_film() -> None:
    limits = Limits(5, 30, 5, 30, 80, film_min_c=12)
    verdicts = [coating_climate(20, 40, surface, limits).verdict for surface in (11, 13, 15)]
    assert verdicts == ["not met", "cannot tell", "met"]
    with pytest.raises(TradeError, match="lowest for a film"):
        Limits(5, 30, 5, 30, 80, film_min_c=200)


def test_a_margin_that_falls_may_stop_a_coat_and_never_lets_one_go_on() -> None:
    falling = [(0, 18, 60, 16.0), (30, 18, 64, 16.0), (60, 18, 68, 16.0)]
    found = margin_trend(falling)
    assert (found.verdict, found.per_hour_c < 0) == ("not met", True)
    assert 0 < found.crosses_in_h < 4
    steady = [(at, 18, 50, 18.0) for at in (0, 30, 60)]
    assert margin_trend(steady).verdict == "cannot tell"
    assert margin_trend(falling[:2]).verdict == "cannot tell"
    assert margin_trend([(0, 18, 60, 16.0), (5, 18, 64, 16.0), (10, 18, 68, 16.0)]).verdict == "cannot tell"
    assert margin_trend(falling, hours_ahead=0.1).verdict == "cannot tell"
