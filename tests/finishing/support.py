"""Finishing facts as somebody would type them; figures are invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from siteapp.finishing import products
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.finishing.climate import ClimateFacts
    from siteapp.finishing.products import BatchFacts, ProductFacts
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


PRODUCT: dict[str, Any] = {
    "name": "Seal primer (invented)",
    "maker": "Coatings of nowhere (invented)",
    "what": "two-part epoxy primer",
    "sheet": "data sheet 4, March 2026 (invented)",
    "hazards": "H317 May cause an allergic skin reaction. <as on the tin>",
    "protection": "Nitrile gloves, goggles.",
    "ventilation": "Ten changes of air an hour.",
    "room_again_hours": 24.0,
    "recoat_hours": 8.0,
    "air_min_c": 10.0,
    "air_max_c": 30.0,
    "surface_min_c": 10.0,
    "surface_max_c": 32.0,
    "humidity_min": 0.0,
    "humidity_max": 80.0,
    "margin_limit_c": 3.0,
    "touch_up": "Abrade, wipe, one thin coat by brush.",
    "keeps_until": "6 months, closed and cool",
    "dropped": False,
}


def product(**overrides: Any) -> ProductFacts:
    return cast("ProductFacts", PRODUCT | overrides)


def batch(**overrides: Any) -> BatchFacts:
    facts = {"number": "EP-0417", "expires_on": "2099-03-31", "opened_on": None, "note": None}
    return cast("BatchFacts", facts | overrides)


def a_product(session: Session, *batches: BatchFacts, **overrides: Any) -> tuple[str, ...]:
    """A product on the list with some batches; returns its id and theirs."""
    product_id = products.make_product(session, factories.a_writer(session), product(**overrides))
    return (product_id, *(a_batch(session, product_id, facts) for facts in batches))


def a_batch(session: Session, product_id: str, facts: BatchFacts) -> str:
    return products.add_batch(session, factories.a_writer(session), product_id=product_id, facts=facts)
