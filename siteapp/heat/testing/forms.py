"""What may be typed about a heat test: limits and units."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from wtforms import Form

from siteapp.heat.testing.logs import LARGEST_BYTES, Unreadable, text_of
from siteapp.heat.testing.services import MOST_PROBES, PROBES
from siteapp.heat.wording import HAPPENED_WORDS, OUTPUT_WORDS, SPOT_WORDS, offered
from siteapp.marks.forms import marks_field
from siteapp.trade.heat.fitting import COLDEST_C, HOTTEST_C, LONGEST_MIN
from siteapp.trade.heat.judging import COLDEST_ROOM_C, HOTTEST_ROOM_C, MARGIN_C, MOST_MARGIN_C
from siteapp.web.celsius import ask_back
from siteapp.web.fields import Choice, Figure, Instant, Lines, Photos, RoomField, RoomForm, Tick, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_ERROR_C = 20.0
USUAL_ERROR_C = 2.0
YES, NO = "yes", "no"
LONGEST_LABEL = 12


class ProbeRow(Form):
    """One probe."""

    label = Words(_l("Label"), required=True, longest=LONGEST_LABEL, hint=_l("Short, as on its lead: P1."))
    spot = Choice(_l("On the"), required=True, choices=offered(SPOT_WORDS, _l("Choose …")), look="select")
    placed = Words(_l("Where there"), longest=200, hint=_l("Lower edge, middle."))
    thermometer = Words(_l("Thermometer"), longest=200)
    error_c = Figure(_l("Off by ±"), unit="°C", low=0, high=MOST_ERROR_C, required=True)


class BeginForm(RoomForm):
    """A heat test begins, or its beginning is put right."""

    kind = "heat_test"

    lit_at = Instant(_l("Lit at"), required=True)
    fuel = Words(_l("What is burnt"), longest=500, hint=_l("How dry, how much a charge; the gas setting."))
    by_hand = Choice(
        _l("Does somebody put fuel on"), choices=((YES, _l("Yes, charge by charge")), (NO, _l("No, it feeds itself")))
    )
    output = Choice(_l("Output"), choices=offered(OUTPUT_WORDS), hint=_l("Only a fire at rated output can be met."))
    output_from = Words(_l("How that is known"), longest=300)
    room_c = Figure(_l("Room now"), unit="°C", low=COLDEST_ROOM_C, high=HOTTEST_ROOM_C)
    hottest_room_c = Figure(_l("Hottest that the room gets"), unit="°C", low=COLDEST_ROOM_C, high=HOTTEST_ROOM_C)
    hottest_from = Words(_l("How that is known"), longest=300)
    in_celsius = Tick(_l("Those are °C indeed"))
    margin_c = Figure(
        _l("Margin to the limits"), unit="°C", low=0, high=MOST_MARGIN_C, required=True, hint=_l("10 °C is ours.")
    )
    watched_by = Words(_l("Who stays with the fire"), longest=200, autocomplete="name")
    probes = Lines(
        ProbeRow,
        _l("Probes"),
        spare=1,
        most=MOST_PROBES,
        least=1,
        hint=_l("Face, back, bond and anchors each have one. A part without a probe is held against the hottest."),
    )
    photos = Photos(_l("Photos that show the probes"), slot=PROBES)
    marks = marks_field()
    note = Words(_l("Note"), rows=2, longest=2000)

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field; a room that reads like °F is asked back."""
        fine = super().validate(extra_validators)
        ask_back((self.room_c, self.hottest_room_c), self.in_celsius)
        return fine and not self.errors


class ReadingsForm(RoomForm):
    """What the probes read now; a field a probe is added by `readings_form_of`."""

    kind = "heat_readings"

    minutes = Figure(
        _l("Minutes since it was lit"), unit="min", low=0, high=LONGEST_MIN, hint=_l("Blank is now, by this device.")
    )
    note = Words(_l("Note"), longest=500)

    def celsius(self, labels: Sequence[str]) -> dict[str, float]:
        """Readings by probe; those left blank are not there."""
        told = {label: self[f"probe_{place}"].data for place, label in enumerate(labels)}
        return {label: value for label, value in told.items() if value is not None}

    def validate(self, extra_validators: Any = None) -> bool:
        """At least one probe was read."""
        fine = super().validate(extra_validators)
        fields = [field for field in self if field.name.startswith("probe_")]
        if fields and all(field.is_blank() for field in fields):
            fields[0].refuse(_("%(label)s: give at least one reading.", label=fields[0].label.text))
        return fine and not self.errors


def readings_form_of(labels: Sequence[str], typed: Any = None, **kwargs: Any) -> ReadingsForm:
    """A form with one field a probe."""
    fields = {
        f"probe_{place}": Figure(label, unit="°C", low=COLDEST_C, high=HOTTEST_C) for place, label in enumerate(labels)
    }
    return type("ReadingsFormOfProbes", (ReadingsForm,), fields)(typed, **kwargs)


class EventForm(RoomForm):
    """Something happened; a button of the page says what."""

    kind = "heat_event"

    what = Choice(_l("What happened"), required=True, choices=offered(HAPPENED_WORDS), look="select")
    minutes = Figure(
        _l("Minutes since it was lit"), unit="min", low=0, high=LONGEST_MIN, hint=_l("Blank is now, by this device.")
    )
    probe = Choice(_l("Which probe"), look="select")
    note = Words(_l("Note"), longest=500)

    def offer(self, labels: Sequence[str]) -> None:
        """The test's probes."""
        self.probe.choices = [("", _("None")), *((label, label) for label in labels)]


class LogFile(RoomField):
    """A logger's file. `data` is its text, `file_name` what it is called."""

    shape = "text file"
    file_name = ""

    def process_formdata(self, valuelist: Sequence[Any]) -> None:
        """Read it in whichever encoding it is."""
        self.typed, self.data = "", None
        part = next((value for value in valuelist if getattr(value, "filename", None)), None)
        if part is None:
            return
        self.file_name = str(part.filename)[:200]
        try:
            self.data = text_of(part.stream.read(LARGEST_BYTES + 1))
        except Unreadable as unreadable:
            raise ValueError(_("%(label)s: %(why)s", label=self.label.text, why=unreadable)) from None

    def is_blank(self) -> bool:
        """Whether there was no file."""
        return not self.data


class ColumnRow(Form):
    """Which probe a column is."""

    column = Words(_l("Column"), longest=200)
    probe = Choice(_l("Probe"), look="select")


class LogForm(RoomForm):
    """A logger's file, or pasted lines. It does not wait on a phone: it is looked at before it is kept."""

    kind = "heat_log"
    waits = False
    ABOUT_SENDING: ClassVar[frozenset[str]] = RoomForm.ABOUT_SENDING | {"file"}

    file = LogFile(_l("File"), hint=_l("CSV or text, as the logger writes it, at most 900 kB."))
    text = Words(
        _l("Its lines"),
        rows=10,
        longest=LARGEST_BYTES,
        hint=_l("Pasted, a time first: “14:05 61,5 48,0”, or minutes since it was lit. A header names the columns."),
    )
    file_name = Words("", hidden=True, longest=200)
    first_minutes = Figure(
        _l("The log began"),
        unit="min after lighting",
        low=0,
        high=LONGEST_MIN,
        hint=_l("For times that count from the log's own beginning. Blank is 0."),
    )
    unit = Choice(_l("Figures are in"), choices=(("c", "°C"), ("f", "°F")), default="c")
    columns = Lines(ColumnRow, _l("Which column is which probe"), spare=0, most=MOST_PROBES)

    def take_file(self) -> None:
        """Let the file's text stand where pasted lines would; a form with neither is refused."""
        if self.file.data:
            self.text.process_formdata([self.file.data])
            self.file_name.data = self.file_name.typed = self.file.file_name
        if self.text.is_blank() and not self.errors:
            self.text.refuse(_("File: choose one, or paste its lines."))


class EndForm(RoomForm):
    """A heat test ends."""

    kind = "heat_test_end"

    note = Words(_l("Note"), rows=2, longest=2000)


USUAL: dict[str, Any] = {"margin_c": MARGIN_C}
