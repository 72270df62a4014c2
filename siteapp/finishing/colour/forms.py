"""What may be typed about colour and sheen: limits and units."""

from __future__ import annotations

from typing import Any

from siteapp.trade.colour import ANGLES, ILLUMINANTS, LIGHTEST, MOST_GLOSS, MOST_TOLERANCE, OBSERVERS, WIDEST
from siteapp.web.fields import Choice, Figure, Photos, RoomForm, Tick, Words
from siteapp.web.i18n import _, _l

LONGEST = 200
YES, NO = "yes", "no"
EYES = ("instrument", "illuminant", "observer", "geometry", "gloss_instrument")


class MeasuredForm(RoomForm):
    """Colour and sheen as an instrument shows them. A form that adds fields has them before these."""

    l = Figure(_l("L*"), low=0, high=LIGHTEST)  # noqa: E741 - CIE 1976 calls it so
    a = Figure(_l("a*"), low=-WIDEST, high=WIDEST)
    b = Figure(_l("b*"), low=-WIDEST, high=WIDEST)
    gloss = Figure(_l("Sheen"), unit="GU", low=0, high=MOST_GLOSS)
    gloss_deg = Choice(
        _l("at"),
        choices=[("", _l("Not read")), *((str(angle), f"{angle}°") for angle in ANGLES)],
        look="select",
        hint=_l("60°; above 70 units there 20°, below 10 units 85° (ISO 2813)."),
    )
    instrument = Words(_l("Instrument for colour"), longest=LONGEST)
    illuminant = Choice(
        _l("Illuminant"), choices=[("", _l("Not said")), *((one, one) for one in ILLUMINANTS)], look="select"
    )
    observer = Choice(_l("Observer"), choices=[("", _l("Not said")), *((one, one) for one in OBSERVERS)], look="select")
    geometry = Words(_l("Geometry"), longest=LONGEST, hint=_l("d/8, 45/0 …"))
    gloss_instrument = Words(_l("Instrument for sheen"), longest=LONGEST)

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; colour is three figures, sheen has its angle."""
        fine = super().validate(extra_validators)
        blank = [self[name].is_blank() for name in ("l", "a", "b")]
        if any(blank) and not all(blank):
            at = ("l", "a", "b")[blank.index(True)]
            self[at].refuse(
                _("%(label)s: L*, a* and b* go together. Give all three, or none.", label=self[at].label.text)
            )
        if self.gloss.is_blank() != (not self.gloss_deg.data):
            self.gloss.refuse(_("Sheen: give gloss units and their angle, or neither."))
        return fine and not self.errors

    def measured(self) -> dict[str, Any]:
        """The figures as services take them."""
        said = {name: self[name].data for name in ("l", "a", "b", "gloss", *EYES)}
        return said | {"gloss_deg": int(self.gloss_deg.data) if self.gloss_deg.data else None}


class SampleForm(MeasuredForm):
    """The agreed sample, and how far off may be."""

    kind = "colour_sample"

    name = Words(_l("What the sample is called"), required=True, longest=LONGEST)
    made_of = Words(
        _l("What it is made of"), rows=2, longest=1000, hint=_l("Product, tint, how it was put on, on what.")
    )
    zones = Words(_l("Where it belongs"), longest=500, hint=_l("Blank: the whole piece."))
    tolerance = Figure(
        _l("Near enough: ΔE2000 at most"),
        low=0.1,
        high=MOST_TOLERANCE,
        hint=_l("As agreed for this job. About 1 is just seen side by side: common practice, from memory."),
    )
    gloss_tolerance = Figure(_l("Sheen off by at most"), unit="GU", low=0.1, high=MOST_GLOSS)
    tolerance_from = Words(_l("Agreed with whom, where it stands"), longest=500)
    photos = Photos(_l("Photos of the sample"), slot="sample")
    note = Words(_l("Note"), rows=2, longest=2000)
    dropped = Tick(_l("Counts no more"))


class ReadingForm(MeasuredForm):
    """One reading at one spot."""

    kind = "colour_reading"

    zone = Words(_l("Zone"), required=True, longest=LONGEST)
    spot = Words(_l("Where there"), longest=LONGEST)
    photos = Photos(_l("Photo"), slot="colour", most=4, camera=True)
    note = Words(_l("Note"), longest=1000)

    def validate_l(self, field: Figure) -> None:
        """Something was read."""
        if field.is_blank() and self.gloss.is_blank():
            field.refuse(_("L*: give colour, sheen, or both."))


class AnswerForm(RoomForm):
    """The client's yes or no to the colour."""

    kind = "colour_answer"

    yes = Choice(
        _l("Did the client say yes to colour and sheen?"), required=True, choices=((YES, _l("yes")), (NO, _l("no")))
    )
    client_name = Words(_l("Who said it"), required=True, longest=LONGEST)
    client_words = Words(
        _l("What the client said"), rows=2, longest=1000, hint=_l("In their own words. Needed with a no.")
    )
    light = Words(
        _l("In which light"),
        longest=500,
        hint=_l("Daylight at noon, the room's lamps at evening: two lights show more."),
    )
    photos = Photos(_l("Photos"), slot="colour")

    def validate_client_words(self, field: Words) -> None:
        """A no says why."""
        if self.yes.data == NO and field.is_blank():
            field.refuse(_("What the client said: this is needed with a no."))
