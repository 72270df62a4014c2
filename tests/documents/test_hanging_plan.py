"""The hanging plan, read back: what it says, in which order, its drawing by the PDF's own coordinates."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from io import BytesIO
from typing import TYPE_CHECKING

import pypdf
import pypdfium2
import pytest

from siteapp.documents.frozen import RecordError
from siteapp.documents.hanging_plan import records as r
from siteapp.documents.hanging_plan.pdf import hanging_plan_pdf
from tests.documents import invented_plan as invented
from tests.documents import reading

if TYPE_CHECKING:
    from siteapp.documents.engine import Engine

FORBIDDEN = re.compile(r"\b(un)?safe\b|\bsafety|guarantee|\bprice|insur", re.IGNORECASE)
HEADINGS = [
    "How this plan stands",
    "Who calls, and how everything stops",
    "What is lifted",
    "Step by step",
    "Making it fast",
    "Before anybody lifts",
    "Read out, understood",
    "What this rests on",
]


@pytest.fixture(scope="module")
def plan(engine: Engine) -> bytes:
    return hanging_plan_pdf(invented.PLAN, engine=engine)


@pytest.fixture(scope="module")
def empty(engine: Engine) -> bytes:
    return hanging_plan_pdf(invented.EMPTY, paper="Letter", engine=engine)


def test_the_plan_says_what_whoever_lifts_must_know(plan: bytes) -> None:
    said = reading.text(plan)
    for words in (
        "Sanderlings at the Tide Line",
        "K7QX-M2TR",
        "As planned on 2 May 2026, 14:35",
        "Stop. “Down”: lower it to the trestles.",
        "Anybody may call the stop.",
        "Nan Ferris",
        "Guide, and do not lift Pol Adair",
        "Kit Ostler (invented), Bea Lund",
        "Busy at once 3 people",
        "38.5 kg, weighed",
        "61 kg, weighed",
        "1040 mm from the left (weighed), 455 mm up (worked out), 180 mm out from the wall (assumed)",
        "never by a wing tip",
        "the waterline at the bottom",
        "lamps nearer than 300 mm",
        "1. Unload 2 lift Arms alone; standing on: floor or ground Van’s tail 61 kg 17.3 kg cannot tell",
        "2. Raise Nobody lifts Hoist or lifting platform; plate 150 kg 38.5 kg 150 kg met",
        "not a limit up to which nothing happens",
        "A, B by hand; C, D by hand; then all with the wrench",
        "Raise: Hoist or lifting platform",
        "Nobody lifts from a ladder.",
        "the judgement of a competent person on the spot come before this paper",
        "nobody twists or hurries",
        "Source: HSE INDG143 and L23.",
        "Who to ask: Odile Marrow (invented), telephone 00 0000 000",
        "invented for a demonstration",
        "seen from the front",
    ):
        assert words.lower() in said.lower(), words


def test_headings_come_in_the_order_of_the_work(plan: bytes) -> None:
    assert [item.title for item in pypdf.PdfReader(BytesIO(plan)).outline][-len(HEADINGS) :] == HEADINGS


def test_nothing_is_promised(plan: bytes, empty: bytes) -> None:
    assert not FORBIDDEN.search(reading.text(plan))
    assert not FORBIDDEN.search(reading.text(empty))


def test_both_papers_have_their_own_size(plan: bytes, empty: bytes) -> None:
    """ISO 216 A4 and ANSI/ASME Y14.1 Letter (8.5 × 11 in), both from memory."""
    assert reading.sizes_mm(plan) == {(210.0, 297.0)}
    assert reading.sizes_mm(empty) == {(215.9, 279.4)}
    assert all(reading.fonts(plan).values())


def test_what_was_not_said_is_said_to_be_missing(empty: bytes) -> None:
    said = reading.text(empty)
    for words in (
        "This plan cannot be told yet: something is missing.",
        "who lifts is not named",
        "How everything stops is not agreed. Agree it before anybody lifts.",
        "Calls the moves not recorded",
        "Weight not recorded",
        "Balance point not recorded",
        "Order of the nuts not recorded",
    ):
        assert words in said, words


def test_a_plan_that_is_not_met_stops_whoever_reads_it(engine: Engine) -> None:
    record = replace(invented.PLAN, verdict="not met", reasons=("step 3 (raise): nobody lifts from a ladder",))
    said = reading.text(hanging_plan_pdf(record, engine=engine))
    assert "Nobody lifts by it until what stands here is settled." in said
    assert "step 3 (raise): nobody lifts from a ladder" in said


def test_the_drawing_is_to_scale_and_not_mirrored(plan: bytes) -> None:
    """The outline's ratio is the piece's own, and A stands left of B, by coordinates that PDFium reads from the PDF."""
    # PDFium's boxes reach out by a pen's width all round: 2.2 of the drawing's 320 units, which are 104 mm.
    pens = 2 * 2.2 * 104 / 320 * 72 / 25.4
    document = pypdfium2.PdfDocument(plan)
    outlines = []
    for number, page in enumerate(document):
        for one in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH]):
            left, bottom, right, top = one.get_bounds()
            wide, high = right - left, top - bottom
            if high > 60 and abs((wide - pens) / (high - pens) - 2140 / 920) < 0.01:
                outlines.append((number, left, bottom, right, top))
    document.close()
    assert len(outlines) == 1
    number, left, bottom, right, top = outlines[0]
    paper = 297.0
    mm = 25.4 / 72
    inside = {
        letter: box
        for letter, box in reading.letters_mm(plan, number)
        if letter in "ABCD" and left * mm < box[0] < right * mm and paper - top * mm < box[1] < paper - bottom * mm
    }
    assert inside["A"][0] < inside["B"][0]
    assert inside["C"][0] < inside["D"][0]
    assert inside["A"][1] < inside["C"][1]  # counted from the top of the page


def test_the_same_record_gives_the_same_bytes_and_comes_back_from_json(plan: bytes, engine: Engine) -> None:
    again = r.HangingPlan.from_json(json.loads(json.dumps(invented.PLAN.to_json())))
    assert again == invented.PLAN
    assert hanging_plan_pdf(again, engine=engine) == plan
    with pytest.raises(RecordError, match="which this version does not know"):
        r.HangingPlan.from_json({**invented.PLAN.to_json(), "mood": "good"})


def test_hostile_and_long_words_stay_words(engine: Engine) -> None:
    long = "Ж" * 1000
    record = replace(
        invented.PLAN,
        title="<script>alert(1)</script> & " + "very long " * 40,
        stop_call=long,
        points=(r.PlanPoint("<b>A</b>", 100.0, 100.0),),
        steps=tuple(r.PlanStep("Raise", "2 lift", "x" * 100, 1.0, 2.0, "met", long[:100]) for _ in range(60)),
    )
    said = reading.pdfium_text(hanging_plan_pdf(record, engine=engine))
    assert "<script>alert(1)</script>" in said
    assert "<b>A</b>" in said
    assert "60. Raise" in said


def test_another_paper_is_refused(engine: Engine) -> None:
    with pytest.raises(ValueError, match="allowed are A4, Letter"):
        hanging_plan_pdf(invented.PLAN, paper="A3", engine=engine)
