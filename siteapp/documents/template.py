"""The fixing template on paper: a page or two that say what it is, then the sheets themselves, full size.

Sheets are cut and drawn by the drawing room; here they become pages without margins, so that a millimetre of the
drawing is a millimetre of paper.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from siteapp.documents import pages
from siteapp.documents.engine import shared
from siteapp.drawing.sheets import map_svg, sheet_svg, square_svg
from siteapp.drawing.template import size_words, tape_distances, trimmed
from siteapp.trade.tiling import layout

if TYPE_CHECKING:
    import gettext
    from collections.abc import Sequence

    from siteapp.documents.engine import Engine
    from siteapp.drawing.plan import PlanPoint
    from siteapp.drawing.template import Say, Template
    from siteapp.trade.tiling import Layout

PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4), "A3": (297.0, 420.0)}
MARGIN_MM = 10.0
OVERLAP_MM = 15.0
MOST_SHEETS = 150  # ours: beyond that nobody joins them true, and a plotter is the way
COVER_MARGIN_MM = 17.0
MAP_MM = 62.0
TIMEOUT_S = 120.0


class TooManySheets(ValueError):
    """On this paper the template takes more sheets than anybody joins; `count` says how many."""

    def __init__(self, count: int) -> None:
        super().__init__(f"{count} sheets are too many; at most {MOST_SHEETS} are made")
        self.count = count


@dataclass(frozen=True)
class TemplateRecord:
    """What the template prints. `asked` are label and words of what is asked of whoever drills.

    `short` tells this template from an earlier one, None while none was set; `stale` when the points have changed since
    it was. `from_points` says in words which side they were measured from.
    """

    piece_number: str
    title: str
    drawn: Template
    short: str | None = None
    stale: bool = False
    datum_words: str | None = None
    level_words: str | None = None
    asked: tuple[tuple[str, str], ...] = ()
    note: str | None = None
    maker: str | None = None
    from_points: str | None = None
    printed_on: str | None = None
    invented: bool = False
    language: str = "en"


def cut(drawn: Template, paper: str) -> Layout:
    """Cut a template into sheets. Raises KeyError for a paper not known, TradeError beyond 20 m, TooManySheets."""
    left, bottom, right, top = drawn.field
    laid = layout(right - left, top - bottom, page=PAPERS_MM[paper], margin_mm=MARGIN_MM, overlap_mm=OVERLAP_MM)
    if len(laid.tiles) > MOST_SHEETS:
        raise TooManySheets(len(laid.tiles))
    return laid


def template_pdf(
    record: TemplateRecord,
    *,
    paper: str = "A4",
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the template as a PDF on `paper`: pages in words, then every sheet at full size.

    Sheets are true to 0.1 mm as the file says it; the printer is checked by a square and by a rule on each sheet. The
    same record gives the same bytes. Raises as `cut`, and `engine.PdfError`.
    """
    say = words.gettext
    drawn = record.drawn
    laid = cut(drawn, paper)
    wide, high = PAPERS_MM[paper]
    sheets = [
        sheet_svg(drawn, laid, number, margin_mm=MARGIN_MM, overlap_mm=OVERLAP_MM, say=say)
        for number in range(1, len(laid.tiles) + 1)
    ]
    room = wide - 2 * COVER_MARGIN_MM
    how = map_svg(drawn, laid, overlap_mm=OVERLAP_MM, width_mm=room, tallest_mm=MAP_MM, say=say)
    html = (
        pages.environment(words)
        .get_template("template.html")
        .render(
            record=record,
            direction=pages.direction(record.language),
            number=pages.grouped(record.piece_number),
            page_mm=(wide, high),
            sheet_mm=laid.page,
            margin_mm=COVER_MARGIN_MM,
            count=len(laid.tiles),
            laid=laid,
            paper=paper,
            overlap_mm=OVERLAP_MM,
            points=[_row(drawn, point, say) for point in drawn.points],
            tapes=[(one, other, trimmed(apart)) for one, other, apart in tape_distances(drawn.points)],
            level=trimmed(drawn.level_mm - drawn.datum[1]),
            corner=(trimmed(-drawn.datum[0]), trimmed(-drawn.datum[1])),
            holes_on=_sheets_with(drawn, laid, [(point.x_mm, point.y_mm) for point in drawn.points]),
            square=Markup(square_svg(say)),  # noqa: S704 - all words in a drawing were escaped
            how=Markup(how),  # noqa: S704 - as above
            sheets=[Markup(one) for one in sheets],  # noqa: S704 - as above
        )
    )
    title = say("Fixing template %(number)s") % {"number": pages.grouped(record.piece_number)}
    return _unscaled((engine or shared()).render(html, {}, title=title, timeout_s=TIMEOUT_S))


def _unscaled(pdf: bytes) -> bytes:
    """The same document, asking whatever prints it to fit nothing to the page (ISO 32000-1, viewer preferences)."""
    import pikepdf

    made = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        document.Root.ViewerPreferences = pikepdf.Dictionary(PrintScaling=pikepdf.Name("/None"))
        document.save(made, deterministic_id=True)
    return made.getvalue()


def _sheets_with(drawn: Template, laid: Layout, places: Sequence[tuple[float, float]]) -> str:
    """The numbers of the sheets that show any of these places, for whoever prints only those."""
    left, bottom, _right, _top = drawn.field
    found = [
        str(number)
        for number, tile in enumerate(laid.tiles, 1)
        if any(
            0 <= x - left - tile.x_mm <= tile.width_mm and 0 <= y - bottom - tile.y_mm <= tile.height_mm
            for x, y in places
        )
    ]
    return ", ".join(found)


def _row(drawn: Template, point: PlanPoint, say: Say) -> tuple[str, ...]:
    across, up = drawn.from_datum(point)
    return point.label, trimmed(across), trimmed(up), size_words(point, say), point.note
