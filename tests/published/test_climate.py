"""Dew point and margin against psychrolib (Hyland & Wexler, ASHRAE Handbook 2017, chapter 1) and published tables.

The Magnus formula is over water, the library's is over ice below 0 °C: they are compared where the dew point is at
or above 0 °C only. Figures of the rows were computed with psychrolib 2.5.0, or are from memory where it says so.
"""

from __future__ import annotations

import math

import psychrolib
import pytest

from siteapp.trade.climate import MARGIN_FLOOR_C, Limits, coating_climate, dew_point_c
from siteapp.trade.errors import TradeError
from siteapp.trade.verdicts import MET, NOT_MET

psychrolib.SetUnitSystem(psychrolib.SI)

# air °C, relative humidity %, psychrolib's dew point °C, and Alduchov & Eskridge's formula computed elsewhere.
ROWS = [
    (15, 50, 4.6719, 4.6575),
    (20, 50, 9.2724, 9.2611),
    (20, 65, 13.2272, 13.2211),
    (20, 85, 17.4027, 17.4009),
    (23, 50, 12.0284, 12.0199),
    (25, 60, 16.7011, 16.6977),
    (40, 20, 12.7831, 12.7935),
    (40, 80, 35.8775, 35.8874),
]
# The same formula below 0 °C, where the library gives the frost point and is no comparison.
FROSTY_ROWS = [(-5, 80, -7.9156), (0, 60, -6.8456), (5, 50, -4.5713), (10, 40, -2.9931)]


@pytest.mark.parametrize(("air_c", "humidity", "expected_c", "_same_formula"), ROWS)
def test_dew_points_of_the_rows_agree_with_the_library(
    air_c: float, humidity: float, expected_c: float, _same_formula: float
) -> None:
    assert dew_point_c(air_c, humidity) == pytest.approx(expected_c, abs=0.05)
    assert psychrolib.GetTDewPointFromRelHum(air_c, humidity / 100) == pytest.approx(expected_c, abs=1e-3)


def test_dew_points_at_or_above_zero_agree_with_the_library_over_the_whole_range() -> None:
    compared = 0
    for air_c in range(51):
        for humidity in (5, 10, 20, 35, 50, 65, 80, 85, 95, 100):
            expected_c = psychrolib.GetTDewPointFromRelHum(air_c, humidity / 100)
            if expected_c < 0:
                continue
            compared += 1
            # The authors' bound, 0.4 % of vapour pressure, is 0.055 °C of dew point at 0 °C and 0.08 °C at 50 °C.
            allowed_c = 0.05 if air_c <= 40 else 0.1
            assert dew_point_c(air_c, humidity) == pytest.approx(expected_c, abs=allowed_c), (air_c, humidity)
    assert compared > 300


@pytest.mark.parametrize(
    ("air_c", "humidity", "expected_c"), [(air, rh, same) for air, rh, _library, same in ROWS] + FROSTY_ROWS
)
def test_the_formula_is_the_one_it_is_said_to_be(air_c: float, humidity: float, expected_c: float) -> None:
    # Coefficients 6.1094, 17.625, 243.04 as read in a public copy of Alduchov & Eskridge 1996; rows computed.
    assert dew_point_c(air_c, humidity) == pytest.approx(expected_c, abs=1e-3)


@pytest.mark.parametrize(
    ("air_c", "humidity", "printed_c"),
    [(10, 80, 6.7), (20, 50, 9.3), (20, 80, 16.4), (30, 60, 21.4), (15, 60, 7.3)],
)
def test_dew_points_are_those_of_the_inspectors_printed_table(air_c: float, humidity: float, printed_c: float) -> None:
    # From memory: the table in steps of 0.1 °C that coating inspectors carry (form of ISO 8502-4, annex).
    assert dew_point_c(air_c, humidity) == pytest.approx(printed_c, abs=0.1)


@pytest.mark.parametrize(
    ("air_c", "humidity", "surface_c", "margin_c", "verdict"),
    [
        (20, 60, 15.1, 3.10454610759, MET),
        (20, 60, 14.9, 2.90454610759, NOT_MET),
        (12, 85, 12.6, 3.04558709134, MET),
        (12, 85, 12.0, 2.44558709134, NOT_MET),
        (8, 90, 9.3, 2.84148673679, NOT_MET),
    ],
)
def test_three_degrees_above_the_dew_point_with_perfect_instruments(
    air_c: float, humidity: float, surface_c: float, margin_c: float, verdict: str
) -> None:
    # Computed elsewhere with Sonntag's coefficients (1990), which differ from ours by up to 0.015 °C of dew point.
    limits = Limits(5, 35, 5, 35, humidity_max=85)
    climate = coating_climate(air_c, humidity, surface_c, limits, air_error_c=0, humidity_error=0, surface_error_c=0)
    assert climate.margin_c == pytest.approx(margin_c, abs=0.02)
    assert climate.margin_low_c == pytest.approx(climate.margin_c)
    assert climate.verdict == verdict


def test_the_margin_of_practice_is_three_degrees() -> None:
    # ISO 8502-4 and ISO 12944-7, read in public copies of coating data sheets that repeat them.
    assert MARGIN_FLOOR_C == 3.0
    assert Limits(5, 35, 5, 35, humidity_max=85).margin_c == 3.0


def test_saturated_air_has_its_own_temperature_as_dew_point() -> None:
    # The definition of the dew point.
    for air_c in (-40.0, -0.5, 0.0, 12.5, 50.0):
        assert dew_point_c(air_c, 100) == pytest.approx(air_c, abs=1e-9)


@pytest.mark.parametrize("air_c", [math.nan, math.inf, -math.inf, -40.01, 50.01, 10**400, "20", None, True])
def test_air_that_no_formula_covers_is_refused_with_its_range(air_c: float) -> None:
    with pytest.raises(TradeError, match=r"air temperature is .*; allowed is a number from -40 to 50 °C"):
        dew_point_c(air_c, 50)


@pytest.mark.parametrize("humidity", [math.nan, math.inf, 0, -1, 100.01, None])
def test_humidity_that_cannot_be_is_refused_with_its_range(humidity: float) -> None:
    with pytest.raises(TradeError, match=r"relative humidity is .*; allowed is a number above 0 to 100 %"):
        dew_point_c(20, humidity)
