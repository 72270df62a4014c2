"""Climate for surface work: dew point, margin of the surface above it, and the product's own limits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from siteapp.trade.verdicts import Verdict

# Alduchov & Eskridge, "Improved Magnus form approximation of saturation vapor pressure", J. Appl. Meteorol. 35 (1996)
# 601-609: e_s = 6.1094 exp(17.625 t / (243.04 + t)) hPa over water, error below 0.4 % from -40 to 50 °C.
MAGNUS_B = 17.625
MAGNUS_C = 243.04
COLDEST_C = -40.0
HOTTEST_C = 50.0
HOTTEST_SURFACE_C = 120.0
MOST_MARGIN_C = 30.0
MARGIN_FLOOR_C = 3.0
AIR_ERROR_C = 0.5
HUMIDITY_ERROR = 3.0
SURFACE_ERROR_C = 2.0

_USUAL_C = (5.0, 45.0)

DEW_POINT_SOURCE = "Magnus formula over water, Alduchov & Eskridge 1996, −40 to 50 °C"
MARGIN_SOURCE = (
    "surface at least 3 °C above the dew point while applying and drying: practice of ISO 8502-4 and ISO 12944-7 "
    "for steel, used here as a floor under what the product's data sheet asks"
)
LIMITS_SOURCE = "limits of air, surface and humidity as typed from the product's data sheet"
ERRORS_ADD_UP = "instrument errors add up in the worst way"
COATING_ASSUMPTIONS = (
    "the readings are of the air at the surface and of the coldest part of the surface itself, now",
    ERRORS_ADD_UP,
    "a water-based paint forms no film below its own lowest temperature (ISO 2115) and suffers on a hot, dry wall",
)
UNWRAPPING_ASSUMPTIONS = (
    "the coldest part of the piece was read: metal and thick parts stay cold longest",
    "the air is that of the room where it is unwrapped",
    ERRORS_ADD_UP,
)


@dataclass(frozen=True)
class Limits:
    """Limits of climate from a product's data sheet, in °C and % relative humidity, each included.

    None for one of the first five means that it is not known, which is *cannot tell*; None for `humidity_min` and for
    `film_min_c`, the lowest at which a water-based paint forms a film (ISO 2115), that the sheet sets none. A
    `margin_c` under 3 °C counts as 3 °C. Raises TradeError for limits that cannot be: outside −40…120 °C, 0…100 %, a
    margin outside 0…30 °C, or a lowest above its highest.
    """

    air_min_c: float | None
    air_max_c: float | None
    surface_min_c: float | None
    surface_max_c: float | None
    humidity_max: float | None
    humidity_min: float | None = None
    margin_c: float = MARGIN_FLOOR_C
    film_min_c: float | None = None

    def __post_init__(self) -> None:
        for what, low, high, hottest, unit in (
            ("air temperature", self.air_min_c, self.air_max_c, HOTTEST_SURFACE_C, "°C"),
            ("surface temperature", self.surface_min_c, self.surface_max_c, HOTTEST_SURFACE_C, "°C"),
            ("relative humidity", self.humidity_min, self.humidity_max, 100.0, "%"),
        ):
            coldest = 0.0 if unit == "%" else COLDEST_C
            if low is not None:
                in_range(f"limits: lowest {what}", low, coldest, hottest, unit)
            if high is not None:
                in_range(f"limits: highest {what}", high, coldest, hottest, unit)
            if low is not None and high is not None and low > high:
                message = f"limits: lowest {what} is {low:g} {unit}; allowed is at most the highest, {high:g} {unit}"
                raise TradeError(message)
        in_range("limits: margin above the dew point", self.margin_c, 0, MOST_MARGIN_C, "°C")
        if self.film_min_c is not None:
            in_range("limits: lowest for a film", self.film_min_c, COLDEST_C, HOTTEST_SURFACE_C, "°C")


@dataclass(frozen=True)
class Given:
    """One reading as it went in: its value in `unit`, or None when it was not read, and its instrument's ± error."""

    quantity: str
    value: float | None
    unit: str
    error: float


@dataclass(frozen=True)
class Climate:
    """What readings and limits come to, in °C. `margin_low_c` is the margin with every instrument error against it.

    `wanted_margin_c` is what the margin was held against. `reasons` say what stands against *met*; met has none.
    """

    dew_point_c: float | None
    margin_c: float | None
    margin_low_c: float | None
    wanted_margin_c: float
    verdict: Verdict
    reasons: tuple[str, ...]
    inputs: tuple[Given, ...]
    limits: Limits | None
    assumptions: tuple[str, ...]
    source: str


def dew_point_c(air_c: float, relative_humidity: float) -> float:
    """Dew point in °C of air at `air_c` (−40…50 °C) and `relative_humidity` (above 0 to 100 %).

    γ = ln(RH/100) + b·t/(c+t); t_d = c·γ/(b−γ), b = 17.625, c = 243.04 °C (Alduchov & Eskridge 1996, over water;
    below 0 °C frost forms at a slightly higher temperature). Raises TradeError outside the ranges.
    """
    in_range("air temperature", air_c, COLDEST_C, HOTTEST_C, "°C")
    in_range("relative humidity", relative_humidity, 0, 100, "%", above_low=True)
    return _magnus(air_c, relative_humidity)


def coating_climate(
    air_c: float | None,
    relative_humidity: float | None,
    surface_c: float | None,
    limits: Limits | None,
    *,
    air_error_c: float = AIR_ERROR_C,
    humidity_error: float = HUMIDITY_ERROR,
    surface_error_c: float = SURFACE_ERROR_C,
) -> Climate:
    """Whether a coat may go on in this climate: *met* only when it holds with every instrument error against it.

    Readings in °C and % (None: not read): air −40…50 °C, surface −40…120 °C, humidity above 0 to 100 %. Errors as ± of
    each instrument: 0…10 °C, 0…50 %, 0…20 °C. A reading plainly outside a limit, or a margin plainly under the one
    asked, is *not met*; one that only its error could put outside, a missing reading or a missing limit is *cannot
    tell*. Source of the margin: ISO 8502-4 and ISO 12944-7 practice for steel, 3 °C, a floor here.
    Raises TradeError outside the ranges.
    """
    readings = _Readings(air_c, relative_humidity, surface_c, air_error_c, humidity_error, surface_error_c)
    findings = _Findings()
    wanted = max(MARGIN_FLOOR_C, limits.margin_c if limits else MARGIN_FLOOR_C)
    findings.margin(readings, wanted)
    air, humidity, surface = readings.given("surface temperature")
    if limits is None:
        findings.cannot_tell("the product's limits are not given; they are on its data sheet")
    else:
        findings.within(air, limits.air_min_c, limits.air_max_c)
        findings.within(surface, limits.surface_min_c, limits.surface_max_c)
        findings.within(humidity, limits.humidity_min, limits.humidity_max, lowest_may_be_none=True, most=100)
        findings.forms_a_film(surface, limits.film_min_c)
    return Climate(
        *readings.margins(),
        wanted_margin_c=wanted,
        verdict=findings.verdict,
        reasons=tuple(findings.reasons),
        inputs=(air, humidity, surface),
        limits=limits,
        assumptions=COATING_ASSUMPTIONS,
        source=f"{DEW_POINT_SOURCE}; {MARGIN_SOURCE}; {LIMITS_SOURCE}",
    )


def safe_to_unwrap(piece_c: float | None, air_c: float | None, relative_humidity: float | None) -> Climate:
    """Whether a piece is warm enough to be unwrapped without sweating: its coldest part 3 °C above the dew point.

    Readings in °C and %; missing ones are *cannot tell*. Same formula, ranges, margin and usual errors as
    `coating_climate`. A cold piece brought into warm, damp air sweats; it is left wrapped until it has warmed up.
    """
    readings = _Readings(air_c, relative_humidity, piece_c, AIR_ERROR_C, HUMIDITY_ERROR, SURFACE_ERROR_C)
    findings = _Findings()
    findings.margin(readings, MARGIN_FLOOR_C)
    return Climate(
        *readings.margins(),
        wanted_margin_c=MARGIN_FLOOR_C,
        verdict=findings.verdict,
        reasons=tuple(findings.reasons),
        inputs=readings.given("temperature of the piece"),
        limits=None,
        assumptions=UNWRAPPING_ASSUMPTIONS,
        source=f"{DEW_POINT_SOURCE}; {MARGIN_SOURCE}",
    )


def perhaps_fahrenheit(value_c: float) -> bool:
    """Whether a temperature of air or of a wall reads like one in °F: over 45, and between 5 and 45 °C if it were.

    To ask back, not to refuse: 68 °C is no room, 68 °F is one. Ours, no source.
    """
    coldest, hottest = _USUAL_C
    return value_c > hottest and coldest <= celsius(value_c) <= hottest


def celsius(fahrenheit: float) -> float:
    """Degrees Celsius of degrees Fahrenheit, by definition: (F − 32)/1.8."""
    return (fahrenheit - 32) / 1.8


def _magnus(air_c: float, relative_humidity: float) -> float:
    # Two logarithms: the smallest humidity that a double holds is 0 once it is divided by 100.
    gamma = math.log(relative_humidity) - math.log(100) + MAGNUS_B * air_c / (MAGNUS_C + air_c)
    return MAGNUS_C * gamma / (MAGNUS_B - gamma)


@dataclass(frozen=True)
class _Readings:
    """Three readings that are possible, each with its instrument's error."""

    air_c: float | None
    humidity: float | None
    surface_c: float | None
    air_error_c: float
    humidity_error: float
    surface_error_c: float

    def __post_init__(self) -> None:
        in_range("air temperature error", self.air_error_c, 0, 10, "°C")
        in_range("humidity error", self.humidity_error, 0, 50, "%")
        in_range("surface temperature error", self.surface_error_c, 0, 20, "°C")
        if self.air_c is not None:
            in_range("air temperature", self.air_c, COLDEST_C, HOTTEST_C, "°C")
        if self.humidity is not None:
            in_range("relative humidity", self.humidity, 0, 100, "%", above_low=True)
        if self.surface_c is not None:
            in_range("surface temperature", self.surface_c, COLDEST_C, HOTTEST_SURFACE_C, "°C")

    def given(self, surface_name: str) -> tuple[Given, Given, Given]:
        return (
            Given("air temperature", self.air_c, "°C", self.air_error_c),
            Given("relative humidity", self.humidity, "%", self.humidity_error),
            Given(surface_name, self.surface_c, "°C", self.surface_error_c),
        )

    def margins(self) -> tuple[float | None, float | None, float | None]:
        """Dew point, margin, and margin with every error against it; None for what cannot be worked out."""
        if self.air_c is None or self.humidity is None:
            return None, None, None
        dew = _magnus(self.air_c, self.humidity)
        if self.surface_c is None:
            return dew, None, None
        # Warmer and damper air has the higher dew point. Past 50 °C by an instrument's error the formula is a little
        # less exact, which counts for less than leaving the error out.
        dew_high = _magnus(self.air_c + self.air_error_c, min(self.humidity + self.humidity_error, 100))
        return dew, self.surface_c - dew, self.surface_c - self.surface_error_c - dew_high


class _Findings:
    """Collects what stands against *met*; the worst of it decides."""

    def __init__(self) -> None:
        self.reasons: list[str] = []
        self.verdict: Verdict = MET

    def cannot_tell(self, reason: str) -> None:
        self.reasons.append(reason)
        if self.verdict == MET:
            self.verdict = CANNOT_TELL

    def not_met(self, reason: str) -> None:
        self.reasons.append(reason)
        self.verdict = NOT_MET

    def margin(self, readings: _Readings, wanted: float) -> None:
        _, margin, low = readings.margins()
        if margin is None or low is None:
            self.cannot_tell("without air temperature, humidity and surface temperature all read there is no margin")
        elif margin < wanted:
            self.not_met(f"the surface is {_above(margin)} the dew point; at least {wanted:g} °C above it is asked")
        elif low < wanted:
            self.cannot_tell(
                f"the surface reads {_above(margin)} the dew point, but with the instruments' errors it may be "
                f"{_above(low)} it; at least {wanted:g} °C above it is asked"
            )

    def forms_a_film(self, surface: Given, lowest: float | None) -> None:
        if lowest is not None and surface.value is not None:
            outside, perhaps = surface.value < lowest, surface.value - surface.error < lowest
            self._against(surface, "lowest for a film", lowest, outside=outside, perhaps=perhaps)

    def within(
        self,
        given: Given,
        low: float | None,
        high: float | None,
        *,
        lowest_may_be_none: bool = False,
        most: float = math.inf,
    ) -> None:
        """Hold a reading against its lowest and highest; `most` is what it cannot pass whatever its error."""
        if high is None or (low is None and not lowest_may_be_none):
            ends = "highest" if lowest_may_be_none else "lowest and highest"
            self.cannot_tell(f"the data sheet's {ends} {given.quantity} is not given")
        if given.value is None:
            self.cannot_tell(f"{given.quantity} is not read")
            return
        least, largest = given.value - given.error, min(given.value + given.error, most)
        if low is not None:
            self._against(given, "lowest", low, outside=given.value < low, perhaps=least < low)
        if high is not None:
            self._against(given, "highest", high, outside=given.value > high, perhaps=largest > high)

    def _against(self, given: Given, which: str, limit: float, *, outside: bool, perhaps: bool) -> None:
        reading = f"{given.value:g} {given.unit}"
        if outside:
            self.not_met(f"{given.quantity} is {reading}; the {which} allowed is {limit:g} {given.unit}")
        elif perhaps:
            self.cannot_tell(
                f"{given.quantity} reads {reading} ± {given.error:g}, too near the {which} allowed, "
                f"{limit:g} {given.unit}"
            )


def _above(margin: float) -> str:
    """A margin in words, rounded down so that 2.96 never reads as 3."""
    tenths = math.floor(margin * 10) / 10
    return f"{tenths:.1f} °C above" if tenths >= 0 else f"{-tenths:.1f} °C below"
