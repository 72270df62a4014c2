"""Fields of files: photos and a drawn signature.

A file comes as a part named like its field; what the laptop has already comes as its SHA-256 in an input named
`<field>_sha`. So a form that was refused brings no photo twice, and a script may send photos ahead, one by one.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from wtforms.utils import unset_value
from wtforms.validators import ValidationError
from wtforms.widgets import FileInput

from siteapp.web.fieldbase import RoomField, clip
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from werkzeug.datastructures import FileStorage
    from wtforms.form import BaseForm

    from siteapp.web.i18n import Lazy

SHA256 = re.compile("[0-9a-f]{64}", re.ASCII)


class Upload(RoomField):
    """Files of one slot. `files` are the parts to take in, `hashes` what the laptop has; `take` adds one."""

    widget = FileInput()
    most = 1

    def __init__(self, label: str | Lazy | None = None, *, slot: str = "", **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.slot = slot or self.short_name
        self.hashes: list[str] = []
        self.files: list[FileStorage] = []

    def process(self, formdata: Any, data: Any = unset_value, extra_filters: Any = None) -> None:
        """Read file parts and hashes; without a sent form, `data` is a list of hashes."""
        self.process_errors = []
        self.files = []
        self.hashes = [] if data is unset_value or data is None else list(data)
        self.data = self.object_data = self.hashes
        if formdata is not None:
            self.hashes.clear()
            self._read_hashes(formdata.getlist(f"{self.name}_sha"))
            self._read_files(formdata.getlist(self.name))

    def take(self, sha256: str) -> None:
        """Note that the laptop has this file."""
        if sha256 not in self.hashes:
            self.hashes.append(sha256)

    def is_blank(self) -> bool:
        """Whether no file was given."""
        return not (self.hashes or self.files)

    def plain(self) -> list[str]:
        """The hashes, in order."""
        return list(self.hashes)

    def pre_validate(self, form: BaseForm) -> None:
        """Hold the number of files against the limit."""
        super().pre_validate(form)
        count = len(self.hashes) + len(self.files)
        if count > self.most:
            raise ValidationError(
                _(
                    "%(label)s: %(count)s photos are too many. Give at most %(most)s.",
                    label=self.label.text,
                    count=count,
                    most=self.most,
                )
            )

    def _read_hashes(self, texts: list[Any]) -> None:
        for text in texts:
            if isinstance(text, str) and SHA256.fullmatch(text):
                self.take(text)
            elif text:
                self.process_errors.append(
                    _("%(label)s: a photo was damaged on its way. Choose it again.", label=self.label.text)
                )

    def _read_files(self, parts: list[Any]) -> None:
        for part in parts:
            name = getattr(part, "filename", None)
            if not name:
                continue
            if part.stream.read(1):
                part.stream.seek(0)
                self.files.append(part)
            else:
                self.process_errors.append(
                    _("%(label)s: the file “%(name)s” is empty.", label=self.label.text, name=clip(name))
                )


class AnyFile(RoomField):
    """A file of any kind, read whole and not kept. `data` is its bytes, None without one; `name_sent` its name.

    `largest` is the most bytes that are taken.
    """

    widget = FileInput()
    shape = "file"

    def __init__(self, label: str | Lazy | None = None, *, largest: int, **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.largest = largest
        self.name_sent: str | None = None

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the file."""
        self.data = None
        part = next((value for value in valuelist if getattr(value, "filename", None)), None)
        if part is None:
            return
        self.name_sent = clip(part.filename)
        data = part.stream.read(self.largest + 1)
        part.close()  # a large one lies in a temporary file
        if len(data) > self.largest:
            message = _(
                "%(label)s: the file is larger than %(most)s MB, the most that is looked at.",
                label=self.label.text,
                most=self.largest // 1024**2,
            )
            raise ValidationError(message)
        self.data = data

    def is_blank(self) -> bool:
        """Whether there was no file."""
        return self.data is None

    def plain(self) -> None:
        """Nothing: what is not kept is no part of what a form says."""
        return


class PhotoTicks(RoomField):
    """Photos chosen among those that the laptop has, each a box to tick with its hash as value. `data` are hashes."""

    widget = FileInput()  # drawn by the page that offers them
    shape = "photo ticks"

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Take those that are hashes."""
        self.data = [one for one in valuelist if isinstance(one, str) and SHA256.fullmatch(one)]

    def is_blank(self) -> bool:
        """Whether none was chosen."""
        return not self.data

    def plain(self) -> list[str]:
        """The hashes."""
        return list(self.data or ())


class Photos(Upload):
    """Photos of one slot. `one` takes a single one; `camera` asks a phone for its camera instead of its album."""

    shape = "photos"

    def __init__(
        self,
        label: str | Lazy | None = None,
        *,
        one: bool = False,
        most: int = 12,
        camera: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(label, **kwargs)
        self.most = 1 if one else most
        self.one = one
        self.camera = camera

    def missing(self) -> str:
        """The message for a slot without a photo."""
        return _("%(label)s: a photo is needed.", label=self.label.text)


class Signature(Upload):
    """A signature drawn on the page, sent as a PNG. A typed name beside it is a field of its own."""

    shape = "signature"

    def process(self, formdata: Any, data: Any = unset_value, extra_filters: Any = None) -> None:
        """Read the drawing; a new one takes the place of the one before."""
        super().process(formdata, data, extra_filters)
        del self.files[1:]
        if self.files:
            self.hashes.clear()

    @property
    def sha(self) -> str | None:
        """The drawing's hash, None without one."""
        return self.hashes[0] if self.hashes else None

    def missing(self) -> str:
        """The message when nothing was drawn."""
        return _("%(label)s: a drawn signature is needed.", label=self.label.text)
