"""What may be typed about a crate, and about a piece before it is packed: limits and units."""

from __future__ import annotations

from typing import Any

from siteapp.dispatch.looks import NEEDED, SPOKEN, unseen
from siteapp.pieces.forms import LONGEST_MM
from siteapp.pieces.models import ESTIMATED, WEIGHED
from siteapp.pieces.slots import BACK, DETAILS, EDGES, FRONT, HARDWARE, RAKING, TARGET, WORDS
from siteapp.web.fields import Choice, Figure, Photos, RoomForm, Words
from siteapp.web.i18n import _, _l

HEAVIEST_KG = 10_000
LONGEST_WAIT_H = 720
# Words that people write where nothing is: kept, they would stand as the name of an indicator that is fitted.
NONE_FITTED = frozenset({"-", "–", "—", "/", "0", "n/a", "na", "no", "none", "not fitted", "nil", "without"})

CRATE_FIELDS = (
    "width_mm",
    "height_mm",
    "depth_mm",
    "gross_kg",
    "gross_origin",
    "way_up",
    "shock_indicator",
    "tilt_indicator",
    "acclimatise_hours",
    "note",
)
SLOT_FIELDS = {
    "front": FRONT,
    "back": BACK,
    "edges": EDGES,
    "hardware": HARDWARE,
    "details": DETAILS,
    "target": TARGET,
    "raking": RAKING,
}


class CrateForm(RoomForm):
    """What the piece travels in."""

    kind = "crate"

    width_mm = Figure(_l("Width"), unit="mm", low=1, high=LONGEST_MM)
    height_mm = Figure(_l("Height"), unit="mm", low=1, high=LONGEST_MM)
    depth_mm = Figure(_l("Depth"), unit="mm", low=1, high=LONGEST_MM)
    gross_kg = Figure(
        _l("Gross weight"), unit="kg", low=0.01, high=HEAVIEST_KG, hint=_l("Crate, packing and piece together.")
    )
    gross_origin = Choice(
        _l("Where the gross weight comes from"),
        choices=[("", _l("Not known")), (WEIGHED, _l("Weighed")), (ESTIMATED, _l("Estimated"))],
        look="select",
    )
    way_up = Words(_l("Which way up"), longest=300, hint=_l("How it stands on the van, and which side is opened."))
    shock_indicator = Words(
        _l("Shock indicator"),
        longest=300,
        hint=_l("Which one is fitted and at what it trips, in g. Blank when none is."),
    )
    tilt_indicator = Words(
        _l("Tilt indicator"),
        longest=300,
        hint=_l("Which one is fitted and at what it trips, in degrees. Blank when none is."),
    )
    acclimatise_hours = Figure(
        _l("To acclimatise"),
        unit="h",
        low=0,
        high=LONGEST_WAIT_H,
        hint=_l("How long it stands closed on site before it is unwrapped, as its maker decided."),
    )
    note = Words(_l("Note"), rows=3, hint=_l("Lifting points, how it is opened, what must come back."))

    def validate_gross_origin(self, field: Choice) -> None:
        """A weight without its origin, or the other way round, would be half a statement."""
        if self.gross_kg.data is not None and not field.data:
            field.refuse(_("Where the gross weight comes from: say whether it was weighed or estimated."))
        if self.gross_kg.data is None and field.data and not self.gross_kg.errors:
            field.refuse(_("Where the gross weight comes from: give the weight too, or choose “Not known”."))

    def validate_shock_indicator(self, field: Words) -> None:
        """None fitted is said by leaving it blank."""
        _refuse_none(field)

    def validate_tilt_indicator(self, field: Words) -> None:
        """None fitted is said by leaving it blank."""
        _refuse_none(field)


class LookForm(RoomForm):
    """How the piece looked before it was packed."""

    kind = "dispatch"

    front = Photos(WORDS[FRONT], slot=FRONT, hint=_l("Whole, and then whatever is not as it should be."))
    back = Photos(WORDS[BACK], slot=BACK, hint=_l("With the metalwork and the label."))
    edges = Photos(WORDS[EDGES], slot=EDGES, hint=_l("All four; corners are knocked first."))
    hardware = Photos(WORDS[HARDWARE], slot=HARDWARE)
    details = Photos(WORDS[DETAILS], slot=DETAILS)
    target = Photos(WORDS[TARGET], slot=TARGET, hint=_l("In the same light as the piece."))
    raking = Photos(WORDS[RAKING], slot=RAKING, hint=_l("One lamp, low from one side; say in the note which."))
    found = Choice(
        _l("What was found"),
        choices=tuple(SPOKEN.items()),
        required=True,
        hint=_l("Nothing found needs photos of front, back and edges."),
    )
    packed_by = Words(_l("Packed by"), longest=200)
    note = Words(_l("Note"), rows=4, hint=_l("What was found and where; how it was packed."))

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field, and name every photo that *nothing found* lacks."""
        super().validate(extra_validators)
        seen = {SLOT_FIELDS[name] for name in SLOT_FIELDS if not self[name].is_blank()}
        for slot, message in unseen(self.found.data or "", seen, NEEDED):
            if not self[slot].errors:
                self[slot].refuse(message)
        return not self.errors


def _refuse_none(field: Words) -> None:
    if field.data and field.data.strip(" .").casefold() in NONE_FITTED:
        message = _(
            "%(label)s: “%(typed)s” would stand as the name of one that is fitted. Leave it blank when none is.",
            label=field.label.text,
            typed=field.shown,
        )
        field.refuse(message)
