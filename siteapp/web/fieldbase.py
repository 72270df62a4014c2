"""What every field has in common: its text as typed, its limits in words, and refusals that stay."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any, ClassVar

from wtforms import Field
from wtforms.validators import StopValidation
from wtforms.widgets import TextInput

from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from wtforms.form import BaseForm

    from siteapp.web.i18n import Lazy

SHOWN_LONGEST = 40  # characters of a typed value that a message repeats

Problem = tuple[str, str, str]  # label, message, id of the element that it is about


class RoomField(Field):
    """A field of one value. `data` is the value as read, None when nothing was given or it was refused."""

    widget = TextInput()
    shape: ClassVar[str] = "words"  # which branch of the template draws it
    secret: ClassVar[bool] = False  # never shown back and no part of `values()`

    def __init__(
        self, label: str | Lazy | None = None, *, required: bool = False, hint: str | Lazy = "", **kwargs: Any
    ) -> None:
        super().__init__(label, description=hint, **kwargs)
        self.required = required
        self.typed: str | None = None
        self.refusals: list[str] = []

    @property
    def hint(self) -> str | Lazy:
        """Words that help to fill the field in."""
        return self.description

    @property
    def shown(self) -> str:
        """What stands in the input: the text as it was typed, else the value as one would type it."""
        if self.secret:
            return ""
        return self.typed if self.typed is not None else self.write(self.data)

    def read(self, text: str) -> Any:
        """The value of a typed text, None for nothing. Raises ValueError with a message for the person."""
        return text or None

    def write(self, value: Any) -> str:
        """A value as one would type it."""
        return "" if value is None else str(value)

    def plain(self) -> Any:
        """The value in a form that JSON can hold."""
        return self.data

    def is_blank(self) -> bool:
        """Whether nothing was given."""
        return not self.typed.strip() if self.typed is not None else self.data in (None, "", False)

    def refuse(self, message: str) -> None:
        """Put a message to the field; it stays even when the field is checked later."""
        self.refusals.append(message)
        self.errors = [*self.errors, message]

    def problems(self) -> list[Problem]:
        """Label, message and element of everything that is wrong here."""
        return [(str(self.label.text), str(message), self.id) for message in self.errors]

    def process_formdata(self, valuelist: Sequence[Any]) -> None:
        """Read the first text that was sent; none at all is nothing."""
        self.typed = next((value for value in valuelist if isinstance(value, str)), "")
        self.data = None
        self.data = self.read(self.typed)

    def pre_validate(self, form: BaseForm) -> None:
        """Ask for what is missing."""
        if self.required and self.is_blank() and not self.process_errors:
            raise StopValidation(self.missing())

    def missing(self) -> str:
        """The message for a required field that was left empty."""
        return _("%(label)s: this is needed.", label=self.label.text)

    def validate(self, form: BaseForm, extra_validators: Iterable[Any] = ()) -> bool:
        """Check the field; what was refused before stays refused."""
        earlier = list(self.refusals)
        super().validate(form, tuple(extra_validators))
        self.errors = list(dict.fromkeys(itertools.chain(self.errors, earlier)))
        return not self.errors

    def not_taken(self, text: str, allowed: str) -> str:
        """The message for a value outside its limits: field, value, what is allowed."""
        return _(
            "%(label)s: “%(typed)s” is not taken. %(allowed)s", label=self.label.text, typed=clip(text), allowed=allowed
        )


def clip(text: str) -> str:
    """A typed text short enough for a message, in one line."""
    line = "".join(sign if sign.isprintable() else " " for sign in text).strip()
    return line if len(line) <= SHOWN_LONGEST else line[: SHOWN_LONGEST - 1] + "…"
