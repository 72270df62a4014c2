"""The certificate, read back; what must stand on it, and what must not."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import replace
from io import BytesIO

import pypdf
import pytest

from siteapp.documents import records
from siteapp.documents.certificate import records as r
from siteapp.documents.certificate.leaf import leaf_pdf
from siteapp.documents.certificate.pdf import certificate_pdf
from siteapp.documents.frozen import RecordError
from tests.documents import invented, reading

FORBIDDEN = re.compile(r"\b(un)?safe|\bsafety|guarantee|\bprice|insur|valu(e|ation)\b|[✓✔☑]", re.IGNORECASE)


@pytest.fixture(scope="module")
def full(engine):
    return certificate_pdf(invented.certificate(), invented.photos(), engine=engine)


@pytest.fixture(scope="module")
def empty(engine):
    return certificate_pdf(invented.EMPTY, {}, engine=engine)


@pytest.mark.parametrize(
    "words",
    [
        "Sanderlings at the Tide Line",
        "Odile Marrow",
        "Type of object",
        "Materials and techniques",
        "Inscriptions and markings",
        "Distinguishing features",
        "Made April 2026",
        "Hung 15 June 2026",
        "38.5 kg, weighed",
        "platform scales, checked with a 20 kg weight",
        "3 people",
        "214 mm",
        "Two hold, one works",
        "1072 mm to the right (by scales)",
        "165 mm out from the wall (assumed, not measured)",
        "never by the birds or the lower edge",
        "solid masonry, clay brick in lime mortar",
        "known from: trial hole",
        "Ines Calloway",
        "approval 26/0413",
        "batch GR-0317",
        "turned up to 10 N m",
        "2.25 kN, asked for 2 kN",
        "held 60 s, moved 0.15 mm",
        "read on puller 2",
        "none recorded",
        "lock nut behind the plate of C",
        "all three to their torque; C again",
        "It does not show what it, or the wall, can carry.",
        "potassium silicate paint",
        "batch B-2217",
        "dew point 10.2 °C, margin 7.9 °C",
        "data sheet of March 2024",
        "applied all the same: the thermometer’s battery was flat",
        "B-s1,d0",
        "the paint over older coats",
        "Conditions in writing",
        "No fire is lit until the heat test has been made and recorded.",
        "signed photo",
        "“The third grey, and matt.”",
        "Released, and why",
        "washer swapped, torqued again to 20 N·m",
        "The whole list “Before it leaves”",
        "It does not mean met",
        "Faults and snags left",
        "A scratch at the lower edge",
        "left as it is, accepted by the client, 17 June 2026",
        "“It will not be seen.”",
        "to be put right",
        "Odile Marrow, maker",
        "Takes the place of",
        "C-2026-013, 16 June 2026",
        "the weight was a typing error",
        "No fire is lit in the stove below until a heat test",
        "Fire report 26-118",
        "joints, edges, the bond of the plates and every other coat",
        "vinylester",
        "Invented Ember 5",
        "640 mm",
        "split ash, 16 % damp, 1.4 kg a charge",
        "44.2 °C",
        "43.8 °C",
        "invented thermocouple ± 1.5 °C",
        "in the drawer under the window",
        "30 June 2027",
        "52.3 −1.2 4.6",
        "0.72 / 1.18",
        "8.4 gloss units at 60°",
        "yes: “That is the grey I meant.”",
        "tilt and shock indicators both clear",
        "cannot tell",
        "released by Odile Marrow",
        "A hairline at the lower left",
        "Dust with a soft dry brush",
        "Adhesive tape",
        "Do not drill",
        "Moral rights",
        "I have seen the piece on the wall",
        "Petra Lindqvist-Amari",
        "Later owners and keepers",
        "Gloss at 60°",
        "What it does not show: that what was written is true",
        "invented for a demonstration",
    ],
)
def test_the_certificate_says(full, words):
    assert words in reading.text(full)


def test_what_was_not_recorded_is_said_and_not_left_blank(empty):
    said = reading.text(empty)
    for heading in (
        "Materials and techniques",
        "Made",
        "Evidence",
        "Copyright",
        "Moral rights",
        "Never",
        "Expected wear",
    ):
        assert f"{heading} not recorded" in said
    assert "To lift not worked out" in said
    assert "The weight was not taken on scales" in said
    assert "No fire is lit below or beside the piece until a heat test" in said
    assert "No signature recorded" in said
    assert "No photo recorded" in said


@pytest.mark.parametrize("name", ["full", "empty"])
def test_words_that_must_never_stand_on_it_do_not(request, name):
    assert FORBIDDEN.findall(reading.text(request.getfixturevalue(name))) == []


def test_only_packaged_faces_are_embedded(full):
    found = reading.fonts(full)
    assert all(found.values())
    assert {name.split("+")[1] for name in found} == {
        "Paper-Sans",
        "Paper-Sans-Semi-Bold",
        "Paper-Serif",
        "Paper-Serif-Italic",
        "Paper-Display",
        "Paper-Display-Italic",
    }


@pytest.mark.parametrize(("paper", "size"), [("A4", (210.0, 297.0)), ("Letter", (215.9, 279.4))])
def test_it_fits_the_paper_with_a_title_page_and_numbered_pages(engine, paper, size):
    pdf = certificate_pdf(replace(invented.certificate(), paper=paper), invented.photos(), engine=engine)
    assert reading.sizes_mm(pdf) == {size}
    pages = [page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages]
    assert 9 <= len(pages) <= 15
    assert "Sanderlings at the Tide Line" in pages[0]
    assert "page" not in pages[0].split("K7QX-M2TR")[-1]
    assert all(f"page {place} / {len(pages)}" in page for place, page in enumerate(pages[1:], 2))
    assert all("K7QX-M2TR" in page for page in pages)


def test_no_heading_stands_alone_at_the_foot_of_a_page(full):
    headings = set(reading.bookmarks(full))
    assert len(headings) > 25
    for page in pypdf.PdfReader(BytesIO(full)).pages[1:]:
        lines = [line.strip() for line in page.extract_text().splitlines() if line.strip()]
        body = [line for line in lines if "page " not in line and "Certificate C-" not in line]
        assert body[-1] not in headings


def test_the_leaf_alone_says_where_it_hangs(engine, full):
    assert "Causeway" not in reading.text(full)
    leaf = leaf_pdf("Sanderlings", "K7QXM2TR", ("4 Causeway Street", "", "Saltmarsh"), certificate="C-1", engine=engine)
    said = reading.text(leaf)
    assert len(pypdf.PdfReader(BytesIO(leaf)).pages) == 1
    assert "4 Causeway Street Saltmarsh Sanderlings · K7QX-M2TR · Certificate C-1" in said
    assert leaf_pdf("S", "K7QXM2TR", (), paper="Letter", engine=engine) == leaf_pdf(
        "S", "K7QXM2TR", (), paper="Letter", engine=engine
    )


def test_the_code_on_it_leads_to_its_record(full):
    pages = len(pypdf.PdfReader(BytesIO(full)).pages)
    found = set().union(*(reading.codes(reading.picture(full, place, 200)) for place in range(pages)))
    digest = invented.certificate().proof.record_digest
    assert found == {f"HTTPS://REEDANDTERN.EXAMPLE/C/C-2026-014/{digest[:32].upper()}"}


def test_all_photos_stand_on_it(full):
    shown = sum(len(page.images) for page in pypdf.PdfReader(BytesIO(full)).pages)
    assert shown >= 13


def test_a_photo_that_is_not_here_is_said_to_be_missing(engine):
    record = invented.certificate()
    said = reading.text(certificate_pdf(record, {}, engine=engine))
    assert said.count("This photo is not on this machine") == len(record.photos) - 1
    assert "The title photo is not on this machine" in said
    assert "the drawn signature is not on this machine" in said


def test_a_typed_signature_is_called_typed(engine):
    record = replace(invented.EMPTY, signature=r.Signature("Petra Lindqvist-Amari", "I take it over."))
    assert "name typed, not drawn" in reading.text(certificate_pdf(record, {}, engine=engine))


def test_every_signature_stands_with_its_name_under_the_words_agreed_to(engine):
    two = (r.Signature("Odile Marrow", capacity="maker"), r.Signature("Jon Reed", None, "2026-06-17", "witness"))
    record = replace(invented.certificate(), further_signatures=two)
    said = reading.text(certificate_pdf(record, invented.photos(), engine=engine))
    places = [said.index(words) for words in ("I have seen the piece", "Petra", "Odile Marrow, maker", "Jon Reed, w")]
    assert places == sorted(places)
    assert said.count("name typed, not drawn") == 2


def test_a_withdrawn_one_says_so_on_every_page(engine):
    told = "On 20 June 2026: the hanging points were swapped."
    pdf = certificate_pdf(invented.certificate(), invented.photos(), withdrawn=told, engine=engine)
    pages = [page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages]
    assert told in " ".join(pages[0].split())
    assert all("withdrawn" in page for page in pages[1:])


def test_what_the_evidence_covers_and_what_not_may_be_one_text(engine, full):
    assert "What the evidence covers the shell as built" in reading.text(full)
    fire = r.Fire("B-s1,d0", None, "the shell; not the paint over older coats")
    said = reading.text(certificate_pdf(replace(invented.EMPTY, fire=fire), {}, engine=engine))
    assert "What the evidence covers, and what not the shell; not the paint over older coats" in said


def test_a_record_frozen_before_there_were_conditions_and_snags_is_printed_as_ever(engine):
    plain = invented.certificate().to_json()
    for name in ("conditions", "releases", "snags", "further_signatures", "supersedes"):
        plain.pop(name)
    for one in plain["agreed"]:
        one.pop("by", None)
        one.pop("said", None)
    said = reading.text(certificate_pdf(r.CertificateRecord.from_json(plain), invented.photos(), engine=engine))
    assert "Conditions in writing" not in said
    assert "A hairline at the lower left" in said


def test_the_same_record_gives_the_same_bytes(engine, full):
    assert certificate_pdf(invented.certificate(), invented.photos(), engine=engine) == full


def test_the_day_of_the_pdf_is_the_record_s(full):
    assert pypdf.PdfReader(BytesIO(full)).metadata.creation_date.date().isoformat() == "2026-06-17"


def test_a_record_comes_back_from_json_as_it_was():
    record = invented.certificate()
    plain = json.loads(json.dumps(record.to_json()))
    assert r.CertificateRecord.from_json(plain) == record
    assert r.CertificateRecord.from_json(invented.EMPTY.to_json()) == invented.EMPTY


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"price": "900"}, "has a field 'price', which this version does not know"),
        ({"title": 7}, "record.title: is 7; allowed is text"),
        ({"weight": {"mass_kg": "38"}}, "record.weight.mass_kg: is '38'; allowed is a number"),
        ({"weight": {"mass_kg": float("nan")}}, "record.weight.mass_kg: is nan; allowed is a number"),
        ({"weight": {"mass_kg": True}}, "record.weight.mass_kg: is True; allowed is a number"),
        ({"coats": [{"number": 1}]}, "record.coats[0].product: is missing"),
        ({"photos": "x"}, "record.photos: is 'x'; allowed is a list"),
        ({"maker": []}, "record.maker: is []; allowed is a group of fields"),
    ],
)
def test_a_record_that_is_not_as_it_was_written_is_refused_by_field(change, told):
    with pytest.raises(RecordError, match=re.escape(told)):
        r.CertificateRecord.from_json({**invented.EMPTY.to_json(), **change})


HOSTILE = ["x" * 2_000, "knot " * 400, "🙂" * 400, "שלום עולם " * 100, "\x00\x07\u202e\ufffe end"]
MARKUP = "<img src=http://birds.invalid/x.png><img src='file:///etc/passwd'></table><style>@import 'file:///etc/passwd'</style>"


def everything(words: str) -> r.CertificateRecord:
    return replace(
        invented.certificate(1), title=words, maker=r.Maker(words, words, words), made_on=words, finish=(words,),
        object_id=r.ObjectId(words, words, words), left_open=(words,), care_do=(words,), link=None,
        checks=(r.Answer(words, records.MET, words, words, words, words),), coats=(r.Coat(words, words, 1, words),),
        conditions=(words,), agreed=(r.Agreed(words, words, words, words, words),), releases=(r.Release(words, words),),
        snags=(r.SnagLeft(words, words, words, words, words),), further_signatures=(r.Signature(words),),
        supersedes=r.Supersedes(words, words, words),
        build_up=(r.Layer(words, words),), hanging_points=(r.HangingPoint(words, note=words),),
        sections=(records.Section(words, points=(words,), table=records.Table((words,), ((words,),))),),
        photos=(records.PhotoUse(hashlib.sha256(invented.photo(0)).hexdigest(), words, "title"),),
        signature=r.Signature(words, words), proof=r.Proof("0" * 64, words, 1, words, (words,)),
    )  # fmt: skip


@pytest.mark.parametrize("words", HOSTILE, ids=["long word", "long text", "emoji", "right to left", "control"])
def test_hostile_words_do_not_break_it(engine, words):
    pdf = certificate_pdf(everything(words), invented.photos(1), engine=engine)
    assert "Later owners and keepers" in reading.pdfium_text(pdf)


@pytest.mark.parametrize("words", ["x" * 10_000, "🙂" * 10_000], ids=["letters", "emoji"])
def test_a_word_of_ten_thousand_letters_takes_no_minute(engine, words):
    record = replace(invented.EMPTY, title=words, object_id=r.ObjectId(description=words), care_never=(words,))
    assert certificate_pdf(record, {}, engine=engine).startswith(b"%PDF")


def test_markup_in_words_is_printed_as_words(engine):
    pdf = certificate_pdf(everything(MARKUP), invented.photos(1), engine=engine)
    said = reading.text(pdf).replace("\u200b", "").replace(" ", "")
    assert MARKUP.replace(" ", "") in said
    assert "root:" not in said


def test_words_run_to_the_next_page_and_none_is_lost(engine):
    words = " ".join(f"w{place}" for place in range(1800))
    pdf = certificate_pdf(replace(invented.EMPTY, object_id=r.ObjectId(description=words)), {}, engine=engine)
    found = set(re.findall(r"\bw\d+\b", reading.text(pdf)))
    assert found == set(words.split())


def test_another_paper_is_refused():
    with pytest.raises(ValueError, match="paper: is 'A3'; allowed are A4, Letter"):
        certificate_pdf(replace(invented.EMPTY, paper="A3"), {})


def test_letters_no_typeface_has_are_named_and_the_record_holds_them(engine):
    record = replace(
        invented.EMPTY, title="Ιωάννα Щукина", maker=r.Maker("שרה"), object_id=r.ObjectId(description="for 東京 only")
    )
    said = reading.text(certificate_pdf(record, {}, engine=engine))
    assert "Ιωάννα Щукина" in said
    assert "[in Hebrew letters]" in said
    assert "for [in Chinese or Japanese letters] only" in said
    assert "no typeface for (Hebrew and Chinese or Japanese letters)" in said
    assert "no typeface for" not in reading.text(certificate_pdf(invented.EMPTY, {}, engine=engine))
