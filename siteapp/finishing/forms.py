"""What may be typed while finishing: limits and units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.finishing.climate import ERRORS
from siteapp.trade.climate import COLDEST_C, HOTTEST_C, HOTTEST_SURFACE_C, MARGIN_FLOOR_C, MOST_MARGIN_C
from siteapp.web.fields import Figure, Photos, RoomForm, Whole, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Collection

    from wtforms import Form

    from siteapp.web.fieldbase import RoomField

THICKEST_UM = 5000
MOST_COATS = 99
SHORTEST_WAIT_H = 0.1
LONGEST_WAIT_H = 720


class SessionForm(RoomForm):
    """A stretch of surface work begins."""

    kind = "finishing_session"

    zone = Words(_l("Zone"), required=True, longest=200, hint=_l("Which part of the surface: left wing, lower edge …"))
    purpose = Words(_l("What is to be done"), longest=500)
    photos = Photos(_l("Photos before"), slot="before")


class ClimateForm(RoomForm):
    """A climate reading with the limits of the product's data sheet. What is left blank makes it *cannot tell*."""

    kind = "climate"

    air_c = Figure(_l("Air"), unit="°C", low=COLDEST_C, high=HOTTEST_C)
    relative_humidity = Figure(_l("Relative humidity"), unit="%", low=0.1, high=100)
    surface_c = Figure(_l("Surface"), unit="°C", low=COLDEST_C, high=HOTTEST_SURFACE_C)
    instrument = Words(_l("Instrument"), longest=200, hint=_l("Without one the figures count as an estimate."))
    air_error_c = Figure(_l("Air off by ±"), unit="°C", low=0, high=10, required=True)
    humidity_error = Figure(_l("Humidity off by ±"), unit="%", low=0, high=50, required=True)
    surface_error_c = Figure(
        _l("Surface off by ±"), unit="°C", low=0, high=20, required=True, hint=_l("An infrared thermometer: 2 or more.")
    )
    photos = Photos(_l("Photo of the meter"), slot="meter", most=4, camera=True)
    product = Words(_l("Product"), longest=200, hint=_l("As on the tin."))
    limits_source = Words(_l("Data sheet and its date"), longest=300)
    air_min_c = Figure(_l("Air, lowest"), unit="°C", low=COLDEST_C, high=HOTTEST_SURFACE_C)
    air_max_c = Figure(_l("Air, highest"), unit="°C", low=COLDEST_C, high=HOTTEST_SURFACE_C)
    surface_min_c = Figure(_l("Surface, lowest"), unit="°C", low=COLDEST_C, high=HOTTEST_SURFACE_C)
    surface_max_c = Figure(_l("Surface, highest"), unit="°C", low=COLDEST_C, high=HOTTEST_SURFACE_C)
    humidity_min = Figure(_l("Humidity, lowest"), unit="%", low=0, high=100, hint=_l("0 when the sheet names none."))
    humidity_max = Figure(_l("Humidity, highest"), unit="%", low=0, high=100)
    margin_limit_c = Figure(
        _l("Surface above the dew point by at least"),
        unit="°C",
        low=MARGIN_FLOOR_C,
        high=MOST_MARGIN_C,
        hint=_l("3 °C is the least used here; a data sheet may ask for more."),
    )

    def validate_air_max_c(self, field: Figure) -> None:
        """A highest below the lowest would be met by nothing."""
        _refuse_crossed(self.air_min_c, field)

    def validate_surface_max_c(self, field: Figure) -> None:
        """A highest below the lowest would be met by nothing."""
        _refuse_crossed(self.surface_min_c, field)

    def validate_humidity_max(self, field: Figure) -> None:
        """A highest below the lowest would be met by nothing."""
        _refuse_crossed(self.humidity_min, field)


class CoatForm(RoomForm):
    """One application of one product over one zone."""

    kind = "coat"

    product = Words(_l("Product"), required=True, longest=200, hint=_l("As on the tin."))
    batch = Words(_l("Batch"), longest=100)
    number = Whole(_l("Coat number"), low=1, high=MOST_COATS, required=True)
    zone = Words(_l("Zone"), required=True, longest=200)
    wet_um = Figure(_l("Wet film, if measured"), unit="µm", low=1, high=THICKEST_UM)
    recoat_hours = Figure(
        _l("Next coat after"),
        unit="h",
        low=SHORTEST_WAIT_H,
        high=LONGEST_WAIT_H,
        hint=_l("The data sheet's shortest wait, at the surface's temperature. Left blank, it is not known."),
    )
    reason = Words(
        _l("Reason"),
        rows=2,
        longest=1000,
        hint=_l("Needed when the climate is not met or cannot be told, and before the coat under it may be coated."),
    )
    photos = Photos(_l("Photos"), slot="coat")
    note = Words(_l("Note"), rows=2)


class CloseForm(RoomForm):
    """A session ends."""

    kind = "finishing_close"

    photos = Photos(_l("Photos after"), slot="after")
    client_words = Words(_l("What the client said"), rows=2, longest=1000, hint=_l("Their yes, in their own words."))
    note = Words(_l("Note"), rows=3)


READ = ("air_c", "relative_humidity", "surface_c", "instrument")
ERROR_FIELDS = tuple(ERRORS)
LIMITS = (
    "product",
    "limits_source",
    "air_min_c",
    "air_max_c",
    "surface_min_c",
    "surface_max_c",
    "humidity_min",
    "humidity_max",
    "margin_limit_c",
)
# Without any one of these a climate is not met (see `finishing.climate`).
NAMED = ("instrument", "product", "limits_source", "humidity_min", "margin_limit_c")
CLIMATE_FACTS = (*READ, *ERROR_FIELDS, *LIMITS)
COAT_FACTS = ("product", "batch", "number", "zone", "wet_um", "recoat_hours", "reason", "note")


def figures_of(form: Form, names: Collection[str] | None = None) -> dict[str, tuple[str, float, float]]:
    """Unit, least and most of a form's figures, so that a page by itself takes what the laptop would take.

    Those of all figures, or of the ones in `names`.
    """
    wanted = [field for field in form if isinstance(field, Figure) and (names is None or field.name in names)]
    return {field.name: (field.unit, field.low, field.high) for field in wanted}


def _refuse_crossed(low: RoomField, high: RoomField) -> None:
    if low.data is not None and high.data is not None and low.data > high.data:
        message = _(
            "%(label)s: “%(typed)s” is below the lowest, %(low)s. Give the lowest and the highest the right way round.",
            label=high.label.text,
            typed=high.shown,
            low=low.shown,
        )
        high.refuse(message)
