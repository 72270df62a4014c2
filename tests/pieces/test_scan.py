"""From what a form brings, a photo or typed text, to a number or to a sentence that says why not."""

from __future__ import annotations

import io
from typing import Any

import pytest
from flask import Flask
from PIL import Image
from werkzeug.datastructures import FileStorage, MultiDict

from siteapp.pieces import scan
from siteapp.pieces.forms import ScanForm
from siteapp.trade.piece_number import ALPHABET, new_number
from tests.support.label_photos import Shot, photo

MOST = 8 * 1024**2
SMALL = (1200, 900)
NUMBER, OTHER = new_number(b"an invented number"), new_number(b"another invented number")
LINK = f"HTTP://192.168.100.100:8765/P/{NUMBER}"
FOREIGN = "https://example.org/p/a-poster-about-something-else"


def _find(typed: str = "", data: bytes | None = None, most: int = MOST) -> scan.Found:
    fields: dict[str, Any] = {"number": typed}
    if data is not None:
        fields["photo"] = FileStorage(io.BytesIO(data), "label.jpg")
    with Flask(__name__).test_request_context():
        return scan.find(ScanForm(MultiDict(fields)), most, [NUMBER, OTHER])


def _wrong(number: str) -> str:
    return number[:-1] + next(char for char in ALPHABET if char != number[-1])


def test_a_photo_of_a_label_gives_its_number() -> None:
    assert _find(data=photo(Shot(code_px=300), text=LINK, size=SMALL)) == scan.Found(number=NUMBER)


def test_a_label_beside_a_foreign_code_is_found_whichever_comes_first() -> None:
    for first, second in ((LINK, FOREIGN), (FOREIGN, LINK)):
        both = Shot(code_px=240, at=(0.25, 0.3), also=((second, Shot(code_px=240, at=(0.7, 0.7))),))
        assert _find(data=photo(both, text=first, size=SMALL)) == scan.Found(number=NUMBER)


def test_a_photo_counts_before_what_is_typed() -> None:
    assert _find(OTHER, photo(Shot(code_px=300), text=LINK, size=SMALL)).number == NUMBER


def test_an_empty_file_field_leaves_what_is_typed() -> None:
    assert _find(OTHER.lower(), b"").number == OTHER


def test_a_typed_number_is_found() -> None:
    assert _find(f" {NUMBER[:4].lower()}-{NUMBER[4:]} ") == scan.Found(number=NUMBER)


def test_a_near_miss_is_refused_with_its_reason_and_the_number_that_is_near() -> None:
    found = _find(_wrong(NUMBER))
    assert found.number is None
    assert found.why_not is not None
    assert "check character" in found.why_not
    assert found.near == NUMBER


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (photo(Shot(code_px=300), text=FOREIGN, size=SMALL), "it is not one of our labels"),
        (photo(Shot(), text="", size=SMALL), "No label can be read in this photo"),
        (b"not a photo at all", "not a photo that can be read"),
        (photo(Shot(code_px=300), text=LINK, size=SMALL)[:9000], "damaged or cut off"),
        (bytes(MOST + 1), "larger than 8 MB"),
    ],
    ids=["foreign", "nothing", "no photo", "cut off", "too large"],
)
def test_what_is_wrong_with_a_photo_is_said(data: bytes, words: str) -> None:
    found = _find(data=data)
    assert (found.number, found.near) == (None, None)
    assert words in str(found.why_not)


def test_a_photo_of_a_hundred_million_pixels_is_refused_in_words() -> None:
    out = io.BytesIO()
    Image.new("1", (10_000, 10_000)).save(out, "PNG")
    assert "more than 64 million pixels" in str(_find(data=out.getvalue()).why_not)


@pytest.mark.parametrize("typed", ["", "   "])
def test_nothing_at_all_asks_for_a_photo_or_a_number(typed: str) -> None:
    assert "Take a photo of the label, or type its number" in str(_find(typed).why_not)
