"""The set of labels from one design: every form at every limit, read back from the PDF; grids of sheets."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.documents import fitting
from siteapp.documents.label.layout import lay
from siteapp.documents.label.pdf import label_pdf, labels_pdf, set_pdf
from siteapp.documents.label.sizes import (
    CARD_FORM,
    EDGE_LABEL,
    FORMS,
    LIMITS,
    SHEETS_MM,
    LabelError,
    LabelForm,
)
from siteapp.documents.qr import QrTooSmall
from tests.documents import invented, reading

FULL = replace(
    invented.LABEL,
    take_down="Two hold, one works: C first, then A and B by three turns; lift 25 mm and come out by 40 mm.",
    keep_away="Picture lights closer than 300 mm; plants, steam",
    care="Dust with a soft dry brush, from the top down, twice a year.",
    care_never="Water, sprays, polish, tape",
)
LONG_TITLE = (
    "The long walk of the sanderlings along the tide line before the storm of the third winter, seen from the dunes"
)
LONG = replace(
    FULL,
    title=LONG_TITLE,
    maker="Reed & Tern Workshop of the Saltmarsh and the Outer Sands, Sculptors in Relief since 1987",
    hanging_points=("A top left, B top right: keyhole slots for M10 " * 6,),
    way_up="the arrow on the back frame points up " * 6,
    who_to_ask=("Reed & Tern Workshop", "+44 1632 960 143", "maker@reedandtern.example") * 3,
    care="Dust it with a soft dry brush, from the top down. " * 6,
    keep_away="Supercalifragilisticexpialidocious" * 10,
)
BARE = replace(
    FULL, link=None, what=None, weight_kg=None, people_to_lift=None, hanging_points=(), way_up=None, who_to_ask=()
)
SIZES = [
    EDGE_LABEL,
    LabelForm(60, 24, kind="edge"),
    LabelForm(62, 26, kind="edge"),
    LabelForm(300, 80, kind="edge"),
    CARD_FORM,
    LabelForm(115, 90, kind="card"),
    LabelForm(90, 140, kind="card"),
    LabelForm(300, 300, kind="card"),
    LabelForm(100, 70),
    LabelForm(80, 60),
    LabelForm(54, 105),
    LabelForm(62, 120),
    LabelForm(100, 150),
    LabelForm(300, 60),
]
DPI = 200  # four dots to the smallest module
NAMES = [f"{form.kind} {form.width_mm:g} x {form.height_mm:g}" for form in SIZES]


def apart(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


CASES = [
    *((f"usual, {name}", FULL, form) for name, form in zip(NAMES, SIZES, strict=True)),
    *((f"long, {name}", LONG, form) for name, form in zip(NAMES, SIZES, strict=True)),
    *((f"bare, {form.kind}", BARE, form) for form in FORMS.values()),
]


@pytest.mark.parametrize(("record", "form"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_every_letter_is_on_its_label_and_off_the_codes_and_every_code_is_read_back(engine, form, record):
    pdf = label_pdf(record, form, engine=engine)
    assert reading.sizes_mm(pdf) == {(round(form.width_mm, 1), round(form.height_mm, 1))}
    codes = reading.pictures_mm(pdf)
    assert len(codes) == (1 if form.kind == "edge" or record.link is None else 2)
    letters = reading.letters_mm(pdf)
    said = reading.text(pdf)
    assert "K7QX-M2TR" in said
    if record is not BARE:
        # What is needed before lifting is whole on every form, whatever else is cut.
        assert "38.5 kg, weighed" in said
        assert "3 people, or a hoist" in said
    for letter, box in letters:
        assert box[0] >= 1.5, letter
        assert box[1] >= 1, letter
        assert box[2] <= form.width_mm - 1.5, letter
        assert box[3] <= form.height_mm - 0.3, letter
        assert all(apart(box, code) for code in codes), letter
    assert all(apart(one, other) for one, other in itertools.combinations(codes, 2))
    found = zxingcpp.read_barcodes(reading.picture(pdf, dpi=DPI))
    texts = {one.text for one in found}
    assert len(texts) == len(codes)
    if record.link is not None:
        assert "HTTPS://REEDANDTERN.EXAMPLE/P/K7QXM2TR" in texts
    if form.kind != "edge" or record.link is None:
        assert any(text.startswith("K7QX-M2TR") for text in texts)
    assert {one.ec_level for one in found} == {"Q"}
    # A module is at least half a millimetre, its quiet zone four of them: measured on the picture of the page.
    laid = lay(record, form, str)
    for code in laid.codes:
        assert code.side_mm / code.code.modules >= 0.5
    widths = sorted(one.position.top_right.x - one.position.top_left.x for one in found)
    measured = [width / DPI * 25.4 for width in widths]
    meant = sorted(code.side_mm * (1 - 8 / code.code.modules) for code in laid.codes)
    assert measured == pytest.approx(meant, abs=0.5)
    assert laid.smallest_pt >= fitting.SMALLEST_PT


def test_the_card_says_care_what_must_not_touch_it_and_has_room_for_notes(engine):
    said = reading.text(label_pdf(FULL, CARD_FORM, engine=engine))
    for words in ("Dust with a soft dry brush", "Picture lights closer", "Water, sprays", "C first, then A", "Notes"):
        assert words in said
    bare = reading.text(label_pdf(BARE, CARD_FORM, engine=engine))
    assert "weigh it first" in bare
    assert "ask before lifting" in bare


@settings(max_examples=25)
@given(
    kind=st.sampled_from(sorted(LIMITS)),
    width=st.floats(54, 300),
    height=st.floats(24, 300),
    record=st.sampled_from([FULL, LONG, BARE]),
)
def test_at_any_size_within_the_limits_nothing_leaves_its_label_nor_stands_on_anything_else(
    kind, width, height, record
):
    try:
        form = LabelForm(width, height, kind=kind)
    except LabelError:
        return
    laid = lay(record, form, str)
    lines = [
        (text.x_mm, text.y_mm + text.height_mm * 0.2, text.x_mm + text.width_mm, text.y_mm + text.height_mm * 0.8)
        for text in laid.texts
    ]
    codes = [(code.x_mm, code.y_mm, code.x_mm + code.side_mm, code.y_mm + code.side_mm) for code in laid.codes]
    for box in (*lines, *codes):
        assert min(box[0], box[1]) >= 1.5
        assert box[2] <= width - 1.5
        assert box[3] <= height - 1.5
    assert all(apart(one, other) for one, other in itertools.combinations([*lines, *codes], 2))
    assert laid.smallest_pt >= fitting.SMALLEST_PT


def test_a_long_title_gets_smaller_and_is_then_cut_at_a_word():
    sizes = []
    for count in (3, 9, 19):
        title = " ".join(LONG_TITLE.split()[:count])
        laid = lay(replace(FULL, title=title), LabelForm(), str)
        lines = [text for text in laid.texts if text.face == fitting.DISPLAY]
        sizes.append(lines[0].size_pt)
        printed = " ".join(line.words for line in lines)
        if printed.endswith("…"):
            assert laid.cut == ["Title"]
            assert title.startswith(printed[:-1] + " ")
        else:
            assert printed == title
            assert laid.cut == []
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] > sizes[-1] >= fitting.SMALLEST_PT


@given(
    text=st.text(st.sampled_from("aMw .-éЖΩ1"), max_size=200),
    room=st.floats(4, 120),
    size=st.floats(6, 20),
    most=st.integers(1, 4),
)
def test_set_lines_are_never_wider_than_their_room_and_lose_no_word_unless_cut(text, room, size, most):
    told = fitting.cut(text, fitting.SANS, size, room, most)
    assert len(told.lines) <= most
    assert all(fitting.width_mm(line, fitting.SANS, size) <= room for line in told.lines if len(line) > 1)
    if not told.cut:
        assert re.sub(r"\s", "", "".join(told.lines)) == re.sub(r"\s", "", text)


def test_measured_widths_are_those_of_the_pdf(engine):
    """The page's own letters, placed by another program, end where they were measured to end."""
    laid = lay(FULL, LabelForm(), str)
    letters = reading.letters_mm(label_pdf(FULL, engine=engine))
    line = next(text for text in laid.texts if text.words.startswith("3 people"))
    on_line = [box for _letter, box in letters if abs((box[1] + box[3]) / 2 - line.y_mm - line.height_mm / 2) < 0.8]
    ends = max(box[2] for box in on_line if box[0] > line.x_mm - 0.5 and box[2] < line.x_mm + line.width_mm + 2)
    assert ends == pytest.approx(line.x_mm + line.width_mm, abs=0.3)


@pytest.mark.parametrize(
    ("facts", "field", "told"),
    [
        ({"kind": "flag"}, "form", "label form: is 'flag'; allowed are back, edge, card"),
        ({"kind": "edge", "width_mm": 59}, "width", "label width: is 59 mm; allowed is 60 to 300 mm"),
        ({"kind": "edge", "height_mm": 23.9}, "height", "label height: is 23.9 mm; allowed is 24 to 80 mm"),
        ({"kind": "card", "width_mm": 89}, "width", "label width: is 89 mm; allowed is 90 to 300 mm"),
        ({"width_mm": 62, "height_mm": 100}, "height", "allowed is 105 to 300 mm for one 62 mm wide"),
        ({"sheet": "A4", "margin_mm": 41}, "margin", "sheet margin: is 41 mm; allowed is 0 to 40 mm"),
        ({"sheet": "A4", "gap_mm": -1}, "gap", "gap between labels: is -1 mm; allowed is 0 to 30 mm"),
        ({"copies": 0}, "copies", "copies: is 0; allowed is 1 to 100"),
        ({"sheet": "A4", "start": 9}, "start", "start: is 9; allowed is 1 to 8"),
        ({"start": 2}, "start", "start: is 2; allowed is 1 to 1"),
    ],
)
def test_what_cannot_be_is_refused_by_field_value_and_range(facts, field, told):
    usual = dict(
        zip(("width_mm", "height_mm"), LIMITS.get(facts.get("kind", "back"), LIMITS["back"]).usual, strict=True)
    )
    with pytest.raises(LabelError, match=re.escape(told)) as refused:
        LabelForm(**(usual | facts))
    assert refused.value.field == field


def test_a_link_that_a_small_label_cannot_hold_is_refused_with_the_size_it_needs():
    record = replace(FULL, link="https://the-very-long-name-of-a-workshop.example/p/K7QXM2TR")
    with pytest.raises(QrTooSmall, match=r"a label that leaves 20\.5 mm for it"):
        lay(record, LabelForm(90, 24, kind="edge"), str)
    assert lay(record, LabelForm(90, 26, kind="edge"), str).codes[0].side_mm >= 20.5


@given(
    kind=st.sampled_from(["back", "edge", "card"]),
    width=st.integers(54, 220),
    height=st.integers(24, 200),
    sheet=st.sampled_from(["A4", "Letter"]),
    margin=st.integers(0, 40),
    gap=st.integers(0, 30),
)
def test_labels_of_a_sheet_never_overlap_nor_stand_in_its_margin(kind, width, height, sheet, margin, gap):
    try:
        form = LabelForm(width, height, sheet, kind, margin, gap)
    except LabelError:
        return
    page_width, page_height = SHEETS_MM[sheet]
    boxes = []
    for number in range(form.places):
        page, x, y = form.place(number)
        assert page == 0
        boxes.append((x, y, x + width, y + height))
    for box in boxes:
        assert box[0] >= margin - 1e-6
        assert box[1] >= margin - 1e-6
        assert box[2] <= page_width - margin + 1e-6
        assert box[3] <= page_height - margin + 1e-6
    assert all(
        apart(tuple(side + 1e-9 for side in one), other) or apart(one, tuple(side + 1e-9 for side in other))
        for one, other in itertools.combinations(boxes, 2)
    )
    # One more row or column would not go on.
    across, down = form.grid
    assert (across + 1) * (width + gap) - gap > page_width - 2 * margin
    assert (down + 1) * (height + gap) - gap > page_height - 2 * margin
    assert form.place(form.places)[0] == 1


def test_copies_begin_at_their_place_and_go_on_to_the_next_sheet(engine):
    form = LabelForm(sheet="A4", copies=5, start=6)
    pdf = label_pdf(FULL, form, engine=engine)
    for page, count in ((0, 3), (1, 2)):
        assert len(reading.pictures_mm(pdf, page)) == 2 * count
    # The sixth of two across is the right one in the third row.
    left = min(box[0] for letter, box in reading.letters_mm(pdf) if letter == "K" and box[1] < 215)
    assert left > 105


def test_several_pieces_follow_one_another_on_one_sheet(engine):
    other = replace(FULL, number="7QXM2TRK", number_grouped="7QXM-2TRK", title="Curlew, listening", link=None)
    pdf = labels_pdf([FULL, other, FULL], LabelForm(90, 26, "Letter", "edge", gap_mm=2), engine=engine)
    said = reading.text(pdf)
    assert [said.count(words) for words in ("K7QX-M2TR", "7QXM-2TRK")] == [2, 1]
    assert len(reading.codes(reading.picture(pdf))) == 2
    assert len(reading.pictures_mm(pdf)) == 3


@pytest.mark.parametrize(("sheet", "pages"), [(None, 3), ("A4", 1), ("Letter", 1)])
def test_a_set_has_all_three(engine, sheet, pages):
    pdf = set_pdf([FULL], sheet, engine=engine)
    assert reading.text(pdf).count("K7QX-M2TR") == 3
    sizes = reading.sizes_mm(pdf)
    assert sizes == ({SHEETS_MM[sheet]} if sheet else {LIMITS[kind].usual for kind in FORMS})
    drawn = [reading.pictures_mm(pdf, page) for page in range(pages)]
    assert sum(len(one) for one in drawn) == 5
    for page in range(pages):
        assert len(zxingcpp.read_barcodes(reading.picture(pdf, page, dpi=DPI))) == len(drawn[page])


def test_a_set_on_another_sheet_is_refused():
    with pytest.raises(LabelError, match="is 'A3'; allowed are A4, Letter"):
        set_pdf([FULL], "A3")


def test_more_labels_than_one_pdf_takes_are_refused_before_any_is_made():
    with pytest.raises(LabelError, match=r"they come to 200 labels; allowed is 120 in one PDF"):
        labels_pdf([FULL, BARE], LabelForm(sheet="A4", copies=100))
    with pytest.raises(LabelError, match=r"they come to 123 labels"):
        set_pdf([FULL], copies=41)


def test_the_same_sheet_has_the_same_bytes(engine):
    form = LabelForm(sheet="A4", copies=2)
    assert labels_pdf([FULL, BARE], form, engine=engine) == labels_pdf([FULL, BARE], form, engine=engine)
