import io

import pypdfium2
import pytest
import zxingcpp
from pypdf import PdfReader

from siteapp.documents import label
from siteapp.documents.records import LabelRecord
from siteapp.trade.piece_number import check_character, parse_number

NUMBER = "K7QXM2T" + check_character("K7QXM2T")


def a_record(**overrides):
    facts = {
        "number": NUMBER,
        "number_grouped": f"{NUMBER[:4]}-{NUMBER[4:]}",
        "title": "Three birds (invented)",
        "maker": "A workshop (invented)",
        "weight_kg": 24.6,
        "weight_origin": "weighed",
        "people_to_lift": "3 people",
        "hanging_points": ("A at 180 / 1090 mm", "B at 1660 / 1090 mm"),
        "who_to_ask": ("A workshop", "+44 1632 960 417"),
    }
    return LabelRecord(**(facts | overrides))


def codes_on(pdf):
    document = pypdfium2.PdfDocument(pdf)
    picture = document[0].render(scale=300 / 72).to_pil().convert("L")
    document.close()
    return [found.text for found in zxingcpp.read_barcodes(picture)]


def test_both_codes_of_a_printed_label_are_read_by_an_independent_reader():
    # Made by qrcode, read by zxing-cpp at the resolution of an ordinary printer.
    texts = codes_on(label.label_pdf(a_record(link=f"https://example.org/p/{NUMBER}")))
    assert f"HTTPS://EXAMPLE.ORG/P/{NUMBER}" in texts
    assert {parse_number(text).text for text in texts} == {NUMBER}
    assert any("24.6 kg" in text for text in texts)


def test_without_an_address_the_label_still_speaks():
    texts = codes_on(label.label_pdf(a_record()))
    assert len(texts) == 1
    assert "Three birds" in texts[0]
    assert "http" not in texts[0].casefold()


def test_what_is_not_known_is_said_in_words():
    record = a_record(weight_kg=None, weight_origin=None, people_to_lift=None, hanging_points=(), who_to_ask=())
    words = PdfReader(io.BytesIO(label.label_pdf(record))).pages[0].extract_text().casefold()
    assert "not " in words


@pytest.mark.parametrize("title", ["long " * 60, "長い題名" * 30, "<b>&amp;</b>", "שלוש ציפורים 🙂"])
def test_long_and_foreign_titles_stay_on_one_label(title):
    pdf = label.label_pdf(a_record(title=title))
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 1
    assert NUMBER in {parse_number(text).text for text in codes_on(pdf)}


def test_a_sheet_holds_as_many_as_go_on_it():
    form = label.on_sheet(label.BACK_LABEL, "A4")
    page = PdfReader(io.BytesIO(label.label_pdf(a_record(), form))).pages[0]
    assert (round(page.mediabox.width), round(page.mediabox.height)) == (595, 842)
    across, down = form.grid
    assert across * down > 1
    assert page.extract_text().count("Three birds") >= across * down


def test_a_label_too_small_to_be_read_is_refused():
    with pytest.raises(ValueError, match="mm"):
        label.label_pdf(a_record(), label.LabelForm(width_mm=30, height_mm=20))
