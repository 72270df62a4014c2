"""What may be typed about the lift: who, on what, by what. What nobody has said stays blank."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.hanging.lifting.models import NO_AID
from siteapp.hanging.lifting.services import MOST_STEPS, both
from siteapp.hanging.lifting.wording import (
    AID_WORDS,
    REACH_WORDS,
    SHOWN_FOR,
    STANDING_WORDS,
    STEP_WORDS,
    ZONE_WORDS,
)
from siteapp.trade.lifting.steps import CARRIES
from siteapp.web.fields import Choice, Figure, Lines, RoomForm, Tick, Whole, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from wtforms.form import BaseForm

MOST_PEOPLE, HEAVIEST_KG, LONGEST_M = 20, 5_000, 1_000
NOT_SAID = ("", _l("Not said"))


class StepRow(Form):
    """One step of the lift."""

    step = Choice(_l("Step"), required=True, choices=[("", _l("Choose …")), *STEP_WORDS.items()], look="select")
    people = Whole(
        _l("People who lift"), low=0, high=MOST_PEOPLE, hint=_l("Without whoever guides; 0 where an aid carries it.")
    )
    standing = Choice(_l("Standing on"), choices=[NOT_SAID, *STANDING_WORDS.items()], look="select")
    aid = Choice(
        _l("What bears the weight"),
        choices=[("", AID_WORDS[NO_AID]), *((aid, AID_WORDS[aid]) for aid in CARRIES)],
        look="select",
    )
    zone_from = Choice(_l("Hands begin"), choices=[NOT_SAID, *ZONE_WORDS.items()], look="select")
    zone_to = Choice(
        _l("Hands end"),
        choices=[NOT_SAID, *ZONE_WORDS.items()],
        look="select",
        hint=_l("The same where they stay."),
    )
    reach = Choice(_l("How far out"), choices=[NOT_SAID, *REACH_WORDS.items()], look="select")
    lower = Whole(_l("Of them, below on the stairs"), low=0, high=MOST_PEOPLE)
    carry_m = Figure(_l("Carried without a rest"), unit="m", low=0, high=LONGEST_M)
    rated_kg = Figure(_l("Load on the aid's plate"), unit="kg", low=0.1, high=HEAVIEST_KG)
    in_crate = Tick(_l("In its crate"))
    note = Words(_l("Note"), longest=500)


class LiftForm(RoomForm):
    """How it gets from the van onto the wall."""

    kind = "lift_plan"

    calls = Words(_l("Who calls the moves"), longest=200, hint=_l("One voice; whoever calls does not lift."))
    guides = Words(_l("Who guides"), rows=2, longest=1000, hint=_l("One name a line. Whoever guides does not lift."))
    lifters = Words(_l("Who lifts"), rows=3, longest=1000, hint=_l("One name a line."))
    stop_call = Words(
        _l("How everything stops"),
        rows=2,
        longest=1000,
        hint=_l("The word that anybody may call, and what is done then: lower it, set it down, where."),
    )
    lift_points = Words(
        _l("Where it is taken hold of"), rows=2, longest=2000, hint=_l("And where never: edges, thin places, the coat.")
    )
    steps = Lines(
        StepRow,
        _l("Steps"),
        spare=1,
        most=MOST_STEPS,
        least=1,
        hint=_l("In the order of the work: unload, carry, raise, hold, seat. A long way may be several lines."),
    )
    nuts = Words(_l("Order of the nuts"), rows=2, longest=2000, hint=_l("Which is turned up first, and how far."))
    note = Words(_l("Note"), rows=2, longest=5000)

    def validate_lifters(self, field: Words) -> None:
        """Whoever guides or calls keeps both hands free."""
        if words := both(self.calls.data, self.guides.data, field.data):
            field.refuse(words)

    def validate_steps(self, field: Lines) -> None:
        """What a step does not ask for was meant for another field, or for another step."""
        for entry in field.entries:
            if entry.form.step.data:
                _check(entry.form)

    def rows(self) -> list[dict[str, Any]]:
        """The steps, as the service takes them."""
        return [
            row | {"aid": row["aid"] or NO_AID, "in_crate": True if row["in_crate"] else None}
            for row in self.steps.rows()
        ]


def _check(row: BaseForm) -> None:
    step, aid = row["step"].data, row["aid"].data
    if aid in CARRIES and step not in CARRIES[aid]:
        row["aid"].refuse(
            _(
                "What bears the weight: a %(aid)s carries nothing at this step. Choose another, or another step.",
                aid=aid,
            )
        )
    for name, asked in SHOWN_FOR.items():
        field = row[name]
        wanted = all((row[other].data or "") in values for other, values in asked.items())
        if not wanted and not field.is_blank() and not field.errors:
            field.refuse(_("%(label)s: nothing is asked for here at this step. Take it out.", label=field.label.text))
    people, lower = row["people"].data, row["lower"].data
    if lower is not None and people is not None and lower > people:
        row["lower"].refuse(
            _(
                "Of them, below on the stairs: %(lower)s are more than lift. Give a whole number from 0 to %(people)s.",
                lower=lower,
                people=people,
            )
        )
