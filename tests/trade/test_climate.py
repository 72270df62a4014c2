"""The three answers on climate, and what must always hold of them."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from siteapp.trade.climate import Climate, Limits, coating_climate, dew_point_c, safe_to_unwrap
from siteapp.trade.errors import TradeError
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

LIMITS = Limits(10, 30, 10, 30, humidity_max=80, humidity_min=30)
EXACT = {"air_error_c": 0.0, "humidity_error": 0.0, "surface_error_c": 0.0}
REQUIRED_LIMITS = ("air_min_c", "air_max_c", "surface_min_c", "surface_max_c", "humidity_max")
RANK = {NOT_MET: 0, CANNOT_TELL: 1, MET: 2}

air = st.floats(-40, 50)
humidity = st.floats(0.5, 100)
surface = st.floats(-40, 120)
# Where every answer is likely.
near_air, near_humidity, near_surface = st.floats(10, 25), st.floats(25, 80), st.floats(10, 32)
errors = st.fixed_dictionaries(
    {"air_error_c": st.floats(0, 3), "humidity_error": st.floats(0, 8), "surface_error_c": st.floats(0, 4)}
)


@st.composite
def all_limits(draw: st.DrawFn) -> Limits:
    air_low, air_high = draw(st.floats(-10, 15)), draw(st.floats(20, 40))
    surface_low, surface_high = draw(st.floats(-10, 15)), draw(st.floats(20, 40))
    dry, damp = draw(st.floats(0, 35)), draw(st.floats(50, 100))
    return Limits(
        air_low, air_high, surface_low, surface_high, damp, draw(st.none() | st.just(dry)), draw(st.floats(0, 10))
    )


@pytest.mark.parametrize(
    ("readings", "verdict", "words"),
    [
        ((20, 50, 20), MET, ()),
        ((31, 50, 25), NOT_MET, ("air temperature", "31 °C", "30 °C")),
        ((9, 50, 12), NOT_MET, ("air temperature", "9 °C", "10 °C")),
        ((20, 50, 9), NOT_MET, ("surface temperature", "9 °C", "10 °C")),
        ((20, 50, 33), NOT_MET, ("surface temperature", "33 °C", "30 °C")),
        ((20, 81, 25), NOT_MET, ("relative humidity", "81 %", "80 %")),
        ((20, 29, 20), NOT_MET, ("relative humidity", "29 %", "30 %")),
        ((20, 70, 16), NOT_MET, ("1.6 °C above the dew point", "3 °C")),
        ((25, 70, 15), NOT_MET, ("4.2 °C below the dew point", "3 °C")),
        ((20, 70, 18.5), CANNOT_TELL, ("4.1 °C above the dew point", "errors", "3 °C")),
        ((29.8, 50, 25), CANNOT_TELL, ("air temperature", "29.8 °C", "30 °C", "0.5")),
        ((15, 40, 11), CANNOT_TELL, ("surface temperature", "11 °C", "10 °C")),
        ((20, 78, 25), CANNOT_TELL, ("relative humidity", "78 %", "80 %")),
        ((20, 32, 20), CANNOT_TELL, ("relative humidity", "32 %", "30 %")),
        ((None, 50, 20), CANNOT_TELL, ("air temperature is not read",)),
        ((20, None, 20), CANNOT_TELL, ("relative humidity is not read",)),
        ((20, 50, None), CANNOT_TELL, ("surface temperature is not read",)),
        ((31, None, None), NOT_MET, ("air temperature", "31 °C", "30 °C")),
    ],
)
def test_each_answer_names_the_reading_and_the_limit(
    readings: tuple[float | None, float | None, float | None], verdict: str, words: tuple[str, ...]
) -> None:
    climate = coating_climate(*readings, LIMITS)
    assert climate.verdict == verdict, climate.reasons
    assert bool(climate.reasons) == (verdict != MET)
    for word in words:
        assert word in " | ".join(climate.reasons)


def test_without_the_data_sheet_nobody_can_tell() -> None:
    climate = coating_climate(20, 50, 20, None)
    assert climate.verdict == CANNOT_TELL
    assert "data sheet" in climate.reasons[0]
    assert coating_climate(20, 90, 18.5, None).verdict == NOT_MET  # a wet wall is a wet wall under any data sheet


def test_a_reading_on_the_limit_with_a_perfect_instrument_is_met() -> None:
    assert coating_climate(30, 80, 30, LIMITS, **EXACT).verdict == MET
    assert coating_climate(10, 30, 10, LIMITS, **EXACT).verdict == MET


def test_a_margin_just_under_never_reads_as_the_margin_asked() -> None:
    at_dew_c = dew_point_c(20, 60)
    climate = coating_climate(20, 60, at_dew_c + 2.996, LIMITS, **EXACT)
    assert climate.verdict == NOT_MET
    assert "2.9 °C" in climate.reasons[0]
    assert coating_climate(20, 60, at_dew_c + 3.0001, LIMITS, **EXACT).verdict == MET


def test_a_data_sheet_may_ask_for_more_margin_and_not_for_less() -> None:
    at_dew_c = dew_point_c(20, 60)
    assert coating_climate(20, 60, at_dew_c + 4, dataclasses.replace(LIMITS, margin_c=5), **EXACT).verdict == NOT_MET
    assert coating_climate(20, 60, at_dew_c + 2, dataclasses.replace(LIMITS, margin_c=1), **EXACT).verdict == NOT_MET


def test_instrument_errors_are_all_held_against_the_margin() -> None:
    climate = coating_climate(20, 60, 17, LIMITS, air_error_c=0.5, humidity_error=3, surface_error_c=1)
    assert climate.margin_c == pytest.approx(17 - dew_point_c(20, 60))
    assert climate.margin_low_c == pytest.approx(16 - dew_point_c(20.5, 63))
    at_the_hottest = coating_climate(50, 60, 48, None, air_error_c=2, humidity_error=0, surface_error_c=0)
    assert at_the_hottest.margin_low_c is not None
    assert at_the_hottest.margin_low_c < 48 - dew_point_c(50, 60) - 1.5


def test_an_instruments_error_cannot_make_air_damper_than_wet() -> None:
    wet_allowed = Limits(0, 40, 0, 60, humidity_max=100)
    assert coating_climate(20, 99, 40, wet_allowed).verdict == MET


def test_what_a_person_acts_on_shows_where_it_comes_from() -> None:
    climate = coating_climate(20, 50, 20, LIMITS)
    assert "Alduchov & Eskridge 1996" in climate.source
    assert "ISO 8502-4" in climate.source
    assert climate.assumptions


@pytest.mark.parametrize(
    ("limits", "words"),
    [
        ({"air_min_c": 31.0}, r"air temperature.*31.*30"),
        ({"surface_min_c": 31.0}, r"surface temperature.*31.*30"),
        ({"humidity_min": 81.0}, r"humidity.*81.*80"),
        ({"humidity_max": 101.0}, r"humidity.*101.*0 to 100 %"),
        ({"air_max_c": math.nan}, r"air temperature.*nan.*°C"),
        ({"surface_max_c": math.inf}, r"surface temperature.*inf.*°C"),
        ({"margin_c": -1.0}, r"margin.*-1.*°C"),
    ],
)
def test_limits_that_cannot_be_are_refused(limits: dict[str, float], words: str) -> None:
    with pytest.raises(TradeError, match=words):
        dataclasses.replace(LIMITS, **limits)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"air_c": math.nan}, "air temperature is nan"),
        ({"air_c": 51}, "air temperature is 51"),
        ({"relative_humidity": 0}, "relative humidity is 0"),
        ({"relative_humidity": math.inf}, "relative humidity is inf"),
        ({"surface_c": 121}, "surface temperature is 121"),
        ({"air_error_c": -0.1}, "air temperature error is -0.1"),
        ({"humidity_error": math.nan}, "humidity error is nan"),
        ({"surface_error_c": 21}, "surface temperature error is 21"),
    ],
)
def test_readings_that_cannot_be_are_refused(changed: dict[str, float], words: str) -> None:
    readings = {"air_c": 20, "relative_humidity": 50, "surface_c": 20, "limits": LIMITS}
    with pytest.raises(TradeError, match=words):
        coating_climate(**(readings | changed))


@settings(deadline=None)
@given(near_air, near_humidity, near_surface, all_limits(), errors)
def test_leaving_something_out_never_makes_it_met(
    air_c: float, relative_humidity: float, surface_c: float, limits: Limits, error: dict[str, float]
) -> None:
    """A missing reading or limit is cannot tell, unless what is left is already not met.

    `humidity_min` is no such limit: few data sheets set one, and None says that this one does not.
    """
    readings = {"air_c": air_c, "relative_humidity": relative_humidity, "surface_c": surface_c}
    for name in readings:
        assert coating_climate(**(readings | {name: None}), limits=limits, **error).verdict != MET
    for name in REQUIRED_LIMITS:
        fewer = dataclasses.replace(limits, **{name: None})
        assert coating_climate(**readings, limits=fewer, **error).verdict != MET
    assert coating_climate(**readings, limits=None, **error).verdict != MET


@settings(deadline=None)
@given(near_air, near_humidity, near_surface, all_limits(), errors)
def test_leaving_something_out_never_turns_met_or_cannot_tell_into_not_met(
    air_c: float, relative_humidity: float, surface_c: float, limits: Limits, error: dict[str, float]
) -> None:
    readings = {"air_c": air_c, "relative_humidity": relative_humidity, "surface_c": surface_c}
    assume(coating_climate(**readings, limits=limits, **error).verdict != NOT_MET)
    for name in readings:
        assert coating_climate(**(readings | {name: None}), limits=limits, **error).verdict == CANNOT_TELL


@settings(deadline=None)
@given(near_air, near_humidity, near_surface, all_limits(), errors, errors)
def test_a_worse_instrument_never_moves_the_answer_towards_met(
    air_c: float,
    relative_humidity: float,
    surface_c: float,
    limits: Limits,
    error: dict[str, float],
    more: dict[str, float],
) -> None:
    worse = {name: error[name] + more[name] for name in error}
    better_answer = coating_climate(air_c, relative_humidity, surface_c, limits, **error)
    worse_answer = coating_climate(air_c, relative_humidity, surface_c, limits, **worse)
    assert RANK[worse_answer.verdict] <= RANK[better_answer.verdict]
    # An error makes nothing plainly wrong that did not read so.
    assert (worse_answer.verdict == NOT_MET) == (better_answer.verdict == NOT_MET)


@settings(deadline=None)
@given(near_air, near_humidity, near_surface, all_limits(), errors, st.sampled_from(REQUIRED_LIMITS), st.floats(0, 5))
def test_a_stricter_limit_never_moves_the_answer_towards_met(
    air_c: float,
    relative_humidity: float,
    surface_c: float,
    limits: Limits,
    error: dict[str, float],
    name: str,
    by: float,
) -> None:
    value = getattr(limits, name)
    try:
        stricter = dataclasses.replace(limits, **{name: value + by if "min" in name else value - by})
    except TradeError:
        assume(False)
    before = coating_climate(air_c, relative_humidity, surface_c, limits, **error)
    after = coating_climate(air_c, relative_humidity, surface_c, stricter, **error)
    assert RANK[after.verdict] <= RANK[before.verdict]


@settings(deadline=None)
@given(air, humidity, surface, st.floats(0, 20), st.floats(0, 20))
def test_damper_air_or_a_colder_surface_never_moves_unwrapping_towards_met(
    air_c: float, relative_humidity: float, piece_c: float, damper: float, colder_c: float
) -> None:
    before = safe_to_unwrap(piece_c, air_c, relative_humidity)
    after = safe_to_unwrap(max(piece_c - colder_c, -40), air_c, min(relative_humidity + damper, 100))
    assert RANK[after.verdict] <= RANK[before.verdict]


@settings(deadline=None)
@given(st.floats(-40, 49), humidity, st.floats(0.01, 1))
def test_the_dew_point_rises_with_air_and_with_humidity(air_c: float, relative_humidity: float, by: float) -> None:
    assert dew_point_c(air_c + by, relative_humidity) > dew_point_c(air_c, relative_humidity)
    assert dew_point_c(air_c, relative_humidity * 0.98) < dew_point_c(air_c, relative_humidity) <= air_c + 1e-9


@pytest.mark.parametrize(
    ("piece_c", "air_c", "relative_humidity", "verdict"),
    [
        (20, 20, 50, MET),
        (5, 20, 60, NOT_MET),  # out of a cold van into a warm room: below the dew point
        (14, 20, 60, NOT_MET),  # 2 °C above it
        (16, 20, 60, CANNOT_TELL),  # 4 °C above it, with 2 °C of error
        (30, 20, 99, MET),
        (None, 20, 50, CANNOT_TELL),
        (20, None, 50, CANNOT_TELL),
        (20, 20, None, CANNOT_TELL),
    ],
)
def test_a_cold_piece_stays_wrapped(
    piece_c: float | None, air_c: float | None, relative_humidity: float | None, verdict: str
) -> None:
    climate = safe_to_unwrap(piece_c, air_c, relative_humidity)
    assert isinstance(climate, Climate)
    assert climate.verdict == verdict
    assert bool(climate.reasons) == (verdict != MET)
    assert climate.source
    assert climate.assumptions


def test_the_driest_air_that_can_be_written_has_a_dew_point() -> None:
    assert math.isfinite(dew_point_c(20, math.nextafter(0, 1)))
