"""What may be typed while finishing: limits and units."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.finishing.climate import ERRORS
from siteapp.finishing.film import NoReadings, readings_of
from siteapp.finishing.listed import Listed
from siteapp.finishing.sheet import LIMITS, SheetForm, refuse_crossed
from siteapp.trade.climate import COLDEST_C, HOTTEST_C, HOTTEST_SURFACE_C
from siteapp.trade.coating import LARGEST_MIX_G, LEAST_CATALYST_PERCENT, MOST_CATALYST_PERCENT
from siteapp.web.celsius import ask_back
from siteapp.web.fields import Choice, Figure, Photos, RoomForm, Tick, Whole, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from wtforms import Form

THICKEST_UM = 5000
MOST_COATS = 99
SHORTEST_WAIT_H = 0.1
LONGEST_WAIT_H = 720
LONGEST_ZONE = 200
MOST_ZONES = 12  # with photos of their own at the end of a session

YES, NO, NOT_ASKED = "yes", "no", "not asked"
ANSWERS = ((YES, _l("yes")), (NO, _l("no")), (NOT_ASKED, _l("not asked")))


class SessionForm(RoomForm):
    """A stretch of surface work begins, or what was said of its beginning is corrected."""

    kind = "finishing_session"

    zone = Words(
        _l("Zone"),
        required=True,
        longest=LONGEST_ZONE,
        hint=_l("Which part of the surface comes first: left wing, lower edge … Each coat names its own."),
    )
    purpose = Words(_l("What is to be done"), longest=500)
    ventilation = Words(
        _l("What is done for air"),
        rows=2,
        longest=1000,
        hint=_l("Windows and doors, fans and where they blow, who is kept out of the room."),
    )
    photos = Photos(_l("Photos before"), slot="before")


class ClimateForm(SheetForm):
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
    in_celsius = Tick(_l("Those are °C indeed"), hint=_l("Asked where a figure reads like °F."))
    photos = Photos(
        _l("Photo of the meter"), slot="meter", most=4, camera=True, hint=_l("It stays with the figures as evidence.")
    )
    listed = Listed(_l("Product from the list"), look="select", hint=_l("Brings its limits and where they are from."))
    product = Words(_l("Product"), longest=400, hint=_l("As on the tin."))
    limits_source = Words(_l("Data sheet and its date"), longest=300)

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; a temperature that reads like °F is asked back."""
        fine = super().validate(extra_validators)
        ask_back((self.air_c, self.surface_c), self.in_celsius)
        return fine and not self.errors


class CoatForm(RoomForm):
    """One application of one product over one zone."""

    kind = "coat"

    listed = Listed(
        _l("Product and batch from the list"),
        look="select",
        hint=_l("Look at the tin in your hand. What is not on the list is typed below."),
    )
    product = Words(_l("Product"), longest=400, hint=_l("As on the tin, when it is not on the list."))
    batch = Words(_l("Batch"), longest=100)
    number = Whole(_l("Coat number"), low=1, high=MOST_COATS, required=True)
    zone = Words(_l("Zone"), required=True, longest=LONGEST_ZONE)
    wet_um = Figure(_l("Wet film, if measured"), unit="µm", low=1, high=THICKEST_UM)
    gauge = Words(
        _l("Readings of the comb gauge"),
        longest=500,
        hint=_l("In µm, at once after it was put on: 120 130 115. Three or more, at different places."),
    )
    thinned_percent = Figure(_l("Thinned by"), unit="%", low=0, high=100, hint=_l("By volume, of the paint's."))
    volume_l = Figure(
        _l("Used"), unit="l", low=0.001, high=1000, hint=_l("Before thinning. With the area: an estimate.")
    )
    area_m2 = Figure(_l("on"), unit="m²", low=0.01, high=10_000)
    loss_percent = Figure(_l("Lost"), unit="%", low=0, high=90, hint=_l("In roller, pot and air."))
    mixed_resin_g = Figure(_l("Resin"), unit="g", low=0.1, high=LARGEST_MIX_G)
    mixed_catalyst_percent = Figure(
        _l("Catalyst by mass"), unit="%", low=LEAST_CATALYST_PERCENT, high=MOST_CATALYST_PERCENT
    )
    volume_solids_percent = Figure(
        _l("Volume solids"), unit="%", low=1, high=100, hint=_l("Blank: the product's, from its data sheet.")
    )
    target_um = Figure(_l("Dry film asked for, at least"), unit="µm", low=1, high=THICKEST_UM)
    target_most_um = Figure(_l("at most"), unit="µm", low=1, high=THICKEST_UM)
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
        hint=_l(
            "Needed when the climate is not met or cannot be told, before the coat under it may be coated, and for a "
            "batch past its date."
        ),
    )
    before = Photos(_l("Photos before this coat"), slot="before")
    photos = Photos(_l("Photos after it"), slot="coat")
    note = Words(_l("Note"), rows=2, hint=_l("How it was mixed and thinned, roller or gun."))

    def validate_gauge(self, field: Words) -> None:
        """Numbers, each within what a gauge reads."""
        try:
            readings_of(field.data)
        except NoReadings as wrong:
            field.refuse(f"{field.label.text}: {wrong}")

    def validate_area_m2(self, field: Figure) -> None:
        """What was used and on what belong together."""
        if field.is_blank() != self.volume_l.is_blank() and not self.volume_l.errors:
            field.refuse(_("Used on: give litres and area, or neither."))

    def validate_target_most_um(self, field: Figure) -> None:
        """A most below the least would be met by nothing."""
        refuse_crossed(self.target_um, field)

    def gauge_readings(self) -> list[float]:
        """Every reading of the wet film, the single one first."""
        single = [] if self.wet_um.data is None else [float(self.wet_um.data)]
        return [*single, *readings_of(self.gauge.data)]

    def validate_product(self, field: Words) -> None:
        """A coat of nothing is none."""
        if field.is_blank() and self.listed.is_blank():
            field.refuse(_("Product: choose one from the list, or type its name."))


class CloseForm(RoomForm):
    """A session ends, with the client's yes or no. Zones after the first have photos of their own: `close_form_of`."""

    kind = "finishing_close"

    photos = Photos(_l("Photos after"), slot="after")
    client_yes = Choice(_l("Did the client say yes to the surface?"), choices=ANSWERS, default=NOT_ASKED)
    client_name = Words(_l("Who said it"), longest=200)
    client_words = Words(
        _l("What the client said"), rows=2, longest=1000, hint=_l("In their own words. Needed when it is a no.")
    )
    note = Words(_l("Note"), rows=3)

    def validate_client_words(self, field: Words) -> None:
        """A no says why; words without a yes or no could be read as either."""
        if self.client_yes.data == NO and field.is_blank():
            field.refuse(_("What the client said: this is needed with a no."))

    def validate_client_yes(self, field: Choice) -> None:
        """Whoever is named or quoted was asked."""
        answered = field.data in {YES, NO}
        if not answered and not field.errors and not (self.client_words.is_blank() and self.client_name.is_blank()):
            field.refuse(_("Did the client say yes: somebody is named or quoted below. Choose yes or no."))

    @property
    def said_yes(self) -> bool | None:
        """The client's yes as it is kept: None when nobody asked."""
        return {YES: True, NO: False}.get(self.client_yes.data)

    def zones(self) -> list[tuple[Words, Photos]]:
        """The zones with photos of their own: each one's name, and its photos."""
        return [(self[f"zone_{at}"], self[f"photos_{at}"]) for at in range(MOST_ZONES) if f"zone_{at}" in self]


def close_form_of(typed: Any = None, *, zones: Sequence[str] = (), **kwargs: Any) -> CloseForm:
    """A form that ends a session, with photos of each zone in `zones`, and of those that a sent form names."""
    names = dict(enumerate(zones[:MOST_ZONES]))
    if typed is not None:
        names = {at: str(typed[f"zone_{at}"]) for at in range(MOST_ZONES) if f"zone_{at}" in typed}
    fields: dict[str, Any] = {}
    for at, zone in names.items():
        fields[f"zone_{at}"] = Words(longest=LONGEST_ZONE, hidden=True, default=zone)
        fields[f"photos_{at}"] = Photos(_("Photos after: %(zone)s", zone=zone[:LONGEST_ZONE]), slot="after")
    return type("CloseFormOfZones", (CloseForm,), fields)(typed, **kwargs)


READ = ("air_c", "relative_humidity", "surface_c", "instrument")
ERROR_FIELDS = tuple(ERRORS)
SHEET = ("product", "limits_source", *LIMITS)
# Without any one of these a climate is not met (see `finishing.climate`).
NAMED = ("instrument", "product", "limits_source", "humidity_min", "margin_limit_c")
CLIMATE_FACTS = (*READ, *ERROR_FIELDS, *SHEET)
FILM_FACTS = (
    "thinned_percent",
    "volume_l",
    "area_m2",
    "loss_percent",
    "mixed_resin_g",
    "mixed_catalyst_percent",
    "volume_solids_percent",
    "target_um",
    "target_most_um",
)
COAT_FACTS = ("product", "batch", "number", "zone", "wet_um", "recoat_hours", "reason", "note")


def figures_of(form: Form, names: Collection[str] | None = None) -> dict[str, tuple[str, float, float]]:
    """Unit, least and most of a form's figures, so that a page by itself takes what the laptop would take.

    Those of all figures, or of the ones in `names`.
    """
    wanted = [field for field in form if isinstance(field, Figure) and (names is None or field.name in names)]
    return {field.name: (field.unit, field.low, field.high) for field in wanted}
