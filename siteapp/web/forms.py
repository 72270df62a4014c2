"""The form that every page's form builds on: its id, its device's time, what it revises, its problems in order."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar
from uuid import UUID, uuid4

from flask import request
from werkzeug.datastructures import CombinedMultiDict
from wtforms import Form
from wtforms.widgets import HiddenInput

from siteapp.web.dates import read_device_instant
from siteapp.web.fieldbase import Problem, RoomField
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from datetime import datetime

UUID_TEXT = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.ASCII)


def typed() -> CombinedMultiDict[str, Any]:
    """What the request at hand brought: fields and files, for `SomeForm(typed())`."""
    return CombinedMultiDict([request.form, request.files])


class FormId(RoomField):
    """The form's own id, minted when the page is made and sent back with it."""

    widget = HiddenInput()
    shape = "hidden"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__("", default=lambda: str(uuid4()), **kwargs)

    @property
    def shown(self) -> str:
        """The id; never what was sent in its place."""
        return str(self.data)

    def read(self, text: str) -> str:
        """An id as it was minted. Without one a repeat could not be told from something new, so it is refused."""
        try:
            return _uuid(text)
        except ValueError:
            self.data = str(uuid4())
            raise ValueError(_("This form came without its number. Send it once more.")) from None


class EntryRef(RoomField):
    """The entry that a form revises or corrects."""

    widget = HiddenInput()
    shape = "hidden"

    def __init__(self, **kwargs: Any) -> None:
        super().__init__("", **kwargs)

    @property
    def shown(self) -> str:
        """The entry's id as it stands now."""
        return self.data or ""

    def read(self, text: str) -> str | None:
        """An entry's id, None for none."""
        if not text:
            return None
        try:
            return _uuid(text)
        except ValueError:
            raise ValueError(_("This form was damaged on its way. Open the page again.")) from None


class DeviceTime(RoomField):
    """The instant of sending by the device's own clock, UTC; None without a script or when it cannot be read."""

    widget = HiddenInput()
    shape = "hidden"
    data: datetime | None

    def __init__(self, **kwargs: Any) -> None:
        super().__init__("", **kwargs)

    @property
    def shown(self) -> str:
        """Always empty: the next sending has its own time."""
        return ""

    def read(self, text: str) -> datetime | None:
        """The instant; a device's time is kept however odd it is, and never refused."""
        return read_device_instant(text)


@dataclass(frozen=True)
class Clash:
    """This form's id was used before with other content: the entry that was written then, and its page."""

    entry_id: str | None
    location: str | None


class RoomForm(Form):
    """A form of a room. `kind` is the kind of entry it writes first, for offering a correction of it.

    `waits`: a phone keeps it until the laptop has it. Not so for forms that record nothing, nor for those by which
    somebody gets rights: what waits may be taken in from a file, and nobody should get rights by a file.
    """

    kind: ClassVar[str | None] = None
    waits: ClassVar[bool] = True
    ABOUT_SENDING: ClassVar[frozenset[str]] = frozenset({"form_id", "at"})

    form_id = FormId()
    at = DeviceTime()
    revises = EntryRef()
    corrects = EntryRef()

    def __init__(self, formdata: Any = None, **kwargs: Any) -> None:
        self.clash: Clash | None = None
        self.newer: tuple[str, ...] = ()
        super().__init__(formdata, **kwargs)
        self.unsaved = formdata is not None

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field. A press on `Add rows` is no try to save: the form comes back without complaints."""
        if any(getattr(field, "asked_more", False) for field in self):
            return False
        super().validate(extra_validators)
        return not self.errors

    @property
    def is_kept(self) -> bool:
        """Whether a phone may keep this form in its store; a secret is never put there."""
        return self.waits and not any(getattr(field, "secret", False) for field in self)

    def followed_by(self, entry_id: str) -> dict[str, str]:
        """Fields by which a form sent after this one from the same page says that it comes after it."""
        return {name: entry_id for name in ("revises", "corrects") if self[name].data}

    def values(self) -> dict[str, Any]:
        """What was entered, JSON-able, the same for the same content however often it is sent.

        Without the token, the form's id, the device's time, and without secrets, which must leave no trace.
        """
        return {
            name: field.plain() if isinstance(field, RoomField) or hasattr(field, "plain") else field.data
            for name, field in self._fields.items()
            if name not in self.ABOUT_SENDING and not getattr(field, "secret", False)
        }

    def problems(self) -> list[Problem]:
        """Label, message and element id of everything that is wrong, in the order of the page."""
        found: list[Problem] = [(_("This form"), str(message), "") for message in self.form_errors]
        for field in self:
            for label, message, where in field.problems():
                found.append((label or _("This form"), message, "" if field.shape == "hidden" else where))
        return found

    def add_problem(self, name: str | None, message: str) -> None:
        """Put a message to a field, or to the form as a whole."""
        if name is not None and name in self:
            self[name].refuse(message)
        else:
            self.form_errors.append(message)

    def clash_with(self, entry_id: str | None, location: str | None) -> None:
        """Offer what was typed as a correction of what was saved under the same id, or as something new."""
        self.clash = Clash(entry_id, location)
        self.add_problem(None, _("This form was saved before, with other words. Say below what the new words are."))

    def overtaken_by(self, newer: tuple[str, ...]) -> None:
        """Say that somebody was faster; sent again, the form revises what is there now."""
        self.newer = tuple(newer)
        field = self.corrects if self.corrects.data and not self.revises.data else self.revises
        if self.newer:
            field.data = self.newer[-1]
        message = _(
            "Somebody else changed this while you were typing. Nothing is lost: theirs is saved, yours is below."
        )
        self.add_problem(None, message)


def _uuid(text: str) -> str:
    lower = text.strip().lower()
    if not UUID_TEXT.fullmatch(lower):
        raise ValueError(text)
    return str(UUID(lower))
