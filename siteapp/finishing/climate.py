"""A climate reading held against a data sheet's limits: what is missing, and what it comes to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NotRequired, TypedDict

from siteapp.trade.climate import (
    AIR_ERROR_C,
    COATING_ASSUMPTIONS,
    HUMIDITY_ERROR,
    MARGIN_FLOOR_C,
    SURFACE_ERROR_C,
    Limits,
    coating_climate,
)
from siteapp.trade.verdicts import CANNOT_TELL, MET
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.finishing.models import ClimateReading

CALCULATION = "coating_climate 2"
ERRORS = {"air_error_c": AIR_ERROR_C, "humidity_error": HUMIDITY_ERROR, "surface_error_c": SURFACE_ERROR_C}


class ClimateFacts(TypedDict):
    """What was read and what the data sheet says; None where it is not known. °C and % relative humidity."""

    air_c: float | None
    relative_humidity: float | None
    surface_c: float | None
    instrument: str | None
    air_error_c: float
    humidity_error: float
    surface_error_c: float
    product: str | None
    limits_source: str | None
    air_min_c: float | None
    air_max_c: float | None
    surface_min_c: float | None
    surface_max_c: float | None
    humidity_min: float | None
    humidity_max: float | None
    margin_limit_c: float | None
    film_min_c: NotRequired[float | None]


@dataclass(frozen=True)
class Outcome:
    """What a reading comes to, as it is kept: figures in °C, the verdict and why, the sources."""

    dew_point_c: float | None
    margin_c: float | None
    margin_low_c: float | None
    verdict: str
    reasons: tuple[str, ...]
    source: str


def work_out(facts: ClimateFacts) -> Outcome:
    """Hold a reading against the limits; *met* only with every input, every limit, and where both come from.

    The calculation is `trade.climate.coating_climate`. Added here, and ours: a figure without its instrument counts
    as an estimate; limits without their data sheet, or of no named product, count as not given; so does a lowest
    humidity that was left blank (0 says that the sheet names none) and a margin that was left blank, which is worked
    out with the floor of 3 °C meanwhile. Raises TradeError for figures that cannot be.
    """
    margin = facts["margin_limit_c"]
    limits = Limits(
        air_min_c=facts["air_min_c"],
        air_max_c=facts["air_max_c"],
        surface_min_c=facts["surface_min_c"],
        surface_max_c=facts["surface_max_c"],
        humidity_max=facts["humidity_max"],
        humidity_min=facts["humidity_min"],
        margin_c=MARGIN_FLOOR_C if margin is None else margin,
        film_min_c=facts.get("film_min_c"),
    )
    found = coating_climate(
        facts["air_c"],
        facts["relative_humidity"],
        facts["surface_c"],
        limits,
        air_error_c=facts["air_error_c"],
        humidity_error=facts["humidity_error"],
        surface_error_c=facts["surface_error_c"],
    )
    missing = _missing(facts)
    verdict = CANNOT_TELL if missing and found.verdict == MET else found.verdict
    reasons = (*found.reasons, *missing)
    return Outcome(found.dew_point_c, found.margin_c, found.margin_low_c, verdict, reasons, found.source)


def assumptions(reading: ClimateReading) -> tuple[str, ...]:
    """What was taken for granted when a kept reading was worked out."""
    errors = _(
        "the instrument may be off by ±%(air)s °C (air), ±%(humidity)s %% (humidity), ±%(surface)s °C (surface)",
        air=f"{reading.air_error_c:g}",
        humidity=f"{reading.humidity_error:g}",
        surface=f"{reading.surface_error_c:g}",
    )
    return (*(_(line) for line in COATING_ASSUMPTIONS), errors)


def _missing(facts: ClimateFacts) -> tuple[str, ...]:
    told = {
        "instrument": _("no instrument is named, so the figures count as an estimate"),
        "product": _("no product is named, so the limits belong to none"),
        "limits_source": _("the data sheet the limits are from is not named"),
        "humidity_min": _("the data sheet's lowest humidity is not given; write 0 when the sheet names none"),
        "margin_limit_c": _("the margin above the dew point is not given; 3 °C was used meanwhile"),
    }
    return tuple(words for name, words in told.items() if facts[name] is None)  # type: ignore[literal-required]
