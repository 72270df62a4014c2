"""Films, mixes and waits between coats: what must always hold of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from siteapp.trade import coating
from siteapp.trade.errors import TradeError

films = st.floats(0.1, 5000)
solids = st.floats(0.01, 1)
thinned = st.floats(0, 1)
loss = st.floats(0, 0.9)
areas = st.floats(0.01, 1000)
grams = st.floats(0.1, 100_000)
parts = st.dictionaries(st.text(min_size=1, max_size=8), st.floats(0, 10_000), min_size=1, max_size=5).filter(
    lambda drawn: sum(drawn.values()) > 0
)
tables = st.lists(
    st.tuples(st.floats(-40, 120), st.floats(0.01, 8760)), min_size=1, max_size=6, unique_by=lambda row: row[0]
)


@given(films, solids, thinned)
def test_a_dry_film_needs_the_wet_film_it_came_from(wet_um: float, volume_solids: float, added: float) -> None:
    dry_um = coating.dry_film_um(wet_um, volume_solids, added)
    assume(dry_um >= 0.1)
    assert dry_um <= wet_um
    assert coating.wet_film_um(dry_um, volume_solids, added) == pytest.approx(wet_um)


@given(films, solids, thinned)
def test_thinning_never_leaves_more(wet_um: float, volume_solids: float, added: float) -> None:
    assert coating.dry_film_um(wet_um, volume_solids, added) <= coating.dry_film_um(wet_um, volume_solids)


@given(areas, films, solids, loss, st.integers(1, 99))
def test_the_paint_that_was_needed_makes_the_film_it_was_needed_for(
    area_m2: float, dry_um: float, volume_solids: float, lost: float, coats: int
) -> None:
    volume_l = coating.volume_needed_l(area_m2, dry_um, volume_solids, lost, coats)
    assume(0 < volume_l <= coating.LARGEST_VOLUME_L)
    assert coating.film_from_use_um(volume_l, area_m2, volume_solids, lost) == pytest.approx(coats * dry_um)
    rate = coating.spreading_rate_m2_per_l(volume_solids, dry_um, lost)
    assert volume_l * rate == pytest.approx(coats * area_m2)
    assert rate <= coating.spreading_rate_m2_per_l(volume_solids, dry_um)


@given(grams, parts)
def test_a_mix_adds_up_and_keeps_its_proportion_and_order(total_g: float, given_parts: dict[str, float]) -> None:
    mixed = coating.mix_by_mass(total_g, given_parts)
    assert list(mixed) == list(given_parts)
    assert math.fsum(mixed.values()) == pytest.approx(total_g)
    assert all(0 <= mass_g <= total_g * (1 + 1e-9) for mass_g in mixed.values())
    largest = max(given_parts, key=lambda name: given_parts[name])
    for name, part in given_parts.items():
        assert mixed[name] * given_parts[largest] == pytest.approx(mixed[largest] * part)


@given(parts, st.floats(0.1, 10))
def test_parts_of_one_density_are_the_same_by_mass_and_by_volume(given_parts: dict[str, float], density: float) -> None:
    by_mass = coating.parts_by_mass(given_parts, dict.fromkeys(given_parts, density))
    whole, by_volume = math.fsum(by_mass.values()), math.fsum(given_parts.values())
    for name, part in given_parts.items():
        assert by_mass[name] * by_volume == pytest.approx(part * whole)


@given(grams, st.floats(1, 4), st.floats(0.1, 10))
def test_catalyst_is_its_share_of_the_resin(resin_g: float, percent: float, density: float) -> None:
    mass_g, volume_ml = coating.catalyst(resin_g, percent, density)
    assert resin_g * 0.0099 <= mass_g <= resin_g * 0.0401
    assert volume_ml * density == pytest.approx(mass_g)
    assert mass_g == coating.catalyst_g(resin_g, percent)


@given(tables, st.floats(0, 1))
def test_an_interval_lies_between_its_rows_whatever_their_order(table: list[tuple[float, float]], share: float) -> None:
    rows = sorted(table)
    surface_c = min(rows[-1][0], rows[0][0] + share * (rows[-1][0] - rows[0][0]))
    hours = coating.interval_hours(table, surface_c)
    assert hours == coating.interval_hours(rows[::-1], surface_c)
    below = max(row for row in rows if row[0] <= surface_c)
    above = min(row for row in rows if row[0] >= surface_c)
    low, high = sorted((below[1], above[1]))
    assert low * (1 - 1e-9) <= hours <= high * (1 + 1e-9)


@given(tables)
def test_a_row_of_the_table_is_given_back_as_it_stands(table: list[tuple[float, float]]) -> None:
    for surface_c, hours in table:
        assert coating.interval_hours(table, surface_c) == hours


@given(tables, st.floats(0.001, 30))
def test_outside_the_makers_table_there_is_no_answer(table: list[tuple[float, float]], beyond_c: float) -> None:
    coldest, warmest = min(table)[0], max(table)[0]
    for surface_c in (coldest - beyond_c, warmest + beyond_c):
        with pytest.raises(TradeError, match=r"surface temperature is .*; allowed is a number from .*table covers"):
            coating.interval_hours(table, surface_c)


@given(st.floats(1, 300), st.floats(0, 50), st.floats(0, 50))
def test_there_and_back_is_the_same_pot_life(minutes: float, from_c: float, to_c: float) -> None:
    there = coating.adjusted_minutes(minutes, from_c, to_c)
    assert (there <= minutes) == (to_c >= from_c) or there == pytest.approx(minutes)
    assert coating.adjusted_minutes(there, to_c, from_c) == pytest.approx(minutes)


BAD = [math.nan, math.inf, -math.inf, -1, None, "3", True, 10**400]


@pytest.mark.parametrize("bad", BAD)
@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda bad: coating.dry_film_um(bad, 0.4), "wet film"),
        (lambda bad: coating.dry_film_um(100, bad), "volume solids"),
        (lambda bad: coating.dry_film_um(100, 0.4, bad), "thinner added"),
        (lambda bad: coating.wet_film_um(bad, 0.4), "dry film"),
        (lambda bad: coating.wet_film_um(40, bad), "volume solids"),
        (lambda bad: coating.spreading_rate_m2_per_l(0.4, bad), "dry film"),
        (lambda bad: coating.spreading_rate_m2_per_l(0.4, 40, bad), "loss"),
        (lambda bad: coating.volume_needed_l(bad, 40, 0.4), "area"),
        (lambda bad: coating.volume_needed_l(1, 40, 0.4, 0, bad), "coats"),
        (lambda bad: coating.film_from_use_um(bad, 1, 0.4), "volume used"),
        (lambda bad: coating.film_from_use_um(1, bad, 0.4), "area"),
        (lambda bad: coating.mix_by_mass(bad, {"A": 1}), "total of the mix"),
        (lambda bad: coating.mix_by_mass(1, {"A": 1, "B": bad}), "part B"),
        (lambda bad: coating.parts_by_mass({"A": bad}, {"A": 1}), "part A"),
        (lambda bad: coating.parts_by_mass({"A": 1}, {"A": bad}), "density of A"),
        (lambda bad: coating.catalyst(bad, 2, 1.1), "mass of resin"),
        (lambda bad: coating.catalyst(100, bad, 1.1), "catalyst"),
        (lambda bad: coating.catalyst(100, 2, bad), "density of the catalyst"),
        (lambda bad: coating.interval_hours([(20, bad)], 20), "table: hours"),
        (lambda bad: coating.adjusted_minutes(bad, 20, 20), "time"),
        (lambda bad: coating.adjusted_minutes(30, bad, 20), "temperature it is given for"),
        (lambda bad: coating.adjusted_minutes(30, 20, bad), "temperature now"),
    ],
)
def test_what_cannot_be_is_refused_by_name_with_its_range(call, quantity: str, bad: object) -> None:
    with pytest.raises(TradeError, match=f"{quantity} is .*; allowed is a number") as refused:
        call(bad)
    assert quantity in str(refused.value)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: coating.dry_film_um(100, 40), "volume solids is 40 "),
        (lambda: coating.volume_needed_l(1, 40, 0.4, coats=1.5), "coats is 1.5; allowed is a whole number"),
        (lambda: coating.mix_by_mass(100, {}), "sum of the parts is 0 parts"),
        (lambda: coating.mix_by_mass(100, {"A": 0, "B": 0}), "sum of the parts is 0 parts"),
        (lambda: coating.parts_by_mass({"A": 4, "B": 1}, {"A": 1.35}), "density of B is None g/ml"),
        (lambda: coating.catalyst(100, 0.99, 1.1), "catalyst is 0.99 % by mass; allowed is a number from 1 to 4"),
        (lambda: coating.catalyst(100, 4.01, 1.1), "catalyst is 4.01 % by mass; allowed is a number from 1 to 4"),
        (lambda: coating.interval_hours([], 20), "table of intervals has 0 rows"),
        (lambda: coating.interval_hours([(20, 4), (20, 6)], 20), "20 °C in two rows"),
        (lambda: coating.interval_hours([(500, 4)], 20), "table: surface temperature is 500 °C"),
        (lambda: coating.interval_hours([(10, 4), (20, 2)], math.nan), "surface temperature is nan"),
    ],
)
def test_a_slip_is_named(call, words: str) -> None:
    with pytest.raises(TradeError, match=words):
        call()
