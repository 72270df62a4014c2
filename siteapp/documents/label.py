"""The label on the back of a piece: words a stranger can act on, and the same words in a QR code.

It speaks without any server: the text QR holds the number and what matters most. With a lasting address of the
workshop there is a second one with the link.
"""

from __future__ import annotations

import math
import unicodedata
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from siteapp.documents import pages, qr
from siteapp.documents.engine import shared
from siteapp.documents.records import ESTIMATED, WEIGHED

if TYPE_CHECKING:
    import gettext
    from collections.abc import Callable, Sequence

    from siteapp.documents.engine import Engine
    from siteapp.documents.records import LabelRecord

SHEETS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
SHEET_MARGIN_MM = 4.0
WIDTHS_MM = (80.0, 300.0)
HEIGHTS_MM = (60.0, 300.0)
EDGE_MM = 3.5
CAPTION_MM = 2.6
LINK_SHARE = 0.42  # of the column, for the link's code: it has half as many modules
TITLE_LONGEST = 60
LINE_LONGEST = 80
MM_PER_PT = 25.4 / 72
STEPS = (1.0, 0.93, 0.86, 0.8)


class LabelError(ValueError):
    """A label that cannot be made in this size; the message names the size and what is allowed."""


@dataclass(frozen=True)
class LabelForm:
    """Size of a label in mm (width 80-300, height 60-300), on a roll or on a sheet (`A4`, `Letter`) full of them."""

    width_mm: float = 100.0
    height_mm: float = 70.0
    sheet: str | None = None

    def __post_init__(self) -> None:
        """Refuse a size outside the limits. Raises LabelError."""
        for name, value, (low, high) in (
            ("width", self.width_mm, WIDTHS_MM),
            ("height", self.height_mm, HEIGHTS_MM),
        ):
            if not low <= value <= high:
                message = f"label {name}: is {value:g} mm; allowed is {low:g} to {high:g} mm"
                raise LabelError(message)
        if self.sheet is not None and (self.sheet not in SHEETS_MM or not all(self.grid)):
            message = f"label sheet: no label of {self.width_mm:g} × {self.height_mm:g} mm goes on {self.sheet!r}"
            raise LabelError(message)

    @property
    def grid(self) -> tuple[int, int]:
        """How many labels go across and down a sheet; (1, 1) on a roll."""
        if self.sheet is None:
            return 1, 1
        across, down = (side - 2 * SHEET_MARGIN_MM for side in SHEETS_MM[self.sheet])
        return int(across // self.width_mm), int(down // self.height_mm)


BACK_LABEL = LabelForm()


@dataclass(frozen=True)
class _Line:
    """One fact: its name, its words, and how many lines it may fill."""

    name: str
    words: str
    most: int


def label_pdf(
    record: LabelRecord,
    form: LabelForm = BACK_LABEL,
    *,
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the label as a PDF: one page of the label's size, or a sheet full of the same label.

    The same record gives the same bytes. Raises LabelError, `qr.QrTooSmall`, `engine.PdfError`.
    """
    say = words.gettext
    column = min((form.height_mm - 2 * EDGE_MM) * 0.56, form.width_mm * 0.36)
    both = record.link is not None
    room = form.height_mm - 2 * EDGE_MM - (2 if both else 1) * CAPTION_MM
    text_mm = min(column, room * (1 - LINK_SHARE) if both else room)
    text_code = _text_code(record, text_mm, say)
    resources = {"qr/words.png": ("image/png", text_code.png)}
    link_mm = 0.0
    if record.link is not None:
        link_code = qr.make(qr.link_text(record.link))
        link_mm = min(column, room * LINK_SHARE)
        qr.module_mm(link_mm, link_code.modules)
        resources["qr/link.png"] = ("image/png", link_code.png)
    lines = _facts(record, say)
    words_mm = form.width_mm - 2 * EDGE_MM - max(text_mm, link_mm) - 3
    across, down = form.grid
    html = (
        pages.environment(words)
        .get_template("label.html")
        .render(
            record=record,
            form=form,
            sheet_mm=SHEETS_MM[form.sheet] if form.sheet else (form.width_mm, form.height_mm),
            across=across,
            down=down,
            edge_mm=EDGE_MM,
            words_mm=words_mm,
            text_mm=text_mm,
            link_mm=link_mm,
            facts=lines,
            scale=_scale(record, lines, words_mm, form.height_mm - 2 * EDGE_MM),
            direction=pages.direction(record.language),
        )
    )
    title = say("Label %(number)s") % {"number": record.number_grouped}
    return (engine or shared()).render(html, resources, title=title)


def spoken(record: LabelRecord, say: Callable[[str], str], *, title_longest: int = 1000) -> list[str]:
    """Give the words of the text QR, one line each, the most needed first; the number is among the first two."""
    lines = [record.number_grouped, _short(record.title, title_longest), _weight(record, say)]
    lines.append(say("Lift: %s") % (record.people_to_lift or say("people not worked out")))
    if record.heat_limit:
        lines.append(say("Heat: %s") % record.heat_limit)
    if record.who_to_ask:
        lines.append(say("Ask: %s") % ", ".join(record.who_to_ask))
    if record.hanging_points:
        lines.append(say("Hangs by: %s") % "; ".join(record.hanging_points))
    if record.way_up:
        lines.append(say("Up: %s") % record.way_up)
    lines.append(record.maker)
    return lines


def _text_code(record: LabelRecord, size_mm: float, say: Callable[[str], str]) -> qr.Qr:
    """Give the code with as many of the words as stay readable at its size, from all of them downwards."""
    most = math.floor(size_mm / qr.SMALLEST_MODULE_MM)
    for longest in (1000, TITLE_LONGEST, TITLE_LONGEST // 2):
        lines = spoken(record, say, title_longest=longest)
        while len(lines) > 3:  # noqa: PLR2004 - number, title and weight stay
            code = _fitting(lines, most)
            if code is not None:
                return code
            lines.pop()
    lines = [_short(line, LINE_LONGEST // 2) for line in lines[:3]]
    code = qr.make("\n".join(lines))
    qr.module_mm(size_mm, code.modules)
    return code


def _fitting(lines: Sequence[str], most_modules: int) -> qr.Qr | None:
    text = "\n".join(lines)
    # A square of n modules holds well under n² / 16 bytes at level Q: no need to try a longer text.
    if len(text.encode()) > most_modules**2 / 16:
        return None
    code = qr.make(text)
    return code if code.modules <= most_modules else None


def _weight(record: LabelRecord, say: Callable[[str], str]) -> str:
    if record.weight_kg is None:
        return say("Weight not recorded: weigh it first")
    kilograms = pages.figure(record.weight_kg)
    if record.weight_origin == WEIGHED:
        return say("%s kg, weighed") % kilograms
    if record.weight_origin == ESTIMATED:
        return say("about %s kg, estimated: weigh it first") % kilograms
    return say("%s kg, source not recorded: weigh it first") % kilograms


def _facts(record: LabelRecord, say: Callable[[str], str]) -> list[_Line]:
    missing = say("not recorded")
    return [
        _Line(
            say("Weight"), say("not recorded: weigh it first") if record.weight_kg is None else _weight(record, say), 2
        ),
        _Line(say("To lift"), record.people_to_lift or say("not worked out: ask before lifting"), 2),
        _Line(say("Hangs by"), "; ".join(record.hanging_points) or missing, 3),
        _Line(say("Way up"), record.way_up or missing, 2),
        _Line(say("Heat"), record.heat_limit or say("limit not recorded: keep away from heat"), 3),
        _Line(say("Ask"), ", ".join(record.who_to_ask) or missing, 3),
    ]


def _scale(record: LabelRecord, lines: Sequence[_Line], width_mm: float, height_mm: float) -> float:
    """Choose the largest step of type at which the words are likely to fit; what still does not is cut by the page."""
    base_pt = min(height_mm / 63, width_mm / 54) * 7.6
    for step in STEPS:
        size = base_pt * step * MM_PER_PT
        facts = sum(min(line.most, _rows(line.words, (width_mm - 6.2 * size) / size)) for line in lines)
        title = min(2, _rows(record.title, width_mm / (size * 1.75)))
        needed = facts * 1.24 + len(lines) * 0.3 + title * 2.1 + 9.5
        if needed * size <= height_mm:
            return base_pt * step
    return base_pt * STEPS[-1]


def _rows(text: str, ems: float) -> int:
    wide = sum(1.0 if unicodedata.east_asian_width(char) in "WF" else 0.5 for char in text)
    return max(1, math.ceil(wide * 1.06 / max(ems, 1)))


def _short(text: str, longest: int) -> str:
    return pages.clipped(text, longest) or ""


def on_sheet(form: LabelForm, sheet: str) -> LabelForm:
    """Give the same label, as many as go on a sheet (`A4` or `Letter`). Raises LabelError."""
    return replace(form, sheet=sheet)
