"""Finishing facts as somebody would type them; figures are invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    from siteapp.finishing.climate import ClimateFacts
    from siteapp.finishing.services import CoatFacts

# A dry, mild day well inside the limits: dew point near 9 °C, so the wall stands some 11 °C above it.
GOOD: dict[str, Any] = {
    "air_c": 20.0,
    "relative_humidity": 50.0,
    "surface_c": 20.5,
    "instrument": "hygrometer 2 (invented)",
    "air_error_c": 0.5,
    "humidity_error": 3.0,
    "surface_error_c": 2.0,
    "product": "Matt glaze (invented)",
    "limits_source": "data sheet of March 2026 (invented)",
    "air_min_c": 8.0,
    "air_max_c": 30.0,
    "surface_min_c": 8.0,
    "surface_max_c": 30.0,
    "humidity_min": 30.0,
    "humidity_max": 75.0,
    "margin_limit_c": 3.0,
}
# What may be left out; the three ± are always there, since the form asks for them.
MAY_BE_MISSING = sorted(set(GOOD) - {"air_error_c", "humidity_error", "surface_error_c"})


def climate(**overrides: Any) -> ClimateFacts:
    return cast("ClimateFacts", GOOD | overrides)


def coat(**overrides: Any) -> CoatFacts:
    facts = {
        "product": GOOD["product"],
        "batch": "B-17",
        "number": 1,
        "zone": "left wing",
        "wet_um": None,
        "recoat_hours": None,
        "reason": None,
        "note": None,
    }
    return cast("CoatFacts", facts | overrides)
