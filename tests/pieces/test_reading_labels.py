"""Labels read from photos as a phone takes them: 12 million pixels, turned, dim, blurred, dirty, small, aslant.

The labels are drawn with the library qrcode at level Q and read with zxing-cpp, which knows nothing of it.
"""

from __future__ import annotations

import io
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from siteapp.pieces.reading_labels import read_label
from siteapp.store.images import MOST_PIXELS, NotAPhoto, PhotoTooLarge
from siteapp.trade.piece_number import BadNumber, new_number, parse_number
from tests.support.label_photos import Shot, photo

NUMBER = new_number(b"an invented number")
LINK = f"HTTP://192.168.100.100:8765/P/{NUMBER}"
WORDS = (
    f"{NUMBER[:4]}-{NUMBER[4:]}\nHeron, relief\n31.5 kg, two people\nHang from F1 and F2, up is where the arrow points"
)
FOREIGN = "https://example.org/p/a-poster-about-something-else"

# Looks that cost a fraction of a decode of all pixels. Which of the later ones helps is not laid down.
FIRST_LOOKS = {"quarter size", "quarter size, smoothed, evened out", "half size", "half size, smoothed"}
ANY_LOOK: set[str] = set()


def _is_number(text: str) -> bool:
    try:
        return parse_number(text).text == NUMBER
    except BadNumber:
        return False


@pytest.mark.parametrize(
    ("shot", "steps"),
    [
        pytest.param(Shot(code_px=1200, turned_deg=7), {"quarter size"}, id="fills the photo"),
        pytest.param(Shot(code_px=110, turned_deg=7), FIRST_LOOKS, id="small"),
        pytest.param(Shot(code_px=60, turned_deg=7), ANY_LOOK, id="two pixels a module"),
        pytest.param(Shot(turned_deg=17), {"quarter size"}, id="a little turned"),
        pytest.param(Shot(turned_deg=45), {"quarter size"}, id="on its corner"),
        pytest.param(Shot(turned_deg=133), {"quarter size"}, id="turned a lot"),
        pytest.param(Shot(turned_deg=180), {"quarter size"}, id="upside down"),
        pytest.param(Shot(slant=0.5, code_px=700, turned_deg=20), FIRST_LOOKS, id="from the side"),
        pytest.param(Shot(light=0.15, code_px=500, turned_deg=12), FIRST_LOOKS, id="dim"),
        pytest.param(Shot(light=0.06, code_px=500, turned_deg=12), ANY_LOOK, id="nearly dark"),
        pytest.param(Shot(blur_px=6, code_px=500, turned_deg=9), FIRST_LOOKS, id="blurred"),
        pytest.param(Shot(blur_px=14, code_px=1200, turned_deg=9), FIRST_LOOKS, id="large and very blurred"),
        pytest.param(Shot(dirt=0.1, code_px=600, turned_deg=5), ANY_LOOK, id="dirty"),
        pytest.param(Shot(noise=80, code_px=400), ANY_LOOK, id="grainy"),
        pytest.param(Shot(contrast=0.15, code_px=400), ANY_LOOK, id="faded"),
        pytest.param(Shot(shadow=True, code_px=500, turned_deg=30), ANY_LOOK, id="half in shadow"),
        pytest.param(Shot(shadow=True, light=0.4, code_px=500, turned_deg=30), ANY_LOOK, id="shadow in a dim stair"),
        pytest.param(
            Shot(shadow=True, code_px=450, turned_deg=33, light=0.5, blur_px=2.5, slant=0.25, dirt=0.03),
            ANY_LOOK,
            id="everything at once",
        ),
    ],
)
def test_a_label_is_read(shot: Shot, steps: set[str]) -> None:
    reading = read_label(photo(shot, text=LINK))
    assert reading.texts == (LINK,)
    assert not steps or reading.ladder_step in steps
    assert parse_number(reading.texts[0]).text == NUMBER


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_label_is_read_however_the_phone_was_held(orientation: int) -> None:
    # The pixels are stored as the sensor saw them, turned or mirrored; a code is read in any of the eight ways.
    upright = Image.open(io.BytesIO(photo(Shot(code_px=500), text=LINK, size=(1600, 1200))))
    stored = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    turned = upright.transpose(stored[orientation]) if orientation in stored else upright
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = orientation
    turned.save(out, "JPEG", exif=exif)
    assert read_label(out.getvalue()).texts == (LINK,)


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "HEIF"])
def test_a_label_is_read_in_every_kind_of_photo(kind: str) -> None:
    data = photo(Shot(code_px=250, turned_deg=11), text=LINK, size=(640, 480), kind=kind)
    assert read_label(data).texts == (LINK,)


def test_the_words_of_the_label_are_read_and_their_number_found() -> None:
    reading = read_label(photo(Shot(code_px=700, turned_deg=4), text=WORDS))
    assert reading.texts == (WORDS,)
    assert parse_number(reading.texts[0]).text == NUMBER


def test_every_code_in_a_photo_is_read() -> None:
    shots = Shot(code_px=500, at=(0.25, 0.3), also=((LINK, Shot(code_px=500, at=(0.7, 0.7), turned_deg=90)),))
    assert set(read_label(photo(shots, text=WORDS)).texts) == {WORDS, LINK}


def test_a_foreign_code_is_given_as_it_is_and_holds_no_number() -> None:
    (text,) = read_label(photo(Shot(code_px=600), text=FOREIGN)).texts
    assert text == FOREIGN
    with pytest.raises(BadNumber):
        parse_number(text)


def test_a_large_foreign_code_does_not_hide_a_small_label() -> None:
    # At half size the label has little over a pixel a module, the poster twenty.
    shots = Shot(code_px=1400, at=(0.45, 0.5), also=((LINK, Shot(code_px=90, at=(0.95, 0.5))),))
    data = photo(shots, text=FOREIGN)
    assert read_label(data).texts == (FOREIGN,)
    assert set(read_label(data, _is_number).texts) == {FOREIGN, LINK}


def test_a_photo_without_a_label_gives_nothing_after_the_last_look() -> None:
    reading = read_label(photo(Shot(), text=""))
    assert reading.texts == ()
    assert reading.ladder_step == "enlarged"
    assert reading.seconds > 0


@pytest.mark.parametrize("size", [(1, 1), (1, 4000), (3, 2), (20, 20)])
def test_a_tiny_picture_gives_nothing(size: tuple[int, int]) -> None:
    out = io.BytesIO()
    Image.new("L", size, 200).save(out, "PNG")
    assert read_label(out.getvalue()).texts == ()


def test_too_many_pixels_are_refused_before_they_are_decoded() -> None:
    out = io.BytesIO()
    side = int(MOST_PIXELS**0.5) + 1
    Image.new("1", (side, side)).save(out, "PNG")
    with pytest.raises(PhotoTooLarge, match="64 million pixels"):
        read_label(out.getvalue())


def test_a_photo_cut_off_is_refused() -> None:
    data = photo(Shot(code_px=400), text=LINK, size=(1600, 1200))
    with pytest.raises(NotAPhoto, match="damaged or cut off"):
        read_label(data[: len(data) // 3])


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_what_is_no_image_is_refused(data: bytes) -> None:
    with pytest.raises(NotAPhoto):
        read_label(data)


def test_a_damaged_photo_is_read_or_refused_and_nothing_else() -> None:
    data = bytearray(photo(Shot(code_px=400), text=LINK, size=(800, 600)))
    random_ = random.Random(18004)
    for _ in range(12):
        spoilt = bytearray(data)
        for _ in range(random_.randrange(1, 20)):
            spoilt[random_.randrange(len(spoilt))] = random_.randrange(256)
        try:
            read_label(bytes(spoilt))
        except (NotAPhoto, PhotoTooLarge):
            continue
