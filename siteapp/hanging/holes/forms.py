"""What may be typed of the holes as drilled: readings in mm or inches as they were called, and a hole made wider."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.hanging.holes.models import INCH, MM
from siteapp.hanging.holes.services import ReadFacts
from siteapp.pieces.slots import DETAILS
from siteapp.trade.survey.hole import LONGEST_SLOT_MM, WIDEST_HOLE_MM
from siteapp.trade.survey.readings import HIGHEST_MM, LONGEST_MM, MOST_READINGS, SHORTEST_MM
from siteapp.web import figures
from siteapp.web.fieldbase import RoomField
from siteapp.web.fields import Choice, Figure, Lines, Photos, RoomForm, Tick, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from fractions import Fraction

    from wtforms import FormField

LONGEST_LABEL = 40
LONGEST_NAME = 200
MOST_MOVED_MM = 200.0
SAME_WAY, OTHER_WAY = "same", "other"
# Where a tape is held when it is not held at its end.
HELD_AT_MM = {MM: 100.0, INCH: 254.0}


class Length(RoomField):
    """A length as it was called; which unit is meant is the round's own, so it is read by `ReadingsForm`."""

    shape = "figure"
    unit = ""
    read_as = ""
    low = -1.0  # heights may be below the line

    def read(self, text: str) -> str | None:
        """The text, without blanks around it."""
        return text.strip()[: figures.LONGEST + 1] or None


class ReadingRow(Form):
    """One reading: a tape from `a` to `b`; with no `b`, the height of `a` over the laser line."""

    a = Words(_l("From hole"), longest=LONGEST_LABEL)
    b = Words(_l("To hole"), longest=LONGEST_LABEL)
    held = Tick(_l("Tape held at 100 mm (or 10 in)"))
    read = Length(_l("Reading"))


class Readings(Lines):
    """Readings; those without a figure were not taken, whatever they ask for."""

    def _filled(self) -> Iterator[FormField]:
        return (entry for entry in self.entries if not entry.form.read.is_blank())


class ReadingsForm(RoomForm):
    """A round of readings of the holes of a piece with these `labels`."""

    kind = "hole_survey"

    unit = Choice(_l("The tape reads"), choices=((MM, _l("mm")), (INCH, _l("inches"))), required=True, default=MM)
    caller = Words(_l("Called by"), longest=LONGEST_NAME, hint=_l("Who reads the tape. Whoever types is signed in."))
    readings = Readings(ReadingRow, _l("Readings"), spare=1, most=MOST_READINGS)
    way = Choice(
        _l("The holes run the same way round"),
        choices=((SAME_WAY, _l("yes")), (OTHER_WAY, _l("no, the other way")), ("", _l("not looked at"))),
    )
    anew = Tick(_l("Holes were drilled or bolts set again: a new round"))
    tape = Words(_l("Tape"), longest=LONGEST_NAME)
    laser = Words(_l("Laser"), longest=LONGEST_NAME)
    from_form = Tick(_l("From the form that came back"))
    note = Words(_l("Note"), rows=2, longest=4000)

    def __init__(self, formdata: Any = None, *, labels: Sequence[str], **kwargs: Any) -> None:
        self.labels = tuple(labels)
        self.found: list[ReadFacts] = []
        super().__init__(formdata, **kwargs)

    def validate_readings(self, field: Readings) -> None:
        """Read each figure in the unit of the round; refuse what is no length, or of no hole."""
        self.found = []
        for entry in field.entries:
            if not entry.form.read.is_blank():
                self._row(entry.form)

    def _row(self, row: Any) -> None:
        a, b, text = row.a.data, row.b.data, row.read.data or ""
        for place in (row.a, row.b):
            if place.data is not None and place.data not in self.labels:
                allowed = _("Allowed are %(labels)s.", labels=", ".join(self.labels))
                place.refuse(place.not_taken(place.data, allowed))
        if a is None:
            row.a.refuse(_("From hole: choose one."))
        elif a == b:
            row.b.refuse(_("To hole: a tape runs to another hole than it begins at."))
        try:
            typed = self._mm(text)
        except ValueError as error:
            row.read.refuse(str(error))
            return
        held = HELD_AT_MM.get(self.unit.data or MM, HELD_AT_MM[MM]) if row.held.data and b is not None else None
        mm = float(typed) - (held or 0.0)
        low, high = (-HIGHEST_MM, HIGHEST_MM) if b is None else (SHORTEST_MM, LONGEST_MM)
        if not low <= mm <= high:
            row.read.refuse(
                _(
                    "Reading: “%(typed)s” is %(mm)s mm. Allowed is from %(low)s to %(high)s mm.",
                    typed=text,
                    mm=figures.written(mm),
                    low=figures.written(low),
                    high=figures.written(high),
                )
            )
        elif not any(place.errors for place in (row.a, row.b)):
            self.found.append(ReadFacts(a or "", b, mm, text, held))

    def _mm(self, text: str) -> Fraction:
        """A length in mm. A unit that was typed behind the figure counts; otherwise that of the round."""
        example = _("Give a length, such as 1204, 1204 mm or 47 3/8 in.")
        try:
            found = figures.read(text, MM)
        except figures.TwoReadings as two:
            one, other = two.readings
            both = _("It can be read in two ways: write %(one)s or %(other)s.", one=one, other=other)
            raise ValueError(_("Reading: “%(typed)s” is not taken. %(allowed)s", typed=text, allowed=both)) from None
        except figures.NotANumber:
            raise ValueError(_("Reading: “%(typed)s” is not taken. %(allowed)s", typed=text, allowed=example)) from None
        if self.unit.data == INCH and not found.unit_typed:
            return found.value * figures.INCH_MM
        return found.value


class EaseForm(RoomForm):
    """A hole of the piece made wider: how it is now, and how far its middle moved."""

    kind = "particulars"

    label = Choice(_l("Hole"), required=True, look="select")
    hole_mm = Figure(_l("Width now"), unit="mm", low=1, high=WIDEST_HOLE_MM, required=True)
    slot_mm = Figure(
        _l("Longer than wide by"), unit="mm", low=0, high=LONGEST_SLOT_MM, hint=_l("Blank for a round hole.")
    )
    slot_deg = Figure(
        _l("The long side runs at"),
        unit="°",
        low=-360,
        high=360,
        hint=_l("0 level, 90 upright, counted from right to up."),
    )
    dx_mm = Figure(
        _l("Its middle moved to the right by"),
        unit="mm",
        low=-MOST_MOVED_MM,
        high=MOST_MOVED_MM,
        hint=_l("Seen from the front; to the left is below 0."),
    )
    dy_mm = Figure(_l("Its middle moved up by"), unit="mm", low=-MOST_MOVED_MM, high=MOST_MOVED_MM)
    reason = Words(_l("Why"), required=True, rows=2, longest=4000)
    photos = Photos(_l("The hole as it is now"), slot=DETAILS, required=True)

    def __init__(self, formdata: Any = None, *, labels: Sequence[str], **kwargs: Any) -> None:
        super().__init__(formdata, **kwargs)
        self.label.choices = [(label, label) for label in labels]
