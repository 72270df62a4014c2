"""Climate for surface work: dew point, margin of the surface above it, and the product's own limits."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from siteapp.trade.errors import CANNOT_TELL, MET, NOT_MET, TradeError, in_range

# Alduchov & Eskridge, "Improved Magnus form approximation of saturation vapor pressure", J. Appl. Meteorol. 35 (1996)
# 601-609: e_s = 6.1094 exp(17.625 t / (243.04 + t)) hPa over water, error below 0.4 % from -40 to 50 °C.
MAGNUS_B = 17.625
MAGNUS_C = 243.04
COLDEST_C = -40.0
HOTTEST_C = 50.0
HOTTEST_SURFACE_C = 120.0

DEW_POINT_SOURCE = "Magnus formula over water, Alduchov & Eskridge 1996, −40 to 50 °C"
MARGIN_SOURCE = (
    "surface at least 3 °C above the dew point while applying and drying: practice of ISO 8502-4 and ISO 12944-7 "
    "for steel, used here as a floor; the product's data sheet overrules"
)
ASSUMPTIONS = (
    "the readings are of the air at the surface and of the surface itself, now",
    "instrument errors add up in the worst way",
)


@dataclass(frozen=True)
class Limits:
    """Limits of climate from a product's data sheet, in °C and % relative humidity."""

    air_min_c: float | None
    air_max_c: float | None
    surface_min_c: float | None
    surface_max_c: float | None
    humidity_max: float | None
    humidity_min: float | None = None
    margin_c: float = 3.0

    def __post_init__(self) -> None:
        """Refuse limits that cannot be, such as a lowest above the highest."""
        for name in ("air_min_c", "air_max_c", "surface_min_c", "surface_max_c"):
            value = getattr(self, name)
            if value is not None:
                in_range(name, value, COLDEST_C, HOTTEST_SURFACE_C, "°C")
        for name in ("humidity_min", "humidity_max"):
            value = getattr(self, name)
            if value is not None:
                in_range(name, value, 0, 100, "%")
        in_range("margin_c", self.margin_c, 0, 30, "°C")
        for low, high in (
            (self.air_min_c, self.air_max_c),
            (self.surface_min_c, self.surface_max_c),
            (self.humidity_min, self.humidity_max),
        ):
            if low is not None and high is not None and low > high:
                message = f"limits: the lowest, {low:g}, is above the highest, {high:g}"
                raise TradeError(message)


@dataclass(frozen=True)
class Climate:
    """What readings and limits come to. `margin_low_c` is the margin with every instrument error against it."""

    dew_point_c: float | None
    margin_c: float | None
    margin_low_c: float | None
    verdict: str
    reasons: tuple[str, ...]
    source: str
    assumptions: tuple[str, ...] = field(default=ASSUMPTIONS)


def dew_point_c(air_c: float, relative_humidity: float) -> float:
    """Dew point in °C of air at `air_c` (−40…50 °C) and `relative_humidity` (above 0 to 100 %).

    γ = ln(RH/100) + b·t/(c+t); t_d = c·γ/(b−γ), b = 17.625, c = 243.04 °C (Alduchov & Eskridge 1996, over water;
    below 0 °C frost forms at a slightly higher temperature). Raises TradeError outside the ranges.
    """
    in_range("air temperature", air_c, COLDEST_C, HOTTEST_C, "°C")
    in_range("relative humidity", relative_humidity, 0, 100, "%", above_low=True)
    gamma = math.log(relative_humidity / 100) + MAGNUS_B * air_c / (MAGNUS_C + air_c)
    return MAGNUS_C * gamma / (MAGNUS_B - gamma)


def coating_climate(
    air_c: float | None,
    relative_humidity: float | None,
    surface_c: float | None,
    limits: Limits | None,
    *,
    air_error_c: float = 0.5,
    humidity_error: float = 3.0,
    surface_error_c: float = 2.0,
) -> Climate:
    """Whether a coat may go on in this climate: *met* only when it holds with every instrument error against it.

    Readings in °C and % (None: not read), errors as ± of each instrument. A reading plainly outside a limit is
    *not met*; one that only its error could put outside, a missing reading or a missing limit is *cannot tell*.
    Source of the margin: ISO 8502-4 / ISO 12944-7 practice. Raises TradeError for impossible readings.
    """
    for name, error, most in (
        ("air temperature error", air_error_c, 10),
        ("humidity error", humidity_error, 50),
        ("surface temperature error", surface_error_c, 20),
    ):
        in_range(name, error, 0, most, "")
    if surface_c is not None:
        in_range("surface temperature", surface_c, COLDEST_C, HOTTEST_SURFACE_C, "°C")
    if air_c is not None:
        in_range("air temperature", air_c, COLDEST_C, HOTTEST_C, "°C")
    if relative_humidity is not None:
        in_range("relative humidity", relative_humidity, 0, 100, "%", above_low=True)
    findings = _Findings()
    dew, margin, margin_low = _margins(
        air_c,
        relative_humidity,
        surface_c,
        air_error_c,
        humidity_error,
        surface_error_c,
    )
    if limits is None:
        findings.cannot_tell("the product's limits are not given; they are on its data sheet")
    wanted = limits.margin_c if limits else Limits(None, None, None, None, None).margin_c
    findings.margin(margin, margin_low, wanted)
    if limits is not None:
        findings.between("air", air_c, air_error_c, limits.air_min_c, limits.air_max_c, "°C")
        findings.between(
            "surface",
            surface_c,
            surface_error_c,
            limits.surface_min_c,
            limits.surface_max_c,
            "°C",
        )
        findings.humidity(relative_humidity, humidity_error, limits)
    source = f"{DEW_POINT_SOURCE}; {MARGIN_SOURCE}"
    return Climate(dew, margin, margin_low, findings.verdict, tuple(findings.reasons), source)


def safe_to_unwrap(piece_c: float | None, air_c: float | None, relative_humidity: float | None) -> Climate:
    """Whether a piece is warm enough to be unwrapped without sweating: its surface 3 °C above the dew point.

    Readings in °C and %; missing ones are *cannot tell*. Same formula, margin and errors as `coating_climate`.
    """
    return coating_climate(
        air_c,
        relative_humidity,
        piece_c,
        Limits(COLDEST_C, HOTTEST_C, COLDEST_C, HOTTEST_SURFACE_C, 100, 0),
    )


def _margins(
    air_c: float | None,
    humidity: float | None,
    surface_c: float | None,
    air_error: float,
    humidity_error: float,
    surface_error: float,
) -> tuple[float | None, float | None, float | None]:
    if air_c is None or humidity is None:
        return None, None, None
    dew = dew_point_c(air_c, humidity)
    if surface_c is None:
        return dew, None, None
    dew_high = dew_point_c(min(air_c + air_error, HOTTEST_C), min(humidity + humidity_error, 100))
    return dew, surface_c - dew, surface_c - surface_error - dew_high


class _Findings:
    """Collects reasons; the worst one decides."""

    def __init__(self) -> None:
        self.reasons: list[str] = []
        self._worst = 0

    @property
    def verdict(self) -> str:
        return (MET, CANNOT_TELL, NOT_MET)[self._worst]

    def cannot_tell(self, reason: str) -> None:
        self.reasons.append(reason)
        self._worst = max(self._worst, 1)

    def not_met(self, reason: str) -> None:
        self.reasons.append(reason)
        self._worst = 2

    def margin(self, margin: float | None, margin_low: float | None, wanted: float) -> None:
        if margin is None or margin_low is None:
            self.cannot_tell("without air temperature, humidity and surface temperature there is no margin")
        elif margin < wanted:
            self.not_met(f"the surface is {margin:.1f} °C above the dew point; at least {wanted:g} °C is asked")
        elif margin_low < wanted:
            self.cannot_tell(
                f"the surface reads {margin:.1f} °C above the dew point, but with the instruments' errors it may be "
                f"{margin_low:.1f} °C; at least {wanted:g} °C is asked"
            )

    def between(
        self,
        what: str,
        value: float | None,
        error: float,
        low: float | None,
        high: float | None,
        unit: str,
    ) -> None:
        if low is None or high is None:
            self.cannot_tell(f"the data sheet's lowest and highest {what} temperature are not both given")
        if value is None:
            self.cannot_tell(f"{what} temperature is not read")
            return
        self._against(f"{what} temperature", value, error, low, high, unit)

    def humidity(self, value: float | None, error: float, limits: Limits) -> None:
        if limits.humidity_max is None:
            self.cannot_tell("the data sheet's highest humidity is not given")
        if value is None:
            self.cannot_tell("relative humidity is not read")
            return
        self._against(
            "relative humidity",
            value,
            error,
            limits.humidity_min,
            limits.humidity_max,
            "%",
        )

    def _against(
        self,
        what: str,
        value: float,
        error: float,
        low: float | None,
        high: float | None,
        unit: str,
    ) -> None:
        for limit, side, outside, perhaps in (
            (
                low,
                "lowest",
                low is not None and value < low,
                low is not None and value - error < low,
            ),
            (
                high,
                "highest",
                high is not None and value > high,
                high is not None and value + error > high,
            ),
        ):
            if limit is None:
                continue
            if outside:
                self.not_met(f"{what} is {value:g} {unit}; the {side} allowed is {limit:g} {unit}")
            elif perhaps:
                self.cannot_tell(
                    f"{what} reads {value:g} {unit} ± {error:g}, too near the {side} allowed of {limit:g} {unit}"
                )
