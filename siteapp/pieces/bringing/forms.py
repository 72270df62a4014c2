"""What may be sent to bring particulars in: a file, or its text."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from siteapp.pieces.bringing.judged import text_of
from siteapp.pieces.bringing.told import LARGEST_BYTES, Unreadable
from siteapp.web.fields import RoomField, RoomForm, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Sequence


class TextFile(RoomField):
    """A file that holds text. `data` is the text, None without a file or when it cannot be read."""

    shape = "text file"

    def process_formdata(self, valuelist: Sequence[Any]) -> None:
        """Read the file as UTF-8."""
        self.typed, self.data = "", None
        part = next((value for value in valuelist if getattr(value, "filename", None)), None)
        if part is None:
            return
        data = part.stream.read(LARGEST_BYTES + 1)
        try:
            self.data = text_of(data)
        except Unreadable as unreadable:
            words = "; ".join(str(problem) for problem in unreadable.problems)
            raise ValueError(_("%(label)s: %(words)s", label=self.label.text, words=words)) from None

    def is_blank(self) -> bool:
        """Whether there was no file."""
        return not self.data


class BringInForm(RoomForm):
    """A file of particulars or its text. `seen` stands for what it was held against when it was looked at.

    It does not wait on a phone: it is looked at before it is brought in.
    """

    waits = False
    # The text alone says what is brought in, however it came here.
    ABOUT_SENDING: ClassVar[frozenset[str]] = RoomForm.ABOUT_SENDING | {"file", "seen", "revises", "corrects"}

    file = TextFile(_l("File"), hint=_l("TOML or CSV, in UTF-8."))
    text = Words(_l("Its text"), rows=12, longest=LARGEST_BYTES, hint=_l("Pasted, or as the file has it."))
    seen = Words("", hidden=True, longest=64)

    def take_file(self) -> None:
        """Let the file's text stand where a pasted one would; a form with neither is refused."""
        if self.file.data:
            self.text.process_formdata([self.file.data])
        if self.text.is_blank() and not self.errors:
            self.text.refuse(_("File: choose one, or paste its text."))
