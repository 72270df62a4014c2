"""All eight values of the orientation tag, 274, by their definitions in TIFF 6.0 and Exif 2.3; from memory.

The tag says where row 0 and column 0 of what is stored lie in the picture as it is meant to be seen.
"""

from __future__ import annotations

import io

import pytest
from PIL import ExifTags, Image, ImageDraw, ImageOps

from siteapp.store.images import derivative, inspect

WIDTH, HEIGHT, CORNER = 240, 160, 40
RED, GREEN, BLUE, YELLOW = (220, 30, 30), (30, 160, 40), (30, 50, 210), (230, 210, 30)

# value: where row 0 is seen, where column 0 is seen.
DEFINED = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}
FAR = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}
# Colours of what is stored, by (at the far end of the rows, at the far end of the columns).
STORED = {(False, False): RED, (False, True): GREEN, (True, False): BLUE, (True, True): YELLOW}


def _stored_picture() -> Image.Image:
    picture = Image.new("RGB", (WIDTH, HEIGHT), "white")
    draw = ImageDraw.Draw(picture)
    for (low, right), colour in STORED.items():
        x, y = (WIDTH - CORNER if right else 0), (HEIGHT - CORNER if low else 0)
        draw.rectangle((x, y, x + CORNER - 1, y + CORNER - 1), fill=colour)
    return picture


def _as_file(orientation: int, kind: str, *, secret: str = "") -> bytes:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    if secret:
        exif[ExifTags.Base.Artist] = secret
        exif[ExifTags.IFD.GPSInfo] = {1: "N", 2: (52.0, 0.0, 0.0), 3: "E", 4: (4.0, 0.0, 0.0)}
    out = io.BytesIO()
    more = {"quality": 95, "comment": secret.encode()} if kind == "JPEG" else {}
    _stored_picture().save(out, kind, exif=exif, **more)
    return out.getvalue()


def _colour_at(picture: Image.Image, edges: set[str]) -> tuple[int, ...]:
    x = CORNER // 4 if "left" in edges else picture.width - CORNER // 4
    y = CORNER // 4 if "top" in edges else picture.height - CORNER // 4
    seen = picture.getpixel((x, y))
    assert isinstance(seen, tuple)
    return seen


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("orientation", DEFINED)
def test_a_photo_is_turned_as_its_orientation_says(orientation: int, kind: str) -> None:
    shown = Image.open(io.BytesIO(derivative(_as_file(orientation, kind), 320))).convert("RGB")
    row_edge, column_edge = DEFINED[orientation]
    assert shown.size == ((HEIGHT, WIDTH) if row_edge in {"left", "right"} else (WIDTH, HEIGHT))
    for (low, right), colour in STORED.items():
        edges = {FAR[row_edge] if low else row_edge, FAR[column_edge] if right else column_edge}
        seen = _colour_at(shown, edges)
        assert max(abs(one - other) for one, other in zip(seen, colour, strict=True)) < 40, (edges, seen, colour)


@pytest.mark.parametrize("orientation", DEFINED)
def test_turning_agrees_with_a_second_opinion(orientation: int) -> None:
    # Pillow's own transposition is what the code uses; here it only confirms the table above for the whole picture.
    data = _as_file(orientation, "PNG")
    shown = Image.open(io.BytesIO(derivative(data, 320)))
    assert shown.size == ImageOps.exif_transpose(Image.open(io.BytesIO(data))).size


@pytest.mark.parametrize("orientation", [0, 9, 65535])
def test_an_orientation_that_is_not_defined_turns_nothing(orientation: int) -> None:
    assert Image.open(io.BytesIO(derivative(_as_file(orientation, "JPEG"), 320))).size == (WIDTH, HEIGHT)


def test_facts_of_a_photo_are_of_what_is_stored() -> None:
    facts = inspect(_as_file(6, "JPEG"))
    assert (facts.media_type, facts.width, facts.height) == ("image/jpeg", WIDTH, HEIGHT)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_smaller_ones_carry_no_name_place_or_orientation(kind: str) -> None:
    secret = "Somebody Invented"
    data = _as_file(6, kind, secret=secret)
    assert secret.encode() in data
    small = derivative(data, 320)
    assert secret.encode() not in small
    opened = Image.open(io.BytesIO(small))
    assert dict(opened.getexif()) == {}
    assert not {"exif", "xmp", "comment"} & set(opened.info)
