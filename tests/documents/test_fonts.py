"""The packaged faces: only they, embedded and cut down, and words that can be taken out again."""

from __future__ import annotations

import re
from io import BytesIO

import pytest
from fontTools.ttLib import TTFont

from siteapp.documents import fonts
from tests.documents import reading

LATIN = "Grüße aus Åhus, naïve façade, Łódź, Đà Nẵng, žluťoučký kůň; 0123456789 – “quoted” … 25 °C × µm ² ½ € ≤ ± −"


def page(words: str) -> str:
    rows = [
        f"<p style=\"font-family:'{face.family}';font-style:{face.style};font-weight:{face.weight}\">{words}</p>"
        for face in fonts.FACES
    ]
    return "<title>Faces</title><style>html, @page {font-family:'Paper Sans'}</style>" + "".join(rows)


def test_every_face_is_embedded_as_a_subset_and_nothing_else_is(engine):
    pdf = engine.render(page(LATIN), {}, title="Faces")
    found = reading.fonts(pdf)
    assert all(found.values())
    assert all(re.match(r"/[A-Z]{6}\+Paper-(Serif|Display|Sans)", name) for name in found)
    assert len(found) == len(fonts.FACES)
    assert reading.text(pdf).count(LATIN) == len(fonts.FACES)


def test_a_subset_is_small(engine):
    assert len(engine.render(page("Knot"), {}, title="Faces")) < 60_000


@pytest.mark.parametrize("face", fonts.FACES, ids=lambda face: face.name)
def test_a_face_is_static_and_stands_where_it_was_pinned(face):
    made = TTFont(BytesIO(fonts.static_faces()[face.name]))
    assert "fvar" not in made
    assert made["OS/2"].usWeightClass == face.weight


@pytest.mark.parametrize("face", fonts.FACES, ids=lambda face: face.name)
def test_figures_have_one_width(face):
    made = TTFont(BytesIO(fonts.static_faces()[face.name]))
    names = made.getBestCmap()
    widths = [made["hmtx"][names[ord(digit)]][0] for digit in "0123456789"]
    # One of a thousand units is the rounding of pinned faces.
    assert max(widths) - min(widths) <= 1


@pytest.mark.parametrize("words", ["潮間帯", "שלום", "مرحبا", "🙂🐦", "\U000e0041", "ก็", "é" * 3])
def test_letters_that_no_face_has_do_not_stop_a_document(engine, words):
    assert engine.render(page(words + " knot"), {}, title="Faces").startswith(b"%PDF")


def test_a_missing_font_package_is_named():
    with pytest.raises(fonts.FontsMissing, match="no_such_fonts is not installed"):
        fonts._variable_font(("no_such_fonts", "x.ttf"))
    with pytest.raises(fonts.FontsMissing, match=r"other\.ttf of package fontpkg_source_sans_3"):
        fonts._variable_font(("fontpkg_source_sans_3", "other.ttf"))
