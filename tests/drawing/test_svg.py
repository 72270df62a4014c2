"""The SVG writer: what it writes can be read by an XML parser, lies where it was put, and asks for no style."""

from __future__ import annotations

import io
import math
import re
from xml.etree import ElementTree as ET

import pytest
from PIL import ImageFont

from siteapp.documents import fonts
from siteapp.drawing.svg import Drawing, Pen, text_width

SVG = "{http://www.w3.org/2000/svg}"
PEN = Pen(1)


def read(text: str) -> ET.Element:
    return ET.fromstring(text)


def drawn(drawing: Drawing) -> ET.Element:
    return read(drawing.svg(title="a title", said="what is seen", class_="plan"))


def test_y_runs_up_and_millimetres_are_scaled() -> None:
    drawing = Drawing(-10, -20, 100, 200, scale=2)
    drawing.circle(0, 0, 5, PEN)
    circle = drawn(drawing).find(f"{SVG}circle")
    assert circle is not None
    # By hand: 10 mm from the left edge, and 180 mm below the upper one, at two units a millimetre.
    assert (circle.get("cx"), circle.get("cy"), circle.get("r")) == ("20", "360", "10")


def test_it_is_named_and_described_by_elements_that_are_there() -> None:
    whole = read(Drawing(0, 0, 10, 10).svg(title="A & <B>", said='"seen" from \x07behind', class_="plan"))
    ids = (whole.get("aria-labelledby") or "").split()
    named = {one.get("id"): one.text for one in whole.iter() if one.get("id")}
    assert whole.get("role") == "img"
    assert [named[one] for one in ids] == ["A & <B>", '"seen" from behind']


def test_what_is_typed_cannot_become_markup() -> None:
    drawing = Drawing(0, 0, 10, 10)
    drawing.text(1, 1, "</text><script>x</script>\x00\ud800", size=16)
    text = drawn(drawing).find(f"{SVG}text")
    assert text is not None
    assert text.text == "</text><script>x</script>"
    assert not list(drawn(drawing).iter(f"{SVG}script"))


def test_an_arrow_ends_exactly_where_it_should() -> None:
    drawing = Drawing(0, 0, 100, 100)
    drawing.arrow(10, 10, 30, 40, PEN, head=10)
    head = drawn(drawing).find(f"{SVG}path")
    assert head is not None
    first = re.match(r"M([\d.]+) ([\d.]+)L", head.get("d") or "")
    assert first is not None
    assert (float(first[1]), float(first[2])) == (40, 50)
    line = drawn(drawing).find(f"{SVG}line")
    assert line is not None
    shaft = math.hypot(*(float(line.get(a) or 0) - float(line.get(b) or 0) for a, b in (("x2", "x1"), ("y2", "y1"))))
    assert shaft == pytest.approx(40, abs=0.01)


def test_an_arrow_of_no_length_is_not_drawn() -> None:
    drawing = Drawing(0, 0, 100, 100)
    drawing.arrow(10, 10, 0, 0, PEN, head=10)
    assert not list(drawn(drawing).iter(f"{SVG}path"))


def test_a_slot_reaches_as_far_as_it_is_long() -> None:
    drawing = Drawing(0, 0, 100, 100)
    drawing.slot(50, 50, 10, 40, 90, PEN)
    path = drawn(drawing).find(f"{SVG}path")
    assert path is not None
    # Two straight sides 30 long, 10 apart, upright; the half circles beyond them make it 40 over all.
    numbers = [float(one) for one in re.findall(r"-?\d+\.?\d*", (path.get("d") or "").replace("0 0 0", ""))]
    xs, ys = {round(n, 2) for n in numbers if 40 < n < 60}, {round(n, 2) for n in numbers}
    assert {45.0, 55.0} <= xs
    assert {35.0, 65.0} <= ys


def test_words_too_small_to_read_are_refused() -> None:
    with pytest.raises(ValueError, match="smaller than the least"):
        Drawing(0, 0, 10, 10, least_text=14).text(0, 0, "A", size=13)


@pytest.mark.parametrize("words", ["F1", "1480 mm", "level", "balance point", "5 mm to the left", "4 mm oben links"])
def test_words_are_taken_to_be_at_least_as_wide_as_they_are(words: str) -> None:
    # Measured by Pillow (FreeType) in the packaged face, regular weight.
    face = fonts.static_faces()["paper-sans-normal-400.ttf"]
    wide = ImageFont.truetype(io.BytesIO(face), 100).getlength(words)
    assert wide <= text_width(words, 100) <= 1.8 * wide
