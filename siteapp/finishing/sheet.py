"""Climate limits as a product's data sheet gives them, for every form that asks for them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.trade.climate import COLDEST_C, HOTTEST_SURFACE_C, MARGIN_FLOOR_C, MOST_MARGIN_C
from siteapp.web.fields import Figure, RoomForm
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.web.fieldbase import RoomField

LIMITS = (
    "air_min_c",
    "air_max_c",
    "surface_min_c",
    "surface_max_c",
    "humidity_min",
    "humidity_max",
    "margin_limit_c",
    "film_min_c",
)


class SheetForm(RoomForm):
    """The limits of a data sheet; what is left blank is not known. A form that adds fields has them before these."""

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

    film_min_c = Figure(
        _l("Lowest for a film"),
        unit="°C",
        low=COLDEST_C,
        high=HOTTEST_SURFACE_C,
        hint=_l("Water-based paint forms none below it (ISO 2115). Blank where the sheet names none."),
    )

    def __init__(self, formdata: Any = None, **kwargs: Any) -> None:
        super().__init__(formdata, **kwargs)
        # Last on their pages, so last in the list of what is wrong.
        for name in LIMITS:
            self._fields[name] = self._fields.pop(name)

    def validate_air_max_c(self, field: Figure) -> None:
        """A highest below the lowest would be met by nothing."""
        refuse_crossed(self.air_min_c, field)

    def validate_surface_max_c(self, field: Figure) -> None:
        """A highest below the lowest would be met by nothing."""
        refuse_crossed(self.surface_min_c, field)

    def validate_humidity_max(self, field: Figure) -> None:
        """A highest below the lowest would be met by nothing."""
        refuse_crossed(self.humidity_min, field)


def refuse_crossed(low: RoomField, high: RoomField) -> None:
    """Refuse a highest below its lowest."""
    if low.data is not None and high.data is not None and low.data > high.data:
        message = _(
            "%(label)s: “%(typed)s” is below the lowest, %(low)s. Give the lowest and the highest the right way round.",
            label=high.label.text,
            typed=high.shown,
            low=low.shown,
        )
        high.refuse(message)
