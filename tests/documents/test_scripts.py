"""Letters that the packaged typefaces have, and those they have not: found before printing, named in words."""

from __future__ import annotations

from dataclasses import replace
from importlib.util import find_spec
from io import BytesIO
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from siteapp.documents import fonts, scripts
from siteapp.documents.label.pdf import label_pdf
from siteapp.documents.label.sizes import CARD_FORM, EDGE_LABEL, LabelForm
from siteapp.documents.label.words import unprintable
from tests.documents import invented, reading


def test_what_is_covered_is_what_fonttools_finds_in_every_packaged_file():
    """fontTools reads the character maps of the files as they are packaged; ours are of the faces cut from them."""
    maps = []
    for package, file in {face.origin for face in fonts.FACES}:
        spec = find_spec(package)
        assert spec is not None
        assert spec.origin is not None
        data = (Path(spec.origin).parent / "files" / file).read_bytes()
        maps.append(set(TTFont(BytesIO(data)).getBestCmap()))
    assert scripts.covered() == set.intersection(*maps)


@pytest.mark.parametrize(
    "title",
    ["Καλλιόπη και γλάρος", "Кулики на отмели, їхній дім", "Grüße aus Łódź", "Chim bể Đà Nẵng", "Žluťoučký čejka"],
)
@pytest.mark.parametrize("form", [LabelForm(), EDGE_LABEL, CARD_FORM], ids=lambda form: form.kind)
def test_latin_greek_and_cyrillic_titles_are_printed_in_their_own_letters(engine, title, form):
    assert scripts.missing(title) == []
    said = reading.text(label_pdf(replace(invented.LABEL, title=title), form, engine=engine))
    assert title in said


@pytest.mark.parametrize(
    ("title", "named"),
    [
        ("שלום עולם", "[in Hebrew letters]"),
        ("مرحبا بالعالم", "[in Arabic letters]"),
        ("潮間帯のミユビシギ", "[in Chinese or Japanese letters]"),
        ("바닷가의 세가락도요", "[in Korean letters]"),
        ("นกชายเลน", "[in Thai letters]"),
        ("Curlew שלום", "Curlew [in Hebrew letters]"),
        ("שלום مرحبا", "[in Hebrew and Arabic letters]"),
        ("Tern 🐦 rising", "Tern [in picture letters] rising"),
    ],
)
@pytest.mark.parametrize("form", [LabelForm(), EDGE_LABEL], ids=lambda form: form.kind)
def test_other_letters_are_named_instead_of_printed_as_boxes(engine, title, named, form):
    record = replace(invented.LABEL, title=title, link=None)
    pdf = label_pdf(record, form, engine=engine)
    assert named in reading.text(pdf)
    assert all("Paper-" in font for font in reading.fonts(pdf))
    # The text code holds the words themselves: a phone has typefaces for them.
    (words,) = reading.codes(reading.picture(pdf))
    assert title in words


def test_what_no_typeface_has_is_told_before_printing_by_fact():
    record = replace(invented.LABEL, title="潮", who_to_ask=("עופרה", "+44 1632 960 143"), maker="Reed")
    assert unprintable(record, str) == [("Title", "Chinese or Japanese letters"), ("Ask", "Hebrew letters")]
    assert unprintable(invented.LABEL, str) == []


def test_signs_that_have_no_shape_are_left_out():
    assert scripts.printable("a\u202eb \u200b c\u2060d\u0007") == "ab cd"
    assert scripts.missing("e\u0301 and \ufe0f \u00ad") == []


@pytest.mark.parametrize(
    ("words", "printed"),
    [
        ("Ålesund, Ιωάννα, Щукина", "Ålesund, Ιωάννα, Щукина"),
        ("Galerie שלום עולם 7", "Galerie [in Hebrew letters] 7"),
        ("two lines\n東京\nand more", "two lines\n[in Chinese or Japanese letters]\nand more"),
        ("  spaces   stay\tas they are ", "  spaces   stay\tas they are "),
        ("שרה\nשרה", "[in Hebrew letters]\n[in Hebrew letters]"),
        ("", ""),
    ],
)
def test_only_words_that_cannot_be_printed_are_named_in_their_place(words, printed):
    assert scripts.marked(words) == printed
