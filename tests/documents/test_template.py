"""The fixing template on paper, its own coordinates read back from the file: true to a tenth of a millimetre."""

from __future__ import annotations

import math
from io import BytesIO
from typing import TYPE_CHECKING

import pikepdf
import pytest

from siteapp.documents.template import (
    MARGIN_MM,
    OVERLAP_MM,
    PAPERS_MM,
    TemplateRecord,
    TooManySheets,
    cut,
    template_pdf,
)
from siteapp.drawing.plan import PlanPoint
from siteapp.drawing.sheets import crossings
from siteapp.drawing.template import Template
from tests.documents import reading, reading_paths

if TYPE_CHECKING:
    from siteapp.documents.engine import Engine
    from siteapp.trade.tiling import Layout, Tile

TRUE_MM = 0.1
POINTS = (
    PlanPoint("A", 120.25, 300, 13, note="upper left bracket"),
    PlanPoint("B", 488.4, 300.1, 14.5, 28, 0),
    PlanPoint("C", 260, 61.7, 16.5),
    PlanPoint("D", 395, 62, None),
)
DRAWN = Template("W0RD-0000 · Waders (invented)", 620, 380, POINTS, 300, (-150, -900), "nail in the joint (invented)")
RECORD = TemplateRecord(
    "W0RD0000",
    "Waders (invented)",
    DRAWN,
    short="ab12cd34",
    datum_words="nail in the joint (invented)",
    asked=(("Anchor", "M12 (invented)"),),
    note="Mind the bell wire (invented).",
    printed_on="2026-11-26",
    invented=True,
)


Sheets = list[tuple["Tile", list[reading_paths.Path]]]


@pytest.fixture(scope="module", params=["A4", "Letter", "A3"])
def printed(request: pytest.FixtureRequest, engine: Engine) -> tuple[bytes, Layout, str]:
    return template_pdf(RECORD, paper=request.param, engine=engine), cut(DRAWN, request.param), request.param


@pytest.fixture(scope="module")
def sheets(printed: tuple[bytes, Layout, str]) -> Sheets:
    """Each tile with the lines and curves of its page, read once."""
    pdf, laid, _paper = printed
    first = reading_paths.pages(pdf) - len(laid.tiles)
    return [(tile, reading_paths.paths(pdf, first + place)) for place, tile in enumerate(laid.tiles)]


def on_page(tile: Tile, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Where a place of the piece lies on its sheet: by hand from the tile's corner and the margin."""
    left, bottom, _right, _top = DRAWN.field
    return MARGIN_MM + x_mm - left - tile.x_mm, MARGIN_MM + y_mm - bottom - tile.y_mm


def within(tile: Tile, x_mm: float, y_mm: float) -> bool:
    x, y = on_page(tile, x_mm, y_mm)
    return MARGIN_MM <= x <= MARGIN_MM + tile.width_mm and MARGIN_MM <= y <= MARGIN_MM + tile.height_mm


def near(found: list[tuple[float, float]], place: tuple[float, float]) -> float:
    return min((math.dist(one, place) for one in found), default=math.inf)


def test_pages_are_as_large_as_the_paper_and_there_is_one_a_sheet(printed: tuple[bytes, Layout, str]) -> None:
    pdf, laid, paper = printed
    before = reading_paths.pages(pdf) - len(laid.tiles)
    assert before in {1, 2}
    # ISO 216 and 8.5 × 11 in, as `PAPERS_MM` has them; the media boxes as pikepdf reads them.
    assert reading_paths.page_size_mm(pdf, 0) == pytest.approx(PAPERS_MM[paper], abs=0.01)
    for place in range(len(laid.tiles)):
        assert reading_paths.page_size_mm(pdf, before + place) == pytest.approx(laid.page, abs=0.01)


def test_every_hole_is_where_it_belongs_and_as_large_as_it_is(sheets: Sheets) -> None:
    seen = set()
    for tile, found in sheets:
        for point in POINTS:
            if point.hole_mm and not point.slot_mm and within(tile, point.x_mm, point.y_mm):
                # Read from the file's drawing operators by pikepdf; circles of the hole's own diameter, to 0.1 mm.
                middles = reading_paths.circles(found, point.hole_mm)
                assert near(middles, on_page(tile, point.x_mm, point.y_mm)) < TRUE_MM
                seen.add(point.label)
    assert seen == {"A", "C"}


def test_a_slot_reaches_from_end_to_end(sheets: Sheets) -> None:
    seen = 0
    slot = POINTS[1]
    for tile, found in sheets:
        if within(tile, slot.x_mm, slot.y_mm):
            place = on_page(tile, slot.x_mm, slot.y_mm)
            (outline,) = [one for one in found if one.curved and math.dist(one.middle, place) < TRUE_MM]
            # By hand: the straight sides are as long as the hole is drawn out; the half circles' ends lie on them.
            assert outline.size == pytest.approx((28, 14.5), abs=TRUE_MM)
            seen += 1
    assert seen


def test_centre_marks_cross_in_the_middle_of_each_point(sheets: Sheets) -> None:
    for tile, found in sheets:
        lines = [one for one in reading_paths.straight(found) if max(one.size) > 20]
        for point in POINTS:
            if within(tile, point.x_mm, point.y_mm):
                place = on_page(tile, point.x_mm, point.y_mm)
                through = [one for one in lines if math.dist(one.middle, place) < TRUE_MM]
                assert {one.size[0] > one.size[1] for one in through} == {True, False}


def test_the_level_line_runs_at_its_height_over_every_sheet_it_crosses(sheets: Sheets) -> None:
    for tile, found in sheets:
        height = on_page(tile, 0, DRAWN.level_mm)[1]
        level = [
            one
            for one in reading_paths.straight(found)
            if one.size == pytest.approx((tile.width_mm, 0), abs=TRUE_MM) and abs(one.middle[1] - height) < TRUE_MM
        ]
        assert bool(level) == (MARGIN_MM < height < MARGIN_MM + tile.height_mm)


def test_crosses_of_one_name_lie_on_each_other_when_sheets_are_joined(
    printed: tuple[bytes, Layout, str], sheets: Sheets
) -> None:
    laid = printed[1]
    for cross in crossings(DRAWN, laid, OVERLAP_MM):
        on = [
            near(reading_paths.circles(found, 5), on_page(tile, cross.x_mm, cross.y_mm))
            for tile, found in sheets
            if within(tile, cross.x_mm, cross.y_mm)
        ]
        # The two sheets of the name, and others where four meet.
        assert len(on) >= 2
        assert max(on) < TRUE_MM


def test_the_square_and_the_rules_are_a_hundred_millimetres(printed: tuple[bytes, Layout, str], sheets: Sheets) -> None:
    squares = [one.size for one in reading_paths.paths(printed[0], 0) if one.size == pytest.approx((100, 100), abs=0.5)]
    assert squares
    assert all(size == pytest.approx((100, 100), abs=0.01) for size in squares)
    for _tile, found in sheets:
        rules = [one.size[0] for one in reading_paths.straight(found) if 99 < one.size[0] < 101 and one.size[1] < 0.01]
        assert any(length == pytest.approx(100, abs=0.01) for length in rules)


def test_the_file_asks_printers_to_scale_nothing(printed: tuple[bytes, Layout, str]) -> None:
    # ISO 32000-1, 12.2 (viewer preferences), from memory: PrintScaling None means no scaling in the print dialogue.
    with pikepdf.open(BytesIO(printed[0])) as document:
        assert document.Root.ViewerPreferences.PrintScaling == "/None"
        assert document.Root.MarkInfo.Marked


def test_the_sheets_that_show_a_point_are_named(printed: tuple[bytes, Layout, str]) -> None:
    laid = printed[1]
    shown = [
        str(number)
        for number, tile in enumerate(laid.tiles, 1)
        if any(within(tile, point.x_mm, point.y_mm) for point in POINTS)
    ]
    assert f"Points are on the sheets {', '.join(shown)}." in reading.text(printed[0])


def test_it_says_from_where_it_is_seen_and_what_is_asked(printed: tuple[bytes, Layout, str]) -> None:
    said = reading.text(printed[0])
    for words in (
        "Everything here is as seen from the front",
        "As seen from the front: hold against the wall, this way up.",
        "nail in the joint (invented)",
        "From it, the piece's lower left corner lies 150 mm to the right and 900 mm up.",
        "The level line is 1200 mm above the datum.",
        "slot 14.5 × 42.5 mm, level",
        "size not given",
        "Mind the bell wire (invented).",
        "Find cables and pipes on both sides of the wall",
        "invented for a demonstration",
    ):
        assert words in said
    # From the datum, by hand: A lies 120.25 + 150 to the right and 300 + 900 up, to a tenth.
    assert "270.2" in said
    assert "A – B 368.2 mm" in said  # hypot(488.4 − 120.25, 300.1 − 300)
    assert "safe" not in said.lower()


def test_the_same_record_gives_the_same_bytes(engine: Engine) -> None:
    one, other = (template_pdf(RECORD, paper="A3", engine=engine) for _ in range(2))
    assert one == other


def test_whatever_is_typed_is_printed_as_words(engine: Engine) -> None:
    points = (PlanPoint("<b>&\x07", 10, 10, 12, note="</svg><script>"), PlanPoint("鳥 ß", 10, 200, 12))
    drawn = Template("<i>“&” </svg>", None, None, points, 10)
    record = TemplateRecord("W0RD0000", "<h1>&</h1>", drawn, note="</style>", stale=True)
    said = reading.pdfium_text(template_pdf(record, paper="A4", engine=engine))
    assert "<b>&" in said
    assert "</svg><script>" in said
    assert "Do not drill from it" in said


def test_more_sheets_than_anybody_joins_are_refused_with_their_number() -> None:
    with pytest.raises(TooManySheets, match="sheets are too many; at most 150") as refused:
        cut(Template("", 6000, 4000, (), 0), "A4")
    assert refused.value.count > 150
    assert len(cut(Template("", 2000, 1500, (), 0), "A3").tiles) < 150
