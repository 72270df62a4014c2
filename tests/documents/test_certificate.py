import io
import re
from dataclasses import replace

import pypdfium2
import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from siteapp.documents import records
from siteapp.documents.certificate import CertificateError, certificate_pdf

SHA = "a" * 64


def a_photo(colour="teal"):
    out = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(out, "JPEG")
    return out.getvalue()


def a_record(**overrides):
    facts = {
        "number": "C-K7QXM2TR",
        "piece_number": "K7QXM2TR",
        "title": "Three birds (invented)",
        "maker": records.Maker("A Maker (invented)", "A workshop (invented)"),
        "invented": True,
        "weight": records.Weight(24.6, "estimated", "from the build-up"),
        "photos": (records.PhotoUse(SHA, "from the front", "title"), records.PhotoUse("b" * 64, "never sent")),
        "coats": (records.Coat("A wash", number=1, air_c=20.5, relative_humidity=55, surface_c=18, verdict="met"),),
        "checks": (records.Answer("Anchors held", "cannot tell", hold_point=True),),
        "left_open": ("Anchors held (cannot tell)",),
    }
    return records.CertificateRecord(**(facts | overrides))


def words_of(pdf):
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


@pytest.fixture(scope="module")
def made():
    return certificate_pdf(a_record(), {SHA: a_photo()})


def test_the_certificate_says_what_is_recorded_and_what_is_not(made):
    words = re.sub(r"\s+", " ", words_of(made))
    for expected in ("Three birds", "24.6 kg", "estimated only, not weighed", "not recorded", "Anchors held (cannot tell)"):
        assert expected in words
    assert "This photo is not on the laptop" in words
    assert "Invented" in words


def test_the_certificate_never_promises_or_prices(made):
    words = words_of(made).casefold()
    for word in ("guarantee", "safe ", "insurance value", "price"):
        assert word not in words


def test_every_face_is_embedded_in_part_and_packaged(made):
    fonts = set()
    for page in PdfReader(io.BytesIO(made)).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            fonts.add(font.get_object()["/BaseFont"])
            descendant = font.get_object()["/DescendantFonts"][0].get_object()
            assert {"/FontFile2", "/FontFile3"} & set(descendant["/FontDescriptor"].get_object())
    assert fonts
    assert all(re.match(r"/[A-Z]{6}\+Paper-", name) for name in fonts), fonts


@pytest.mark.parametrize(("paper", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_the_paper_is_the_one_asked_for(paper, points):
    page = PdfReader(io.BytesIO(certificate_pdf(a_record(), {}, paper=paper))).pages[0]
    assert (round(page.mediabox.width), round(page.mediabox.height)) == points


def test_another_paper_is_refused_by_name():
    with pytest.raises(CertificateError, match="'A3'"):
        certificate_pdf(a_record(), {}, paper="A3")


def test_the_same_record_gives_the_same_bytes(made):
    assert certificate_pdf(a_record(), {SHA: a_photo()}) == made


def test_the_code_on_paper_is_read_by_an_independent_reader(made):
    # The code is made by qrcode and read by zxing-cpp from the page as a printer would see it.
    document = pypdfium2.PdfDocument(made)
    texts = [
        found.text for page in document for found in zxingcpp.read_barcodes(page.render(scale=3).to_pil().convert("L"))
    ]
    assert texts == ["C-K7QXM2TR"]
    document.close()


def test_hostile_and_endless_words_neither_break_it_nor_fetch_anything():
    record = a_record(
        title="<img src=http://elsewhere.example/x> " + "long " * 400,
        care_do=("x" * 10_000, "שלום 🙂 \x07 file:///etc/passwd", "<script>alert(1)</script>"),
    )
    words = words_of(certificate_pdf(record, {}))
    assert "<img src=http://elsewhere" in re.sub(r"\s+", " ", words)
    assert "root:" not in words


def test_a_record_comes_back_from_json_as_it_went_in():
    record = a_record()
    assert records.CertificateRecord.from_json(record.to_json()) == record
    assert replace(record, title="other") != record
