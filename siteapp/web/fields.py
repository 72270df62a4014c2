"""Fields of forms: what people type is read, held against its limits, and kept as typed for the page that comes back.

A message names the field, what was typed and what is allowed. Fields are made as `Field(label, required=…, hint=…)`.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING, Any

from wtforms.validators import ValidationError
from wtforms.widgets import CheckboxInput, HiddenInput, PasswordInput, TextArea

from siteapp.web import dates, figures
from siteapp.web.fieldbase import RoomField
from siteapp.web.forms import RoomForm, typed
from siteapp.web.i18n import Lazy, _, _l
from siteapp.web.rows import Lines
from siteapp.web.uploads import AnyFile, Photos, PhotoTicks, Signature

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wtforms.form import BaseForm

__all__ = [
    "AnyFile",
    "Choice",
    "Day",
    "Figure",
    "Instant",
    "Lines",
    "PhotoTicks",
    "Photos",
    "RoomField",
    "RoomForm",
    "Secret",
    "Signature",
    "Tick",
    "VerdictChoice",
    "Whole",
    "Words",
    "typed",
]

LONGEST_NOTE = 10_000
LONGEST_SECRET = 1_000
# What a database, a PDF or an XML record cannot hold: control characters but tab and line feed, lone surrogates.
NOT_KEPT = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
PIN = re.compile("[0-9]{4,8}", re.ASCII)
EARLIEST = date(1900, 1, 1)
LATEST = date(2199, 12, 31)
LIMIT_PLACES = 6
VERDICTS = (("met", _l("met")), ("not met", _l("not met")), ("cannot tell", _l("cannot tell")))

Label = str | Lazy | None


class Words(RoomField):
    """Text of at most `longest` characters; several lines when `rows` says how many to show. None when blank.

    `suggestions` are offered by the browser while somebody types in a field of one line.
    """

    suggestions: Sequence[str] = ()

    def __init__(
        self,
        label: Label = None,
        *,
        longest: int = LONGEST_NOTE,
        rows: int = 0,
        autocomplete: str = "",
        hidden: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(label, **kwargs)
        self.longest, self.rows, self.autocomplete = longest, rows, autocomplete
        self.shape = "hidden" if hidden else "text" if rows else "words"
        if hidden or rows:
            self.widget = HiddenInput() if hidden else TextArea()

    def read(self, text: str) -> str | None:
        """The text with line ends as LF and without blanks at its end."""
        kept = text.replace("\r\n", "\n").replace("\r", "\n").rstrip()
        if not self.rows:
            kept = kept.replace("\n", " ").lstrip()
        if found := NOT_KEPT.search(kept):
            raise ValueError(
                _(
                    "%(label)s: the character at place %(place)s (U+%(code)s) cannot be kept. Take it out.",
                    label=self.label.text,
                    place=found.start() + 1,
                    code=f"{ord(found[0]):04X}",
                )
            )
        if len(kept) > self.longest:
            raise ValueError(
                _(
                    "%(label)s: %(count)s characters are too many. Give at most %(longest)s.",
                    label=self.label.text,
                    count=figures.written(len(kept)),
                    longest=figures.written(self.longest),
                )
            )
        return kept or None


class Secret(RoomField):
    """A passphrase, or a PIN of 4 to 8 `digits`. Never shown back, no part of `values()`."""

    widget = PasswordInput()
    shape = "secret"
    secret = True

    def __init__(self, label: Label = None, *, digits: bool = False, autocomplete: str = "off", **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.digits, self.autocomplete = digits, autocomplete

    def read(self, text: str) -> str | None:
        """The secret exactly as typed."""
        label = self.label.text
        if not text:
            return None
        if self.digits and not PIN.fullmatch(text):
            raise ValueError(_("%(label)s: give 4 to 8 digits.", label=label))
        if NOT_KEPT.search(text) or len(text) > LONGEST_SECRET:
            message = _("%(label)s: give at most %(longest)s plain characters.", label=label, longest=LONGEST_SECRET)
            raise ValueError(message)
        return text


class Figure(RoomField):
    """A measured or wanted number from `low` to `high`, both included, in `unit`.

    Takes a decimal comma or point, fractions and other units of the same quantity (see `siteapp.web.figures`).
    `data` is a finite float in `unit`; `typed` is the text as it was typed.
    """

    shape = "figure"

    def __init__(self, label: Label = None, *, unit: str = "", low: float, high: float, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.unit, self.low, self.high = unit, low, high
        self.read_as = ""  # the value in the field's unit, when another unit was typed

    def read(self, text: str) -> float | None:
        """The number in the field's unit."""
        if not text.strip():
            return None
        try:
            found = figures.read(text, self.unit)
        except figures.TwoReadings as two:
            one, other = two.readings
            both = _("It can be read in two ways: write %(one)s or %(other)s.", one=one, other=other)
            raise ValueError(self.not_taken(text, f"{both} {self.allowed()}")) from None
        except figures.NotANumber:
            raise ValueError(self.not_taken(text, self.allowed())) from None
        value = self.exact(found, text)
        here = f"{figures.written(found.value)} {self.unit}".strip()
        if found.unit_typed and found.unit_typed != self.unit:
            self.read_as = here
        if not self.low <= value <= self.high:
            shown = f"{text.strip()} = {here}" if self.read_as else text
            raise ValueError(self.not_taken(shown, self.allowed()))
        return value

    def exact(self, found: figures.Read, text: str) -> float:
        """The value as the field keeps it."""
        return float(found.value)

    def allowed(self) -> str:
        """What may be typed."""
        return _(
            "Give a number from %(low)s to %(high)s.", low=figures.written(self.low, LIMIT_PLACES), high=self._high()
        )

    def write(self, value: Any) -> str:
        """The number as one would type it."""
        return "" if value is None else figures.typed_again(value)

    def _high(self) -> str:
        return f"{figures.written(self.high, LIMIT_PLACES)} {self.unit}".strip()


class Whole(Figure):
    """A whole number from `low` to `high`; `data` is an int."""

    shape = "whole"

    def exact(self, found: figures.Read, text: str) -> int:
        """The number, if it is a whole one."""
        if found.value.denominator != 1:
            raise ValueError(self.not_taken(text, self.allowed()))
        return int(found.value)

    def allowed(self) -> str:
        """What may be typed."""
        low = figures.written(self.low)
        return _("Give a whole number from %(low)s to %(high)s.", low=low, high=self._high())


class Choice(RoomField):
    """One of `choices` (value, label), as radio buttons or as a `look="select"` list. None when nothing is chosen."""

    shape = "choice"

    def __init__(
        self, label: Label = None, *, choices: Sequence[tuple[str, Any]] = (), look: str = "radio", **kwargs: Any
    ) -> None:
        super().__init__(label, **kwargs)
        self.choices = list(choices)
        self.look = look

    def read(self, text: str) -> str | None:
        """The value of the choice; whether it is one is checked later, when `choices` are known."""
        return text or None

    def options(self) -> list[tuple[str, Any, bool]]:
        """Value, label and whether it is chosen."""
        chosen = self.typed if self.typed is not None else (self.data or "")
        return [(value, label, value == chosen) for value, label in self.choices]

    def missing(self) -> str:
        """The message when nothing was chosen."""
        return _("%(label)s: choose one.", label=self.label.text)

    def pre_validate(self, form: BaseForm) -> None:
        """Refuse what is not among the choices."""
        super().pre_validate(form)
        if self.data is not None and self.data not in {value for value, _label in self.choices}:
            allowed = _("Choose one of: %(choices)s.", choices=", ".join(str(label) for _value, label in self.choices))
            message = self.not_taken(self.data, allowed)
            self.data = None
            raise ValidationError(message)


class VerdictChoice(Choice):
    """One of the three answers: met, not met, cannot tell."""

    shape = "verdict"

    def __init__(self, label: Label = None, **kwargs: Any) -> None:
        super().__init__(label, choices=VERDICTS, **kwargs)


class Tick(RoomField):
    """A box to tick; `data` is a bool. A required one must be ticked."""

    widget = CheckboxInput()
    shape = "tick"
    UNTICKED = frozenset({"", "0", "false", "no", "off"})

    def read(self, text: str) -> bool:
        """Whether it was ticked."""
        return text.strip().lower() not in self.UNTICKED

    def is_blank(self) -> bool:
        """Whether it was left empty."""
        return not self.data

    def missing(self) -> str:
        """The message for a box that must be ticked."""
        return _("%(label)s: tick this first.", label=self.label.text)


class Day(RoomField):
    """A date from `earliest` on; up to today unless `future`. `data` is a date."""

    shape = "day"

    def __init__(self, label: Label = None, *, earliest: date = EARLIEST, future: bool = False, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.earliest, self.future = earliest, future

    def read(self, text: str) -> date | None:
        """The date."""
        if not text.strip():
            return None
        try:
            day = dates.read_day(text)
        except dates.NotADate:
            raise ValueError(self.not_taken(text, self.allowed())) from None
        if not self.earliest <= day <= self._latest():
            raise ValueError(self.not_taken(text, self.allowed()))
        return day

    def allowed(self) -> str:
        """What may be typed."""
        first, last = dates.day_words(self.earliest), dates.day_words(self._latest())
        if self.future:
            return _("Give a date from %(first)s to %(last)s, such as 2026-11-25.", first=first, last=last)
        return _("Give a date from %(first)s to today, %(last)s.", first=first, last=last)

    def write(self, value: Any) -> str:
        """The date as a browser's date field wants it."""
        return value.isoformat() if value else ""

    def plain(self) -> str | None:
        """The date, ISO 8601."""
        return self.data.isoformat() if self.data else None

    def _latest(self) -> date:
        return LATEST if self.future else dates.today()


class Instant(RoomField):
    """A date and a time of day on this laptop's clock, not before `earliest`; up to now unless `future`.

    `data` is an instant in UTC. Clocks differ: ten minutes ahead still count as now.
    """

    shape = "instant"

    def __init__(self, label: Label = None, *, earliest: date = EARLIEST, future: bool = False, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.earliest, self.future = earliest, future

    def read(self, text: str) -> datetime | None:
        """The instant."""
        if not text.strip():
            return None
        try:
            at = dates.read_instant(text)
        except dates.NotADate:
            raise ValueError(self.not_taken(text, self.allowed())) from None
        first = datetime.combine(self.earliest, time()).astimezone()
        last = datetime.combine(LATEST, time(), tzinfo=UTC) if self.future else dates.soon()
        if not first <= at <= last:
            raise ValueError(self.not_taken(text, self.allowed()))
        return at

    def allowed(self) -> str:
        """What may be typed."""
        first = dates.day_words(self.earliest)
        if self.future:
            last = dates.day_words(LATEST)
            return _(
                "Give a date and a time from %(first)s to %(last)s, such as 2026-11-25 14:35.", first=first, last=last
            )
        last = dates.instant_words(dates.now())
        return _("Give a date and a time from %(first)s to now, %(last)s.", first=first, last=last)

    def write(self, value: Any) -> str:
        """The instant as a browser's own field wants it."""
        return f"{value.astimezone():%Y-%m-%dT%H:%M}" if value else ""

    def plain(self) -> str | None:
        """The instant, ISO 8601 in UTC."""
        return self.data.astimezone(UTC).isoformat() if self.data else None
