"""What may be typed about a look at a piece at handover or at a later visit."""

from __future__ import annotations

from typing import Any

from siteapp.condition.models import HANDOVER, LATER_VISIT
from siteapp.condition.services import OCCASION_WORDS
from siteapp.dispatch.looks import SPOKEN, unseen
from siteapp.pieces.slots import BACK, DETAILS, EDGES, FRONT, HARDWARE, RAKING, TARGET, WORDS
from siteapp.web.fields import Choice, Photos, RoomForm, Words
from siteapp.web.i18n import _l

SLOT_FIELDS = {
    "front": FRONT,
    "back": BACK,
    "edges": EDGES,
    "hardware": HARDWARE,
    "details": DETAILS,
    "raking": RAKING,
    "target": TARGET,
}
SAID = ("occasion", "found", "light", "surroundings", "note", "advice")


class LookForm(RoomForm):
    """How the piece was when somebody looked it over."""

    kind = "condition"

    occasion = Choice(
        _l("Occasion"),
        choices=tuple((value, OCCASION_WORDS[value]) for value in (HANDOVER, LATER_VISIT)),
        required=True,
    )
    front = Photos(WORDS[FRONT], slot=FRONT, hint=_l("Whole, square on, as at the look before."))
    back = Photos(WORDS[BACK], slot=BACK, hint=_l("While it hangs, what can be seen of it from the sides."))
    edges = Photos(WORDS[EDGES], slot=EDGES, hint=_l("All four; corners are knocked first."))
    hardware = Photos(WORDS[HARDWARE], slot=HARDWARE)
    details = Photos(WORDS[DETAILS], slot=DETAILS, hint=_l("Close up, whatever is not as it should be."))
    raking = Photos(WORDS[RAKING], slot=RAKING, hint=_l("A lamp held low to one side shows bulges and old fillings."))
    target = Photos(WORDS[TARGET], slot=TARGET, hint=_l("A ruler and a colour card beside the piece."))
    found = Choice(
        _l("What was found"),
        choices=tuple(SPOKEN.items()),
        required=True,
        hint=_l("Nothing found needs photos of front, back and edges."),
    )
    light = Words(
        _l("Light and method"), rows=2, hint=_l("Daylight or lamp, from where; from the floor or a platform; touched?")
    )
    surroundings = Words(_l("Around it"), rows=2, hint=_l("Heat, damp, sun, plants, people passing close."))
    note = Words(_l("Note"), rows=4, hint=_l("What was found and where, and what could not be seen."))
    advice = Words(_l("What should be done"), rows=3, hint=_l("By whom, and until when."))

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field, and name every photo that *nothing found* still needs."""
        super().validate(extra_validators)
        for name, message in unseen(self.found.data or "", self._filled()):
            if not self[name].errors:
                self[name].refuse(message)
        return not self.errors

    def _filled(self) -> set[str]:
        return {field.slot for field in self if isinstance(field, Photos) and not field.is_blank()}
