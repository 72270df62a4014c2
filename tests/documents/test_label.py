"""The label, read back as a stranger's phone and eyes would."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from siteapp.documents import qr
from siteapp.documents.label.pdf import BACK_LABEL, LabelError, LabelForm, label_pdf, on_sheet, spoken
from siteapp.documents.label.sizes import BACK, CARD, EDGE, LIMITS
from siteapp.documents.records import ESTIMATED, LabelRecord
from siteapp.trade.piece_number import check_character, parse_number
from tests.documents import invented, reading

BARE = LabelRecord(number="K7QXM2TR", number_grouped="K7QX-M2TR", title="Curlew", maker="Reed & Tern Workshop")


def test_the_label_says_what_a_stranger_needs(engine):
    pdf = label_pdf(invented.LABEL, engine=engine)
    said = reading.text(pdf)
    for words in (
        "K7QX-M2TR",
        "Sanderlings at the Tide Line",
        "38.5 kg, weighed",
        "3 people, or a hoist",
        "keyhole slots for M10",
        "under 60 °C",
        "arrow on the back frame points up",
        "+44 1632 960 143",
        "no thermal printing near heat",
    ):
        assert words in said
    assert reading.sizes_mm(pdf) == {(100.0, 70.0)}
    assert all(reading.fonts(pdf).values())


def test_both_codes_are_read_from_the_page(engine):
    found = reading.codes(reading.picture(label_pdf(invented.LABEL, engine=engine)))
    assert "HTTPS://REEDANDTERN.EXAMPLE/P/K7QXM2TR" in found
    (words,) = found - {"HTTPS://REEDANDTERN.EXAMPLE/P/K7QXM2TR"}
    assert "Sanderlings at the Tide Line" in words
    assert "38.5 kg, weighed" in words


def test_the_words_in_the_code_lead_to_the_piece_number(engine):
    body = "7QXM2TR"
    number = body + check_character(body)
    record = replace(BARE, number=number, number_grouped=f"{number[:4]}-{number[4:]}")
    (words,) = reading.codes(reading.picture(label_pdf(record, engine=engine)))
    assert parse_number(words).text == number


def test_a_label_without_a_link_has_the_words_alone(engine):
    pdf = label_pdf(BARE, engine=engine)
    assert len(reading.codes(reading.picture(pdf))) == 1
    assert "Its page" not in reading.text(pdf)


def test_what_is_not_known_is_said(engine):
    said = reading.text(label_pdf(BARE, engine=engine))
    assert "not recorded: weigh it first" in said
    assert "not worked out: ask before lifting" in said
    assert "limit not recorded: keep away from heat" in said
    assert said.count("not recorded") >= 5


@pytest.mark.parametrize("kind", [BACK, EDGE, CARD])
def test_a_condition_before_any_fire_stands_on_every_form_and_in_its_code(engine, kind):
    width, height = LIMITS[kind].usual
    record = replace(invented.LABEL, condition="No fire until tested")
    pdf = label_pdf(record, LabelForm(width_mm=width, height_mm=height, kind=kind), engine=engine)
    assert "No fire until tested" in reading.text(pdf)
    assert "Heat: No fire until tested; Keep its surface under 60 °C" in "\n".join(spoken(record, str))


def test_an_estimated_weight_is_not_given_as_known(engine):
    said = reading.text(label_pdf(replace(BARE, weight_kg=40, weight_origin=ESTIMATED), engine=engine))
    assert "about 40 kg, estimated: weigh it first" in said


def test_a_weight_of_unknown_origin_is_not_given_as_known(engine):
    said = reading.text(label_pdf(replace(BARE, weight_kg=40), engine=engine))
    assert "source not recorded: weigh it first" in said


@pytest.mark.parametrize(
    "hostile",
    [
        "x" * 10_000,
        "knot " * 2_000,
        "🙂" * 3_000,
        "שלום עולם " * 500,
        "潮間帯のミユビシギ" * 500,
        "<img src=http://birds.invalid/x.png><script>1</script>" * 50,
        "{{ 7 * 7 }}{% raw %}",
        "\x00\x1b[31m\u202e\ufffe",
    ],
    ids=["long word", "long text", "emoji", "hebrew", "japanese", "markup", "template", "control"],
)
def test_hostile_words_stay_on_one_label_with_its_number_and_codes(engine, hostile):
    record = replace(
        invented.LABEL,
        title=hostile,
        maker=hostile,
        what=hostile,
        people_to_lift=hostile,
        hanging_points=(hostile,) * 3,
        heat_limit=hostile,
        way_up=hostile,
        who_to_ask=(hostile,),
    )
    pdf = label_pdf(record, engine=engine)
    assert len(reading.codes(reading.picture(pdf))) == 2
    said = reading.pdfium_text(pdf)
    assert "K7QX-M2TR" in said
    assert reading.sizes_mm(pdf) == {(100.0, 70.0)}
    assert said.count("no thermal printing") == 1


def test_long_words_do_not_run_into_the_codes(engine):
    """The strip between words and codes stays white, whatever the title."""
    image = reading.picture(label_pdf(replace(invented.LABEL, title="M" * 500, who_to_ask=("M" * 500,)), engine=engine))
    mm = image.width / 100
    edge = image.convert("L").crop((int(60.7 * mm), 0, int(61.8 * mm), image.height))
    assert edge.getextrema()[0] > 200


@pytest.mark.parametrize(("sheet", "size", "count"), [("A4", (210.0, 297.0), 8), ("Letter", (215.9, 279.4), 6)])
def test_a_sheet_is_full_of_labels(engine, sheet, size, count):
    pdf = label_pdf(invented.LABEL, on_sheet(BACK_LABEL, sheet), engine=engine)
    assert reading.sizes_mm(pdf) == {size}
    assert reading.text(pdf).count("K7QX-M2TR") == count


@pytest.mark.parametrize(
    ("width", "height", "sheet", "told"),
    [
        (50, 120, None, "label width: is 50 mm; allowed is 54 to 300 mm"),
        (60, 70, None, "label height: is 70 mm; allowed is 105 to 300 mm for one 60 mm wide"),
        (100, 10, None, "label height: is 10 mm; allowed is 60 to 300 mm"),
        (float("nan"), 70, None, "label width: is nan mm"),
        (100, 70, "A5", "goes on 'A5'"),
        (290, 290, "A4", "goes on 'A4'"),
    ],
)
def test_a_size_that_cannot_be_is_refused_by_name(width, height, sheet, told):
    with pytest.raises(LabelError, match=re.escape(told)):
        LabelForm(width, height, sheet)


@pytest.mark.parametrize(
    "form", [LabelForm(80, 60), LabelForm(148, 105), LabelForm(62, 110), LabelForm(300, 300)], ids=str
)
def test_codes_are_read_on_other_sizes(engine, form):
    assert len(reading.codes(reading.picture(label_pdf(invented.LABEL, form, engine=engine)))) == 2


def test_the_same_record_gives_the_same_bytes(engine):
    assert label_pdf(invented.LABEL, engine=engine) == label_pdf(invented.LABEL, engine=engine)


def test_a_link_too_long_for_the_label_is_refused_with_the_sizes(engine):
    with pytest.raises(qr.QrTooSmall, match=r"allowed is 0\.5 mm or more"):
        label_pdf(replace(BARE, link="https://birds.example/" + "long/" * 60), engine=engine)


def test_the_words_begin_with_what_is_needed_most():
    assert spoken(invented.LABEL, str)[:3] == ["K7QX-M2TR", "Sanderlings at the Tide Line", "38.5 kg, weighed"]


@pytest.mark.parametrize(
    ("link", "text"),
    [
        ("https://reed.example/p/k7qxm2tr", "HTTPS://REED.EXAMPLE/P/K7QXM2TR"),
        ("http://reed.example:8765/p/K7QXM2TR", "HTTP://REED.EXAMPLE:8765/P/K7QXM2TR"),
        ("https://reed.example/our/p/K7QXM2TR", "https://reed.example/our/p/K7QXM2TR"),
        ("https://reed.example/c/C-2026-014", "https://reed.example/c/C-2026-014"),
    ],
)
def test_only_links_of_pieces_are_set_in_capitals(link, text):
    assert qr.link_text(link) == text


def test_codes_are_level_q_with_four_modules_of_quiet_zone():
    from io import BytesIO

    import segno
    import zxingcpp
    from PIL import Image

    code = qr.make("HTTPS://REED.EXAMPLE/P/K7QXM2TR")
    image = Image.open(BytesIO(code.png))
    assert image.mode == "1"
    assert image.size == (code.modules, code.modules)
    assert image.convert("L").crop((0, 0, code.modules, 4)).getextrema() == (255, 255)
    assert image.convert("L").crop((0, 0, 4, code.modules)).getextrema() == (255, 255)
    (found,) = zxingcpp.read_barcodes(image.convert("L").resize((code.modules * 4,) * 2, 0))
    assert found.ec_level == "Q"
    # segno chooses versions on its own from ISO/IEC 18004's table of capacities.
    assert (
        code.modules
        == segno.make("HTTPS://REED.EXAMPLE/P/K7QXM2TR", error="q", boost_error=False, micro=False).symbol_size()[0]
    )


def test_modules_under_half_a_millimetre_are_refused():
    assert qr.module_mm(29.6, 37) == pytest.approx(0.8)
    with pytest.raises(qr.QrTooSmall, match=r"37 modules on 18 mm are 0\.49 mm each"):
        qr.module_mm(18, 37)
