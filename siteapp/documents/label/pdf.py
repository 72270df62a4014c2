"""Labels: on the back of a piece, at its lower edge, and a card for the house file, from one design.

They speak without any server: the text code holds the number and what matters most. With a lasting address of the
workshop there is a second one with the link.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.engine import shared
from siteapp.documents.label.layout import Laid, lay
from siteapp.documents.label.sizes import (
    BACK_LABEL,
    FORMS,
    SHEET_MARGIN_MM,
    SHEETS_MM,
    LabelError,
    LabelForm,
    on_sheet,
    refuse_too_many,
)
from siteapp.documents.label.words import spoken

if TYPE_CHECKING:
    import gettext
    from collections.abc import Sequence

    from siteapp.documents.engine import Engine
    from siteapp.documents.records import LabelRecord

__all__ = ["BACK_LABEL", "LabelError", "LabelForm", "label_pdf", "labels_pdf", "on_sheet", "set_pdf", "spoken"]

SET_GAP_MM = 6.0


@dataclass(frozen=True)
class Placed:
    """A label on a page: its upper left corner in mm, which record's, whether a line to cut along is drawn."""

    laid: Laid
    x_mm: float
    y_mm: float
    record: int
    to_cut: bool


@dataclass(frozen=True)
class Page:
    """A page in mm with the labels on it."""

    width_mm: float
    height_mm: float
    labels: tuple[Placed, ...]


def label_pdf(
    record: LabelRecord,
    form: LabelForm = BACK_LABEL,
    *,
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make one piece's label as a PDF: a page of the label's size each, or sheets with as many as `form` says.

    The same record gives the same bytes. Raises LabelError, `qr.QrTooSmall`, `engine.PdfError`.
    """
    return labels_pdf([record], form, words=words, engine=engine)


def labels_pdf(
    records: Sequence[LabelRecord],
    form: LabelForm = BACK_LABEL,
    *,
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the labels of several pieces, one after another from `form.start` on, each `form.copies` times.

    Without `copies` a single piece fills its sheet; of several each has one. Raises as `label_pdf`; ValueError for
    no record at all.
    """
    if not records:
        message = "there is no piece to make labels of"
        raise ValueError(message)
    copies = form.copies or (1 if len(records) > 1 else form.places - form.start + 1)
    refuse_too_many(copies * len(records))
    laid = [lay(record, form, words.gettext) for record in records]
    on: dict[int, list[Placed]] = {}
    for number in range(copies * len(records)):
        page, x, y = form.place(number)
        which = number // copies
        on.setdefault(page, []).append(Placed(laid[which], x, y, which, form.sheet is not None))
    made = [Page(*form.page_mm, tuple(labels)) for labels in on.values()]
    return _print(records, made, words, engine)


def set_pdf(
    records: Sequence[LabelRecord],
    sheet: str | None = None,
    *,
    copies: int = 1,
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make back label, lower-edge label and card of each piece: a page each in its usual size, or all on one `sheet`.

    Raises as `labels_pdf`.
    """
    refuse_too_many(copies * len(records) * len(FORMS))
    made: list[Page] = []
    for which, record in enumerate(records):
        laid = [lay(record, form, words.gettext) for form in FORMS.values()]
        for _copy in range(copies):
            made += _set_pages(laid, which, sheet)
    return _print(records, made, words, engine)


def _set_pages(laid: list[Laid], which: int, sheet: str | None) -> list[Page]:
    if sheet is None:
        return [Page(*one.form.page_mm, (Placed(one, 0, 0, which, to_cut=False),)) for one in laid]
    if sheet not in SHEETS_MM:
        raise LabelError("sheet", f"label sheet: is {sheet!r}; allowed are {', '.join(SHEETS_MM)}")
    width, height = SHEETS_MM[sheet]
    y = SHEET_MARGIN_MM * 3
    placed = []
    for one in laid:
        placed.append(Placed(one, (width - one.form.width_mm) / 2, y, which, to_cut=True))
        y += one.form.height_mm + SET_GAP_MM
    return [Page(width, height, tuple(placed))]


def _print(
    records: Sequence[LabelRecord], made: Sequence[Page], words: gettext.NullTranslations, engine: Engine | None
) -> bytes:
    say = words.gettext
    resources = {
        f"qr/{one.record}-{one.laid.form.kind}-{code.name}.png": ("image/png", code.code.png)
        for page in made
        for one in page.labels
        for code in one.laid.codes
    }
    first = records[0]
    title = (
        say("Label %(number)s") % {"number": first.number_grouped}
        if len(records) == 1
        else say("Labels of %(count)s pieces") % {"count": len(records)}
    )
    sizes = sorted({(page.width_mm, page.height_mm) for page in made})
    html = (
        pages.environment(words)
        .get_template("label.html")
        .render(title=title, maker=first.maker, language=first.language, sizes=sizes, pages=made)
    )
    return (engine or shared()).render(html, resources, title=title)
