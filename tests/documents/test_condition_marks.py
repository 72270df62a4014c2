"""Numbered marks on the photos of a condition report: each ring on its spot, its number beside it."""

from __future__ import annotations

import hashlib
import io
import math
from dataclasses import replace

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from siteapp.documents.condition import records as r
from siteapp.documents.condition.pdf import condition_pdf
from siteapp.documents.spots import APART_MM, DISC_MM, placed
from tests.documents import invented_condition as invented
from tests.documents.reading_marks import DPI, MM, images, places, red_near, rings_on

DOTS = ((0.1, 0.08), (0.92, 0.05), (0.5, 0.5), (0.03, 0.97), (0.999, 0.64), (0.31, 0.77), (0.0, 0.0))


def dotted(width: int, height: int) -> bytes:
    """A grey photo with a small red dot at each of `DOTS`."""
    image = Image.new("RGB", (width, height), (150, 150, 150))
    draw = ImageDraw.Draw(image)
    for x, y in DOTS:
        draw.ellipse([x * width - 4, y * height - 4, x * width + 4, y * height + 4], fill=(255, 0, 0))
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize(("width", "height"), [(1280, 853), (853, 1280), (1280, 400)], ids=["wide", "tall", "strip"])
def test_each_mark_s_ring_stands_on_its_spot_of_the_photo_with_its_number_beside_it(engine, width, height):
    photo = dotted(width, height)
    sha = hashlib.sha256(photo).hexdigest()
    spots = tuple(r.Spot(70 + place, x, y) for place, (x, y) in enumerate(DOTS))
    look = replace(invented.ARRIVAL, sides=invented.sides({"edges": (r.Shot(sha, spots=spots),)}))
    document = pypdfium2.PdfDocument(condition_pdf(invented.record(look), {sha: photo}, engine=engine))
    page = next(document[place] for place in range(1, len(document)) if images(document[place]))
    ((left, low, right, top),) = images(page)
    assert (right - left) / (top - low) == pytest.approx(width / height, rel=0.01)
    rings = rings_on(page)
    assert len(rings) == len(spots)
    drawn = page.render(scale=DPI / 72).to_pil().convert("RGB")
    for spot in spots:
        # The corners of the page count from below, those of a photo from above.
        expected = left + spot.x * (right - left), top - spot.y * (top - low)
        ring = min(rings, key=lambda at, on=expected: math.dist(at, on))
        assert math.dist(ring, expected) * MM < 0.1
        number = min(places(page, str(spot.number)), key=lambda at, on=expected: math.dist(at, on))
        assert math.dist(number, expected) * MM == pytest.approx(APART_MM, abs=0.5)
        assert math.dist(red_near(drawn, expected, page.get_height()), ring) * MM < 0.4


SPOTS = st.lists(
    st.tuples(st.floats(0, 1), st.floats(0, 1)).map(lambda at: r.Spot(1, *at)),
    max_size=30,
)


@given(SPOTS, st.floats(20, 170), st.floats(20, 110))
def test_numbers_stay_within_the_photo_and_beside_their_rings(spots, width, height):
    for spot, one in zip(spots, placed(spots, width, height), strict=True):
        assert (one.ring_x, one.ring_y) == (spot.x * width, spot.y * height)
        assert math.dist((one.ring_x, one.ring_y), (one.disc_x, one.disc_y)) == pytest.approx(APART_MM)
        assert DISC_MM <= one.disc_x <= width - DISC_MM
        assert DISC_MM <= one.disc_y <= height - DISC_MM


def test_numbers_of_marks_close_together_do_not_cover_one_another():
    close = [r.Spot(place, 0.5 + 0.03 * math.cos(place), 0.5 + 0.04 * math.sin(place)) for place in range(5)]
    found = placed(close, 120, 80)
    gaps = [math.dist((a.disc_x, a.disc_y), (b.disc_x, b.disc_y)) for a in found for b in found if a is not b]
    assert min(gaps) >= 2 * DISC_MM
