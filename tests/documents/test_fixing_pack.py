"""The fixing pack, read back: what it says, its drawing by the PDF's own coordinates, the form that is written in."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from typing import TYPE_CHECKING

import pypdf
import pypdfium2
import pytest

from siteapp.documents.fixing_pack import records as r
from siteapp.documents.fixing_pack.drawing import drawing
from siteapp.documents.fixing_pack.pdf import fixing_pack_pdf
from siteapp.documents.frozen import RecordError
from tests.documents import invented_pack as invented
from tests.documents import reading

if TYPE_CHECKING:
    from siteapp.documents.engine import Engine

FORBIDDEN = re.compile(r"\b(un)?safe\b|\bsafety|guarantee|\bprice|insur", re.IGNORECASE)
HEADINGS = [
    "Before anybody drills",
    "What will hang there",
    "Where the anchors go",
    "What pulls on each anchor",
    "What the wall must be, and how to prove it",
    "The anchors, and how to set them",
    "How the anchors are proved",
    "What to measure afterwards",
    "1. The wall as found",
    "2. The anchors as set",
    "3. The anchors as proved",
    "4. Tape and laser",
    "5. Filled in by",
]


@pytest.fixture(scope="module")
def pack(engine: Engine) -> bytes:
    return fixing_pack_pdf(invented.PACK, engine=engine)


@pytest.fixture(scope="module")
def words_of(pack: bytes) -> str:
    return reading.text(pack).lower()


@pytest.fixture(scope="module")
def letter(engine: Engine) -> bytes:
    return fixing_pack_pdf(invented.PACK, paper="Letter", engine=engine)


@pytest.fixture(scope="module")
def empty(engine: Engine) -> bytes:
    return fixing_pack_pdf(invented.EMPTY, engine=engine)


def rectangles(pdf: bytes, page: int) -> list[tuple[float, float, float, float]]:
    """Boxes of everything drawn on a page, in mm: left, bottom, width, height."""
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for one in document[page].get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = (side * 25.4 / 72 for side in one.get_bounds())
        found.append((left, bottom, right - left, top - bottom))
    document.close()
    return found


def page_with(pdf: bytes, words: str) -> int:
    pages = [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(pdf)).pages]
    return next(place for place, text in enumerate(pages) if words in text)


@pytest.mark.parametrize(
    "words",
    [
        "Sanderlings at the Tide Line",
        "K7QX-M2TR",
        "Made from the fixing template of 2 May 2026, 14:35",
        "4f2a9c1b",
        "Never drill where a cable or pipe was found, or where nobody looked.",
        "licensed people only, under the law of the place",
        "Asbestos: whoever answers for the building",
        "within 150 mm of its corners",
        "38.5 kg, weighed",
        "Ines Corran",
        "right edge of the window reveal, on the finished floor",
        "1610 mm above the datum",
        "400 mm right of the datum, 900 mm above it",
        "slot 8.5 mm wide, 22.5 mm long",
        "D 2320 mm 1015 mm size not given",
        "As one faces the wall",
        "A 410 N 182 N somebody pulls outwards at the lower edge",
        "Asked for solid masonry",
        "Drill one trial hole",
        "at least 80 mm",
        "Load of each test 1.5 kN",
        "3 of 4, chosen by somebody who did not set them",
        "It does not show what it, or the wall, can carry",
        "what is expected is left out of the form on purpose",
        "Form to send back",
        "Odile Marrow (invented), telephone 00 0000 000",
        "2. A – B from 100",
        "Facing the wall, the holes run the same way round as on the drawing",
        "13. Height of D over the laser line",
        "invented for a demonstration",
    ],
)
def test_the_pack_says(words_of: str, words: str) -> None:
    assert words.lower() in words_of


def test_headings_come_in_the_order_of_the_work(pack: bytes) -> None:
    assert [item.title for item in pypdf.PdfReader(BytesIO(pack)).outline][-len(HEADINGS) :] == HEADINGS


def test_nothing_is_promised(pack: bytes, empty: bytes) -> None:
    assert not FORBIDDEN.search(reading.text(pack))
    assert not FORBIDDEN.search(reading.text(empty))


def test_both_papers_have_their_own_size(pack: bytes, letter: bytes) -> None:
    """ISO 216 A4 and ANSI/ASME Y14.1 Letter (8.5 × 11 in), both from memory."""
    assert reading.sizes_mm(pack) == {(210.0, 297.0)}
    assert reading.sizes_mm(letter) == {(215.9, 279.4)}


@pytest.mark.parametrize("paper", ["pack", "letter"])
def test_the_drawing_is_to_scale_and_not_mirrored(request: pytest.FixtureRequest, paper: str) -> None:
    """Ratios of the piece's own sizes, against coordinates that PDFium reads from the PDF."""
    pdf = request.getfixturevalue(paper)
    page = page_with(pdf, "outline of the piece")
    drawn = rectangles(pdf, page)
    pen = 0.55  # PDFium's boxes reach out by a pen's width all round
    outline = max((one for one in drawn if one[2] > 40 and one[3] > 15), key=lambda one: one[2] * one[3])
    wide, high = outline[2] - 2 * pen, outline[3] - 2 * pen
    assert wide / high == pytest.approx(2140 / 920, rel=0.001)
    scale = wide / 2140
    left, bottom = outline[0] + pen, outline[1] + pen
    # Rings of points without a size of their own are drawn 2.2 mm wide, with a pen of 0.3 mm.
    rings = [one for one in drawn if abs(one[2] - 2.8) < 0.05 and abs(one[3] - 2.8) < 0.05]
    centres = [(x + across / 2, y + up / 2) for x, y, across, up in rings]
    for point in (invented.POINTS[0], invented.POINTS[2], invented.POINTS[3]):
        x = left + (point.x_mm - 400.0) * scale
        y = bottom + (point.y_mm - 900.0) * scale
        assert min(abs(at_x - x) + abs(at_y - y) for at_x, at_y in centres) < 0.1, point.label
    # A is left of B as one faces the wall, and the letters say so.
    letters = {letter: box for letter, box in reading.letters_mm(pdf, page) if letter in "ABCD" and box[0] > left}
    assert letters["C"][0] < letters["D"][0]


def test_no_expected_distance_stands_on_the_form(pack: bytes) -> None:
    """A to B is 2380 − 560 = 1820 mm; whoever reads it beside the box would write it down."""
    assert "1820" not in reading.text(pack)
    form = page_with(pack, "4. Tape and laser")
    text = " ".join(pypdf.PdfReader(BytesIO(pack)).pages[form].extract_text().split())
    assert not re.search(r"\b(1610|1015|2380|560)\b", text)


def test_every_box_is_high_enough_to_write_in(pack: bytes) -> None:
    """At least 8 mm for a line of handwriting: common practice, no source. Read from the table's own rules."""
    page = page_with(pack, "4. Tape and laser")
    names = [letter for letter, _box in reading.letters_mm(pack, page)]
    assert names.count("–") == 9
    text = pypdf.PdfReader(BytesIO(pack)).pages[page].extract_text()
    assert "1. A" in text
    tops = sorted(box[1] for letter, box in reading.letters_mm(pack, page) if letter == "–")
    steps = [later - sooner for sooner, later in pairwise(tops)]
    assert min(steps) >= 8.0


@pytest.mark.parametrize("paper", ["pack", "letter", "empty"])
def test_no_heading_stands_alone_at_the_foot_of_a_page(request: pytest.FixtureRequest, paper: str) -> None:
    pdf = request.getfixturevalue(paper)
    for page in pypdf.PdfReader(BytesIO(pdf)).pages:
        lines = [line.strip() for line in page.extract_text().splitlines() if line.strip()]
        body = [line for line in lines if "Fixing pack · template" not in line and not line.startswith("page ")]
        assert body[-1] not in HEADINGS


def test_what_was_not_said_is_said_to_be_missing(empty: bytes) -> None:
    said = reading.text(empty)
    for words in (
        "Measurements not recorded",
        "Weight not recorded",
        "Anchors designed by not recorded",
        "Level line not recorded",
        "Loads: not worked out. Anchors are not chosen from this paper until they are.",
        "No loads are worked out.",
        "Asked for not recorded",
        "No proof load is given.",
        "One hole alone needs no tape.",
    ):
        assert words in said


def test_a_pack_of_changed_points_says_stop(engine: Engine) -> None:
    said = reading.text(fixing_pack_pdf(replace(invented.PACK, stale=True), engine=engine))
    assert "Do not drill from this paper: ask for a new one." in said


def test_many_anchors_and_a_datum_far_away_are_a_pack_too(engine: Engine) -> None:
    points = tuple(r.PackPoint(f"P{place}", 30_000.0 + place % 20 * 90, place // 20 * 80.0) for place in range(200))
    record = replace(invented.PACK, points=points, corner_x_mm=29_900.0, corner_y_mm=-40.0, readings=())
    drawn = drawing(record, 164.0, str)
    assert drawn.count(">P") == 200
    assert "the datum lies off this drawing" in drawn
    said = reading.text(fixing_pack_pdf(replace(record, points=points[:40]), engine=engine))
    assert "P39 31710 mm 80 mm" in said


def test_the_anchors_behind_a_rail_have_lines_of_their_own(engine: Engine) -> None:
    points = (replace(invented.POINTS[0], rail=True), invented.POINTS[1])
    said = reading.text(fixing_pack_pdf(replace(invented.PACK, points=points), engine=engine))
    for words in ("A/1", "A/2", "A/3", "rail: its own anchors as designed"):
        assert words in said
    assert "B/1" not in said


def test_words_that_look_like_markup_are_words(engine: Engine) -> None:
    record = replace(invented.PACK, title="<b>Dunlin</b> & \x07co", datum="</svg><script>", anchor="M8 “<i>”")
    said = reading.text(fixing_pack_pdf(record, engine=engine))
    for words in ("<b>Dunlin</b> & co", "</svg><script>", "M8 “<i>”"):
        assert words in said


def test_the_same_record_gives_the_same_bytes(engine: Engine, pack: bytes) -> None:
    assert fixing_pack_pdf(invented.PACK, engine=engine) == pack


def test_a_record_comes_back_from_json_as_it_was() -> None:
    plain = json.loads(json.dumps(invented.PACK.to_json()))
    assert r.FixingPack.from_json(plain) == invented.PACK
    with pytest.raises(RecordError, match="colour"):
        r.FixingPack.from_json({**plain, "colour": "red"})


def test_another_paper_is_refused(engine: Engine) -> None:
    with pytest.raises(ValueError, match="allowed are A4, Letter"):
        fixing_pack_pdf(invented.PACK, paper="A3", engine=engine)
