"""What may be typed about the appliance and about distances: limits and units. What was not read stays blank."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.heat.appliance.models import NO_PAPER, PAPER
from siteapp.heat.appliance.services import APPLIANCE, MOST_THINGS, PAPERS_SLOT, PLATE, TAPE
from siteapp.heat.wording import FUEL_WORDS, KIND_WORDS, PAPER_WORDS, PLACE_WORDS, offered
from siteapp.trade.heat import COUNTRIES
from siteapp.trade.heat.clearances import LARGEST_FLUE_MM, LARGEST_MM
from siteapp.web.fields import Choice, Day, Figure, Lines, Photos, RoomForm, Tick, Words
from siteapp.web.i18n import Lazy, _, _l

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_KW = 500.0
ELSEWHERE = "elsewhere"
YES, NO = "yes", "no"
YES_NO: Sequence[tuple[str, Lazy]] = (("", _l("Not known")), (YES, _l("Yes")), (NO, _l("No")))


def _asked(label: Lazy, hint: Lazy | str = "") -> Figure:
    return Figure(label, unit="mm", low=0, high=LARGEST_MM, hint=hint)


class ApplianceForm(RoomForm):
    """The appliance as its plate and papers have it."""

    kind = "appliance"

    plate_photos = Photos(_l("Photo of the plate"), slot=PLATE, camera=True)
    photos = Photos(_l("Photos of the appliance"), slot=APPLIANCE)
    appliance_kind = Choice(_l("What it is"), choices=offered(KIND_WORDS, _l("Not known")), look="select")
    model = Words(_l("Make and model"), longest=300, hint=_l("As on the plate."))
    serial = Words(_l("Number on the plate"), longest=100)
    fuel = Choice(_l("Fuel"), choices=offered(FUEL_WORDS, _l("Not known")), look="select")
    output_kw = Figure(_l("Rated output"), unit="kW", low=0.1, high=MOST_KW)
    country = Choice(
        _l("Whose published rules"),
        choices=[("", _l("Not said")), *((one, one) for one in COUNTRIES), (ELSEWHERE, _l("Elsewhere"))],
        look="select",
        hint=_l("Asked only where the plate gives no distance. The local code comes first everywhere."),
    )
    instructions = Words(_l("Instructions and their date"), longest=300)
    plate_above_mm = _asked(
        _l("Above"), _l("Distances to what can burn. Blank where plate and instructions give none.")
    )
    plate_beside_mm = _asked(_l("Beside"))
    plate_front_mm = _asked(_l("In front"))
    plate_flue_mm = _asked(_l("From the flue"))
    opening_width_mm = Figure(_l("Opening, width"), unit="mm", low=1, high=LARGEST_MM)
    opening_height_mm = Figure(_l("Opening, height"), unit="mm", low=1, high=LARGEST_MM)
    opening_floor_mm = Figure(_l("Its lower edge above the floor"), unit="mm", low=0, high=LARGEST_MM)
    flue = Words(_l("Flue"), rows=2, longest=1000, hint=_l("Of what it is, which way it runs, how far to the wall."))
    flue_diameter_mm = Figure(
        _l("Bare flue pipe, outside diameter"),
        unit="mm",
        low=1,
        high=LARGEST_FLUE_MM,
        hint=_l("Blank where there is no bare pipe."),
    )
    flue_shielded = Choice(_l("Shield between pipe and piece"), choices=YES_NO)
    commissioned = Choice(_l("Commissioning paper"), choices=offered(PAPER_WORDS), look="select")
    commissioning = Words(
        _l("Its number and day, by whom"), longest=300, hint=_l("By whoever the law of the place lets do it.")
    )
    papers = Photos(_l("Photos of papers"), slot=PAPERS_SLOT)
    seen_by = Words(_l("Read by"), longest=200, autocomplete="name")
    seen_on = Day(_l("On"))
    note = Words(_l("Note"), rows=2, longest=3000)

    def validate_commissioning(self, field: Words) -> None:
        """A paper that was seen has a number; one that is not there has none."""
        if self.commissioned.data == PAPER and field.is_blank():
            field.refuse(_("The paper was seen: give its number and day, and by whom it is."))
        if self.commissioned.data == NO_PAPER and not field.is_blank():
            field.refuse(_("“There is no paper” is chosen above: take this out, or choose that it was seen."))


class ThingRow(Form):
    """One thing near the fire."""

    thing = Words(_l("What"), required=True, longest=160, hint=_l("The piece's lower edge, its batten, a shelf, trim."))
    place = Choice(_l("Where"), required=True, choices=offered(PLACE_WORDS, _l("Choose …")), look="select")
    distance_mm = Figure(_l("Distance"), unit="mm", low=0, high=LARGEST_MM, hint=_l("The shortest, by tape."))
    projection_mm = Figure(_l("Stands out from the wall"), unit="mm", low=0, high=LARGEST_MM)
    combustible = Choice(_l("Can it burn"), choices=YES_NO, look="select")
    known_from = Words(_l("Known from"), longest=300, hint=_l("The report, the material."))
    metal_fixing = Tick(_l("A metal fixing"))


class DistancesForm(RoomForm):
    """How far things are from the fire."""

    kind = "heat_distances"

    things = Lines(
        ThingRow,
        _l("Things near the fire"),
        spare=2,
        most=MOST_THINGS,
        least=1,
        hint=_l("Above and beside apart: the piece gets a line for each. What was not measured stays blank."),
    )
    photos = Photos(_l("Photos"), slot=TAPE, hint=_l("Each with the tape in the picture."))
    measured_by = Words(_l("Measured by"), longest=200, autocomplete="name")
    measured_on = Day(_l("On"))
    tape = Words(_l("Tape"), longest=200)
    note = Words(_l("Note"), rows=2, longest=3000)

    def validate_things(self, field: Lines) -> None:
        """What cannot burn says how that is known: it takes a distance off the list."""
        for entry in field.entries:
            row: Any = entry.form
            if row.combustible.data == NO and row.known_from.is_blank():
                row.known_from.refuse(_("Known from: say how it is known that this cannot burn."))
