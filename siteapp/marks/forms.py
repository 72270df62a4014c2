"""What may be typed about marks: rows of a form that has photos, or whose page shows some."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.marks.kinds import KINDS
from siteapp.marks.services import FIELD, MOST_MARKS, Mark, not_among
from siteapp.web.fields import Choice, Figure, Lines, Photos, RoomForm, Whole, Words
from siteapp.web.i18n import _l, ngettext
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

MOST_PHOTOS = 99
LONGEST_NOTE = 500
PLACES = 2  # decimals of a percentage that a page brings back: a tenth of a millimetre on a metre
SHARE_PLACES = 6  # decimals of a share that is kept


class MarkRow(Form):
    """One mark. `of` is written by the page's script: how many photos there were when the mark was set.

    Where a photo is left out on its way (it was none, or the phone sends without it), the numbers of those behind it
    change; then the mark is refused rather than put on another photo.
    """

    photo = Whole(_l("Photo"), low=1, high=MOST_PHOTOS, required=True)
    kind = Choice(_l("Kind"), choices=KINDS, look="select")
    note = Words(_l("What it is"), longest=LONGEST_NOTE)
    x_percent = Figure(_l("From the left"), unit="%", low=0, high=100, required=True)
    y_percent = Figure(_l("From the top"), unit="%", low=0, high=100, required=True)
    of = Words("", longest=2, hidden=True)


def marks_field() -> Any:
    """Rows of marks for a form. Draw it with `marks/_parts.html: markable(form)`; it must be named `marks`."""
    return Lines(
        MarkRow,
        _l("Marks"),
        spare=1,
        most=MOST_MARKS,
        hint=_l("Tap the photo where it is. Or type which photo, 1 for the first, and how far in from its edges."),
    )


class MarksForm(RoomForm):
    """All marks on the photos of one entry. `stands` names the sets that stood when the page was made, by entry id."""

    kind = "marks"

    stands = Words("", hidden=True)
    back = Words("", hidden=True, longest=LONGEST_NOTE)  # the page from which one came
    marks = marks_field()

    def takes_the_place_of(self) -> list[str]:
        """The sets that this one corrects, by entry id."""
        named = [*(self.stands.data or "").split(), self.corrects.data, self.revises.data]
        return sorted({entry_id for entry_id in named if entry_id})

    def followed_by(self, entry_id: str) -> dict[str, str]:
        """Whoever sets marks again from the same page knows these."""
        return {"stands": entry_id, "revises": "", "corrects": ""}

    def look_again(self, stand: Sequence[str]) -> None:
        """After somebody else was faster: sent again, this set takes the place of what stands now."""
        self.stands.data = self.stands.typed = " ".join(stand)
        self.corrects.data = self.revises.data = None


def read_marks(form: RoomForm, hashes: Sequence[str]) -> tuple[Mark, ...]:
    """The marks of a form's rows. `hashes` are the form's photos, in the order in which they are counted from 1.

    Raises FieldProblem on `marks` for a row whose photo is not among them.
    """
    return tuple(
        Mark(
            sha256=_photo(number, row, hashes),
            x=round(row["x_percent"] / 100, SHARE_PLACES),
            y=round(row["y_percent"] / 100, SHARE_PLACES),
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
            "of": str(len(hashes)),
        }
        for mark in marks
        if mark.sha256 in hashes
    ]


def photo_fields(form: RoomForm) -> list[str]:
    """The names of a form's fields of photos, in the order in which their photos are counted."""
    return [field.name for field in form if isinstance(field, Photos)]


def _photo(number: int, row: dict[str, Any], hashes: Sequence[str]) -> str:
    if row["of"] and row["of"] != str(len(hashes)):
        message = ngettext(
            "Marks: mark %(number)s was set on photo %(photo)s of %(of)s, and now there is one photo. "
            "Set it anew, or say which photo it is on.",
            "Marks: mark %(number)s was set on photo %(photo)s of %(of)s, and now there are %(num)s photos. "
            "Set it anew, or say which photo it is on.",
            len(hashes),
            number=number,
            photo=row["photo"],
            of=row["of"],
        )
        raise FieldProblem(FIELD, message)
    if row["photo"] > len(hashes):
        raise FieldProblem(FIELD, not_among(number))
    return hashes[row["photo"] - 1]
