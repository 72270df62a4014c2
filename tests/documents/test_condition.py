"""The condition report, read back: what it says, and that numbered marks stand where they belong on the photos."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from io import BytesIO

import pypdf
import pypdfium2
import pytest

from siteapp.documents.condition import records as r
from siteapp.documents.condition.pdf import condition_pdf
from siteapp.documents.frozen import RecordError
from tests.documents import invented_condition as invented
from tests.documents import reading
from tests.documents.reading_marks import images, places

FORBIDDEN = re.compile(r"\b(un)?safe|\bsafety|guarantee|\bprice|insur|valu(e|ation)\b|[✓✔☑]", re.IGNORECASE)


def flat(outline):
    """All headings of an outline, whatever their level."""
    for item in outline:
        yield from flat(item) if isinstance(item, list) else (item,)


def tagged(node, kind: str):
    """All elements of a kind below a node of a PDF's structure."""
    children = node.get("/K", [])
    for child in children if isinstance(children, list) else [children]:
        inner = child.get_object()
        if isinstance(inner, dict):
            if inner.get("/S") == kind:
                yield inner
            yield from tagged(inner, kind)


@pytest.fixture(scope="module")
def arrival(engine):
    return condition_pdf(invented.record(), invented.photos(), engine=engine)


@pytest.fixture(scope="module")
def handover(engine):
    return condition_pdf(invented.record(invented.HANDOVER, invented.ARRIVAL), invented.photos(), engine=engine)


@pytest.fixture(scope="module")
def later(engine):
    return condition_pdf(invented.record(invented.LATER, invented.HANDOVER), invented.photos(), engine=engine)


@pytest.fixture(scope="module")
def empty(engine):
    return condition_pdf(invented.EMPTY, {}, engine=engine)


@pytest.mark.parametrize(
    "words",
    [
        "Sanderlings at the Tide Line",
        "Handover, 17 June 2026",
        "K7QX-M2TR",
        "a reading room in a small town",
        "height 920 mm, width 2140 mm, depth 165 mm",
        "38.5 kg, weighed",
        "acrylic-modified gypsum",
        "keyhole slot, takes the weight",
        "Reason Handover",
        "Date 17 June 2026, 15:40",
        "Examined by Odile Marrow",
        "Light and method Daylight from the north window",
        "Surroundings Stove below, cold",
        "Before dispatch, 9 June 2026",
        "Packed face up on foam",
        "The chip found on arrival is filled",
        "Structure 1 hairline crack, Front: 40 mm long",
        "Surface no mark set",
        "Metalwork 2 rust, Hanging points and metalwork: a bloom",
        "Compared with the look before",
        "What changed is not worked out here",
        "Look at the hairline again in October 2026",
        "Examined by",
        "Also present, or for the keeper of the piece",
        "Looking finds nothing behind the surface",
        "EN 16095:2012",
        "no conformity with it is claimed",
        "invented for a demonstration",
    ],
)
def test_the_report_says(handover, words):
    assert words.lower() in reading.text(handover).lower()


def test_headings_come_in_the_order_of_such_reports(handover):
    assert [item.title for item in pypdf.PdfReader(BytesIO(handover)).outline if not isinstance(item, list)] == [
        "Sanderlings at the Tide Line",
        "Identification",
        "Description",
        "Materials and construction",
        "Hanging points",
        "The look",
        "Condition before",
        "Condition now",
        "Photos and marks",
        "Compared with the look before",
        "What should be done",
        "Signed",
        "How far this report reaches",
    ]


def test_what_was_not_recorded_or_not_taken_is_said_and_not_left_blank(empty):
    said = reading.text(empty)
    for heading in ("Type of object", "Measurements", "Weight", "Where", "Date", "Examined by", "Light and method"):
        assert f"{heading} not recorded" in said
    assert said.count("not taken") == 6
    for words in (
        "No photo was taken at this look",
        "No look before this one is recorded",
        "no look before",
        "Structure no mark set",
        "No recommendation was recorded",
        "No description was recorded",
    ):
        assert words in said
    assert "Compared with the look before" not in said


def test_what_was_not_photographed_is_named_and_what_was_is_counted(arrival, later):
    assert "raking light not taken" in reading.text(arrival).lower()
    assert "scale and colour target not taken" in reading.text(arrival).lower()
    assert "scale and colour target 1 photo" in reading.text(later).lower()
    assert "edges 3 photos" in reading.text(later).lower()


def test_indicators_stand_on_the_report_of_an_arrival(arrival):
    assert "Crate and indicators shock indicator not tripped, tilt indicator tripped" in reading.text(arrival)


def test_a_look_that_was_put_right_says_so(later):
    assert "put right once since, 22 October 2026, 08:30" in reading.text(later)


@pytest.mark.parametrize("name", ["arrival", "handover", "later", "empty"])
def test_words_that_must_never_stand_on_it_do_not(request, name):
    assert FORBIDDEN.findall(reading.text(request.getfixturevalue(name))) == []


def test_only_packaged_faces_are_embedded(later):
    found = reading.fonts(later)
    assert all(found.values())
    assert {name.split("+")[1].split("-")[0] for name in found} == {"Paper"}


@pytest.mark.parametrize(("paper", "size"), [("A4", (210.0, 297.0)), ("Letter", (215.9, 279.4))])
def test_it_fits_the_paper_and_its_pages_are_numbered(engine, paper, size):
    record = invented.record(invented.HANDOVER, invented.ARRIVAL)
    pdf = condition_pdf(record, invented.photos(), paper=paper, engine=engine)
    assert reading.sizes_mm(pdf) == {size}
    pages = [page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages]
    assert 7 <= len(pages) <= 11
    assert all(f"page {place} / {len(pages)}" in page for place, page in enumerate(pages[1:], 2))
    assert all("K7QX-M2TR" in page for page in pages)
    document = pypdfium2.PdfDocument(pdf)
    for place in range(len(document)):
        width, height = document[place].get_size()
        for left, low, right, top in images(document[place]):
            assert 0 < left < right < width
            assert 60 * (place > 0) < low < top < height


@pytest.mark.parametrize("name", ["arrival", "handover", "later", "empty"])
def test_no_heading_stands_alone_at_the_foot_of_a_page(request, name):
    pdf = request.getfixturevalue(name)
    headings = {item.title for item in flat(pypdf.PdfReader(BytesIO(pdf)).outline)}
    assert len(headings) > 9
    document = pypdfium2.PdfDocument(pdf)
    for place in range(1, len(document)):
        page = document[place]
        lines = [line.strip() for line in page.get_textpage().get_text_range().splitlines() if line.strip()]
        last = [line for line in lines if "page " not in line and "Condition report" not in line][-1]
        if last in headings:
            # Photos without words of their own may stand below a slot's name.
            foot = min(at[1] for at in places(page, last))
            assert any(box[3] < foot for box in images(page)), last


def test_two_looks_stand_side_by_side_slot_by_slot_under_their_days(handover):
    document = pypdfium2.PdfDocument(handover)
    page = next(document[place] for place in range(1, len(document)) if places(document[place], "Compared with the"))
    (then,) = places(page, "Arrival, 15 June 2026")
    # The foot of the page names the look too.
    now = max(places(page, "Handover, 17 June 2026"), key=lambda at: at[1])
    pictures = sorted(box for box in images(page) if box[3] < then[1])
    pair = [box for box in pictures if abs(box[3] - max(one[3] for one in pictures)) < 1]
    assert len(pair) == 2
    assert then[1] == pytest.approx(now[1], abs=1)
    assert pair[0][0] < then[0] < pair[0][2] <= pair[1][0] < now[0] < pair[1][2]


def test_what_was_photographed_on_one_day_only_is_said_on_both_sides(handover):
    said = reading.text(handover)
    both = said[said.index("Compared with the look before") : said.index("Marks of both days")].lower()
    assert "raking light not taken raking light 1 photo, above" in both
    assert "scale and colour target" not in both


def test_marks_of_both_days_stand_in_tables_side_by_side(handover):
    said = reading.text(handover)
    both = said[said.index("Marks of both days") :]
    assert both.index("3 mm across, at the wing’s edge") < both.index("a bloom around the washer")
    assert "no mark set" in both


def many(count: int) -> r.ConditionRecord:
    """A look with `count` photos in three slots, three marks on every second photo, and the same look before it."""
    shots = [
        r.Shot(
            invented.sha(place % 16),
            spots=tuple(
                r.Spot(place * 3 + each, 0.2 * each, 0.3, "scratch", f"note{place}x{each}") for each in (1, 2, 3)
            )
            if place % 2
            else (),
        )
        for place in range(count)
    ]
    third = count // 3
    taken = {
        "front": tuple(shots[:third]),
        "edges": tuple(shots[third : 2 * third]),
        "details": tuple(shots[2 * third :]),
    }
    look = replace(invented.HANDOVER, sides=invented.sides(taken))
    return invented.record(look, replace(look, reason="Arrival"))


def test_forty_photos_with_sixty_marks_all_stand_on_it(engine):
    pdf = condition_pdf(many(40), invented.photos(), engine=engine)
    document = pypdfium2.PdfDocument(pdf)
    shown = sum(len(images(document[place])) for place in range(1, len(document)))
    pairs = 3 * 3 * 2  # three of each slot, then and now
    assert shown == 40 + pairs
    said = reading.text(pdf)
    assert {f"note{place}x{each}" for place in range(1, 40, 2) for each in (1, 2, 3)} <= set(
        re.findall(r"note\d+x\d", said)
    )


def test_a_photo_that_is_not_here_is_said_to_be_missing_and_its_marks_are_kept(engine):
    said = reading.text(condition_pdf(invented.record(), {}, engine=engine))
    shots = [shot for side in invented.ARRIVAL.sides for shot in side.shots]
    assert said.count("This photo is not on this machine") == len(shots)
    assert "The photos of this look are not on this machine" in said
    assert "40 mm long, under 0.1 mm wide" in said


def test_marks_that_two_machines_set_apart_are_said_to_be_so(engine):
    record = invented.record(replace(invented.ARRIVAL, marked_apart=True))
    assert "a number may stand twice" in reading.text(condition_pdf(record, invented.photos(), engine=engine))


HOSTILE = ["x" * 2_000, "🙂" * 400, "שלום עולם " * 100, "漢字の印 " * 100, "\x00\x07\u202e\ufffe end"]


def everything(words: str) -> r.ConditionRecord:
    spots = (r.Spot(1, 0.5, 0.5, "crack", words, r.STRUCTURE), r.Spot(2, 0.1, 0.1, None, words))
    side = r.Side("front", "Front", (r.Shot(invented.sha(0), words, spots), r.Shot(invented.sha(1), words)))
    look = r.LookRecord("Arrival", words, words, words, words, words, words, words, words, sides=(side,))
    return invented.record(
        look, look, earlier=(look,), title=words, object_type=words, description=words, materials=words, finish=words,
        made_on=words, place=words, printed_on=words, entry_id=words,
    )  # fmt: skip


@pytest.mark.parametrize("words", HOSTILE, ids=["long word", "emoji", "right to left", "Chinese", "control"])
def test_hostile_words_do_not_break_it(engine, words):
    pdf = condition_pdf(everything(words), invented.photos(2), engine=engine)
    assert "How far this report reaches" in reading.pdfium_text(pdf)


def test_markup_in_words_is_printed_as_words(engine):
    markup = "<img src=http://birds.invalid/x.png></table><style>@import 'file:///etc/passwd'</style>"
    said = reading.text(condition_pdf(everything(markup), invented.photos(2), engine=engine))
    assert markup.replace(" ", "") in said.replace("\u200b", "").replace(" ", "")
    assert "root:" not in said


@pytest.mark.parametrize("where", ["note", "advice", "mark"])
def test_long_notes_run_to_the_next_page_and_no_word_is_lost(engine, where):
    words = " ".join(f"w{place}" for place in range(1800))
    look = replace(invented.HANDOVER, sides=invented.sides({}))
    if where == "mark":
        shot = r.Shot(invented.sha(0), spots=(r.Spot(1, 0.5, 0.5, "crack", words),))
        look = replace(look, sides=invented.sides({"front": (shot,)}))
    else:
        look = replace(look, **{where: words})
    pdf = condition_pdf(invented.record(look), invented.photos(1), engine=engine)
    assert set(re.findall(r"\bw\d+\b", reading.text(pdf))) == set(words.split())


def test_the_pdf_is_tagged_in_its_language_with_words_for_every_photo(handover):
    root = pypdf.PdfReader(BytesIO(handover)).trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    figures = list(tagged(root["/StructTreeRoot"], "/Figure"))
    assert len(figures) > 10
    assert all(figure.get("/Alt") for figure in figures)


def test_the_same_record_gives_the_same_bytes(engine, handover):
    record = invented.record(invented.HANDOVER, invented.ARRIVAL)
    assert condition_pdf(record, invented.photos(), engine=engine) == handover


def test_a_record_comes_back_from_json_as_it_was():
    record = invented.record(invented.LATER, invented.HANDOVER)
    assert r.ConditionRecord.from_json(json.loads(json.dumps(record.to_json()))) == record
    with pytest.raises(RecordError, match=r"record\.look\.reason: is missing"):
        r.ConditionRecord.from_json({"piece_number": "K7QXM2TR", "title": "Curlew", "look": {}})


def test_another_paper_is_refused():
    with pytest.raises(ValueError, match="paper: is 'A3'; allowed are A4, Letter"):
        condition_pdf(invented.EMPTY, {}, paper="A3")
