"""From a photo of a label, or from what somebody typed, to a piece number. Nothing is kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.pieces.reading_labels import read_label
from siteapp.store.images import PhotoError
from siteapp.trade import piece_number
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from siteapp.pieces.forms import ScanForm


@dataclass(frozen=True)
class Found:
    """What a scan came to: a number, or a sentence that says why not and perhaps a number that is near."""

    number: str | None = None
    why_not: str | None = None
    near: str | None = None


def find(form: ScanForm, max_bytes: int, numbers: Sequence[str]) -> Found:
    """The number in a form's photo or typed text; `numbers` are those among which a near miss may be suggested."""
    for part in form.photo.files:
        data = part.stream.read(max_bytes + 1)
        if data:
            return _in_photo(data, max_bytes)
    typed = form.number.data or ""
    if not typed.strip():
        return Found(why_not=_("Take a photo of the label, or type its number."))
    return _in_text(typed, numbers)


def _in_photo(data: bytes, max_bytes: int) -> Found:
    if len(data) > max_bytes:
        return Found(why_not=_("This photo is larger than %(limit)s MB.", limit=max_bytes // 1024**2))
    try:
        reading = read_label(data, _is_number)
    except PhotoError as error:
        return Found(why_not=str(error))
    if not reading.texts:
        return Found(
            why_not=_(
                "No label can be read in this photo. Go nearer, hold still, keep shadows and glare off it; "
                "or type the number."
            )
        )
    return _first_number(reading.texts) or Found(
        why_not=_("There is a code in this photo, but it is not one of our labels.")
    )


def _first_number(texts: Iterable[str]) -> Found | None:
    return next((Found(number=piece_number.parse_number(text).text) for text in texts if _is_number(text)), None)


def _is_number(text: str) -> bool:
    try:
        piece_number.parse_number(text)
    except piece_number.BadNumber:
        return False
    return True


def _in_text(typed: str, numbers: Sequence[str]) -> Found:
    try:
        number = piece_number.parse_number(typed).text
    except piece_number.BadNumber as error:
        return Found(why_not=str(error), near=piece_number.near_miss(typed, numbers))
    return Found(number=number)
