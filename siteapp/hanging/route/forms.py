"""What may be typed about the crate's way in: limits and units. What nobody measured stays blank."""

from __future__ import annotations

from typing import Any

from wtforms import Form

from siteapp.hanging.route.services import MOST_STEPS, SLOT
from siteapp.hanging.route.wording import ASKS, KIND_WORDS, SIZES, TURN_WORDS, WAYS_UP_WORDS
from siteapp.web.fields import Choice, Day, Figure, Lines, Photos, RoomForm, Tick, Whole, Words
from siteapp.web.i18n import _, _l

LONGEST_MM, HEAVIEST_KG, STEEPEST_DEG, MOST_RIDERS, MOST_ROOM_MM = 20_000, 20_000, 45, 50, 500
YES, NO = "yes", "no"


class StepRow(Form):
    """One obstacle. Which sizes it needs depends on its kind; the others stay blank."""

    kind = Choice(
        _l("What it is"),
        required=True,
        choices=[("", _l("Choose …")), *KIND_WORDS.items()],
        look="select",
    )
    name = Words(_l("Where"), required=True, longest=120, hint=_l("Front door, first landing."))
    width_mm = Figure(
        _l("Clear width"),
        unit="mm",
        low=1,
        high=LONGEST_MM,
        hint=_l("At the narrowest, handles and stops taken off."),
    )
    height_mm = Figure(
        _l("Clear height"), unit="mm", low=1, high=LONGEST_MM, hint=_l("On stairs, above the treads' edges.")
    )
    second_mm = Figure(
        _l("Second width, or depth"),
        unit="mm",
        low=1,
        high=LONGEST_MM,
        hint=_l("The corridor or flight beyond; of a landing or a lift's car, its depth."),
    )
    turn = Choice(_l("The landing turns"), choices=[("", _l("Not known")), *TURN_WORDS.items()], look="select")
    slope_deg = Figure(_l("Slope"), unit="°", low=0, high=STEEPEST_DEG, hint=_l("1 in 12 is 4.8°."))
    door_width_mm = Figure(_l("Lift's door, width"), unit="mm", low=1, high=LONGEST_MM)
    door_height_mm = Figure(_l("Lift's door, height"), unit="mm", low=1, high=LONGEST_MM)
    load_kg = Figure(_l("Load on the lift's plate"), unit="kg", low=1, high=HEAVIEST_KG)
    riders = Whole(_l("People who ride with it"), low=0, high=MOST_RIDERS)
    measured = Tick(_l("Measured with a tape"))
    note = Words(_l("Note"), longest=500)


class RouteForm(RoomForm):
    """The way in, step by step."""

    kind = "route"

    ways_up = Choice(
        _l("Ways up it may travel"), choices=[("", _l("Nobody has said")), *WAYS_UP_WORDS.items()], look="select"
    )
    may_tilt = Choice(
        _l("May be tilted out of that for a moment"),
        choices=[("", _l("Nobody has said")), (YES, _l("Yes")), (NO, _l("No"))],
        hint=_l("To pass a door aslant, or to turn it over."),
    )
    room_mm = Figure(
        _l("Room for hands and blankets, all round"),
        unit="mm",
        low=0,
        high=MOST_ROOM_MM,
        hint=_l("Blank counts as 50 mm, our own choice."),
    )
    steps = Lines(
        StepRow,
        _l("Steps from the van to the wall"),
        spare=2,
        most=MOST_STEPS,
        least=1,
        hint=_l(
            "In the order in which the crate meets them. What somebody only told you has no tick: it counts as a guess."
        ),
    )
    photos = Photos(_l("Photos"), slot=SLOT, hint=_l("Each with the tape in the picture; the lift's plate."))
    measured_by = Words(_l("Measured by"), longest=200, autocomplete="name")
    measured_on = Day(_l("On"))
    note = Words(_l("Note"), rows=2, longest=5000)

    def validate_steps(self, field: Lines) -> None:
        """A size that its kind does not ask for was meant for another field, or for another kind."""
        for entry in field.entries:
            kind = entry.form.kind.data
            for name in SIZES if kind in ASKS else ():
                if name not in ASKS[kind] and not entry.form[name].is_blank() and not entry.form[name].errors:
                    entry.form[name].refuse(
                        _(
                            "%(label)s: nothing is asked for here by “%(kind)s”. Take it out, or choose another kind.",
                            label=entry.form[name].label.text,
                            kind=KIND_WORDS[kind],
                        )
                    )

    def facts(self) -> dict[str, Any]:
        """What was said of the whole way, as the service takes it."""
        return {
            "ways_up": self.ways_up.data,
            "may_tilt": {YES: True, NO: False}.get(self.may_tilt.data or ""),
            "room_mm": self.room_mm.data,
            "measured_by": self.measured_by.data,
            "measured_on": self.measured_on.plain(),
            "note": self.note.data,
        }
