"""What may be typed about marks: rows of a form that has photos, or whose page shows some."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.marks.kinds import KINDS
from siteapp.marks.services import FIELD, MOST_MARKS, Mark, not_among
from siteapp.web.fields import Choice, Figure, Lines, Photos, RoomForm, Whole, Words
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

MOST_PHOTOS = 99
LONGEST_NOTE = 500
PLACES = 2  # decimals of a percentage that a page brings back: a tenth of a millimetre on a metre


class MarkRow(Form):
    """One mark. `sha` is written by the page's script, so that no other photo is marked when one is taken out."""

    photo = Whole(_l("Photo"), low=1, high=MOST_PHOTOS)
    x_percent = Figure(_l("From the left"), unit="%", low=0, high=100, required=True)
    y_percent = Figure(_l("From the top"), unit="%", low=0, high=100, required=True)
    kind = Choice(_l("Kind"), choices=KINDS, look="select")
    note = Words(_l("What it is"), longest=LONGEST_NOTE)
    sha = Words("", longest=64, hidden=True)

    def validate_photo(self, field: Whole) -> None:
        """A mark is on a photo."""
        if field.data is None and not self.sha.data and not field.errors:
            field.refuse(_("Photo: which one? 1 is the first."))


def marks_field() -> Any:
    """Rows of marks for a form. Draw it with `marks/_parts.html: markable(form)`; it must be named `marks`."""
    return Lines(
        MarkRow,
        _l("Marks"),
        spare=1,
        most=MOST_MARKS,
        hint=_l("Tap the photo where it is. Or type which photo, 1 for the first, and how far in from its edges."),
    )


def read_marks(form: RoomForm, hashes: Sequence[str]) -> tuple[Mark, ...]:
    """The marks of a form's rows. `hashes` are the form's photos, in the order in which they are counted from 1.

    Raises FieldProblem on `marks` for a row whose photo is not among them.
    """
    return tuple(
        Mark(
            sha256=_photo(number, row, hashes),
            x=row["x_percent"] / 100,
            y=row["y_percent"] / 100,
            kind=row["kind"],
            note=row["note"],
        )
        for number, row in enumerate(form[FIELD].rows(), 1)
    )


def mark_rows(marks: Iterable[Any], hashes: Sequence[str]) -> list[dict[str, Any]]:
    """Marks (of the service, or as recorded) as rows for a form that has the photos `hashes`; others are left out."""
    return [
        {
            "photo": hashes.index(mark.sha256) + 1,
            "x_percent": round(mark.x * 100, PLACES),
            "y_percent": round(mark.y * 100, PLACES),
            "kind": mark.kind,
            "note": mark.note,
            "sha": mark.sha256,
        }
        for mark in marks
        if mark.sha256 in hashes
    ]


def photo_fields(form: RoomForm) -> list[str]:
    """The names of a form's fields of photos, in the order in which their photos are counted."""
    return [field.name for field in form if isinstance(field, Photos)]


def _photo(number: int, row: dict[str, Any], hashes: Sequence[str]) -> str:
    if row["sha"]:
        if row["sha"] in hashes:
            return str(row["sha"])
    elif row["photo"] is not None and row["photo"] <= len(hashes):
        return hashes[row["photo"] - 1]
    raise FieldProblem(FIELD, not_among(number))
