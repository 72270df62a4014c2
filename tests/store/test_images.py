"""Which bytes are taken as photos, and what the smaller ones made from them look like."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ExifTags, Image, ImageCms

from siteapp.store.images import NotAPhoto, PhotoError, PhotoTooLarge, derivative, grey, inspect

WARM = (200, 120, 40)


def _encoded(image: Image.Image, kind: str, **options: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def _opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def _is_near(seen: Any, wanted: tuple[int, int, int], within: int = 12) -> bool:
    return max(abs(one - other) for one, other in zip(seen, wanted, strict=True)) <= within


def _gradient(mode: str = "RGB", size: tuple[int, int] = (640, 480)) -> Image.Image:
    return Image.linear_gradient("L").resize(size).convert(mode)


JPEG = _encoded(_gradient(), "JPEG")


def _png_that_says(width: int, height: int) -> bytes:
    """A one-bit PNG of any size that is few bytes: rows of zeros pack well, and none are sent."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes((width + 7) // 8 + 1) * min(height, 10))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("kind", "media_type"),
    [("JPEG", "image/jpeg"), ("PNG", "image/png"), ("WEBP", "image/webp"), ("HEIF", "image/heic")],
)
def test_photos_are_known_by_their_bytes_and_made_smaller(kind: str, media_type: str) -> None:
    data = _encoded(Image.new("RGB", (640, 480), WARM), kind, quality=95)
    facts = inspect(data)
    assert (facts.media_type, facts.width, facts.height) == (media_type, 640, 480)
    small = _opened(derivative(data, 320))
    assert (small.format, small.mode, small.size) == ("JPEG", "RGB", (320, 240))
    assert _is_near(small.getpixel((160, 120)), WARM)
    assert grey(data, 2, 5000).size == (320, 240)


def test_a_small_photo_is_not_made_larger() -> None:
    assert _opened(derivative(_encoded(Image.new("RGB", (64, 48), WARM), "PNG"), 2000)).size == (64, 48)


@pytest.mark.parametrize("size", [(1, 1), (4, 3), (7, 900), (900, 1), (5000, 3)])
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_tiny_and_narrow_photos_are_photos(size: tuple[int, int], kind: str) -> None:
    data = _encoded(Image.new("RGB", size, WARM), kind)
    assert (inspect(data).width, inspect(data).height) == size
    for longest in (320, 1280):
        assert max(_opened(derivative(data, longest)).size) == min(longest, max(size))
    for part in (1, 2, 4, 8):
        assert max(grey(data, part, 5000).size) <= max(size)


def test_a_jpeg_with_a_second_picture_behind_the_first_is_a_jpeg() -> None:
    # As many phones write it: the Multi-Picture Format, with depth or brightness as the second picture.
    data = _encoded(_gradient(), "MPO", save_all=True, append_images=[_gradient(size=(64, 48))])
    assert _opened(data).format == "MPO"
    assert inspect(data).media_type == "image/jpeg"
    assert _opened(derivative(data, 320)).size == (320, 240)


def test_sixteen_bits_a_pixel_keep_their_brightness() -> None:
    middle_grey = Image.new("I;16", (400, 300), 128 * 257)
    small = _opened(derivative(_encoded(middle_grey, "PNG"), 320))
    assert _is_near(small.getpixel((100, 100)), (128, 128, 128), within=3)


def test_inks_become_the_colours_that_they_print() -> None:
    inks = _encoded(Image.new("CMYK", (400, 300), (0, 255, 255, 0)), "JPEG", quality=95)
    small = _opened(derivative(inks, 320))
    assert small.mode == "RGB"
    assert _is_near(small.getpixel((100, 100)), (255, 0, 0), within=30)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "1"])
def test_what_is_transparent_is_white(mode: str) -> None:
    image = Image.new("RGBA", (400, 300), (0, 0, 0, 0))
    image.paste((0, 0, 0, 255), (0, 0, 200, 300))
    if mode == "P":
        palette = Image.new("P", (400, 300), 1)
        palette.putpalette([0, 0, 0, 9, 9, 9])
        palette.paste(0, (0, 0, 200, 300))
        data = _encoded(palette, "PNG", transparency=1)
    elif mode == "1":
        one_bit = Image.new("1", (400, 300), 1)
        one_bit.paste(0, (0, 0, 200, 300))
        data = _encoded(one_bit, "PNG")
    else:
        data = _encoded(image.convert(mode), "PNG")
    small = _opened(derivative(data, 320))
    assert _is_near(small.getpixel((40, 100)), (0, 0, 0))
    assert _is_near(small.getpixel((280, 100)), (255, 255, 255))
    assert grey(data, 1, 5000).getpixel((300, 100)) == 255


def test_a_fully_transparent_colour_does_not_bleed_into_its_neighbours() -> None:
    image = Image.new("RGBA", (640, 480), (255, 0, 0, 0))
    image.paste((0, 0, 255, 255), (0, 0, 321, 480))
    small = _opened(derivative(_encoded(image, "PNG"), 320))
    for x in range(158, 164):
        red, green, _blue = small.getpixel((x, 120))
        assert red - green < 25, f"a red fringe at {x}"


def test_colours_of_a_photo_with_its_own_profile_are_brought_to_srgb() -> None:
    # A profile whose red and blue are exchanged: used, it exchanges them; kept or dropped unused, it would not.
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = profile.replace(b"rXYZ", b"!!!!").replace(b"bXYZ", b"rXYZ").replace(b"!!!!", b"bXYZ")
    image = Image.new("RGB", (400, 300), (220, 30, 30))
    assert _is_near(
        _opened(derivative(_encoded(image, "PNG", icc_profile=profile), 320)).getpixel((9, 9)), (220, 30, 30)
    )
    small = _opened(derivative(_encoded(image, "PNG", icc_profile=swapped), 320))
    assert _is_near(small.getpixel((9, 9)), (30, 30, 220), within=25)
    assert "icc_profile" not in small.info


@pytest.mark.parametrize("profile", [b"", b"no profile", bytes(4000)])
def test_a_profile_that_cannot_be_used_is_left_out(profile: bytes) -> None:
    data = _encoded(Image.new("RGB", (400, 300), WARM), "JPEG", icc_profile=profile, quality=95)
    assert _is_near(_opened(derivative(data, 320)).getpixel((9, 9)), WARM)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_turned_heic_is_shown_upright(orientation: int) -> None:
    # A HEIC is turned by a property of its own, which the encoder sets from the tag; readers must not turn it again.
    picture = Image.new("RGB", (640, 480), "white")
    picture.paste(WARM, (0, 0, 320, 240))
    picture.getexif()[ExifTags.Base.Orientation] = orientation
    data = _encoded(picture, "HEIF")
    assert (b"irot" in data or b"imir" in data) == (orientation > 1)
    small = _opened(derivative(data, 320))
    assert small.size == ((240, 320) if orientation >= 5 else (320, 240))
    # Where row 0 meets column 0 is seen, by the definition of the tag.
    right, low = orientation in {2, 3, 6, 7}, orientation in {3, 4, 7, 8}
    assert _is_near(small.getpixel((small.width - 40 if right else 40, small.height - 40 if low else 40)), WARM)
    assert _is_near(small.getpixel((40 if right else small.width - 40, 40 if low else small.height - 40)), (255,) * 3)


@pytest.mark.filterwarnings("ignore:Corrupt EXIF:UserWarning")
@pytest.mark.parametrize(
    "exif", [b"Exif\0\0", b"Exif\0\0II*\0\xff\xff\xff\x7f", b"Exif\0\0MM\0*\0\0\0\x08\xff\xff", b"Exif\0\0junk"]
)
def test_broken_exif_costs_nobody_the_photo(exif: bytes) -> None:
    data = _encoded(_gradient(), "JPEG", exif=exif)
    assert inspect(data).width == 640
    assert _opened(derivative(data, 320)).size == (320, 240)


@pytest.mark.parametrize("size", [(10_000, 10_000), (8001, 8000), (50_000, 50_000), (2**31 - 1, 1)])
def test_too_many_pixels_are_refused_with_the_limit(size: tuple[int, int]) -> None:
    data = _png_that_says(*size)
    assert len(data) < 2_000_000
    for look in (inspect, lambda data: derivative(data, 320), lambda data: grey(data, 4, 5000)):
        with pytest.raises(PhotoTooLarge, match="more than 64 million pixels"):
            look(data)


def test_a_real_photo_of_a_hundred_million_pixels_is_refused_quickly() -> None:
    data = _encoded(Image.new("1", (10_000, 10_000), 1), "PNG")
    with pytest.raises(PhotoTooLarge, match="more than 64 million pixels; take it or export it smaller"):
        inspect(data)


def test_as_many_pixels_as_are_allowed_are_taken() -> None:
    facts = inspect(_encoded(Image.new("1", (8000, 8000), 1), "PNG"))
    assert (facts.width, facts.height) == (8000, 8000)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"not an image at all", "not a photo that can be read"),
        (b"\xff\xd8\xff", "not a photo that can be read"),
        (_encoded(_gradient(), "GIF"), "This is a GIF"),
        (_encoded(_gradient(), "BMP"), "This is a bitmap"),
        (_encoded(_gradient(), "TIFF"), "This is a TIFF"),
        (_encoded(_gradient(), "PDF"), "This is a PDF"),
        (_encoded(_gradient(), "ICO"), "not a photo that can be read"),
        (_encoded(_gradient(), "EPS"), "not a photo that can be read"),
        (b'<svg xmlns="http://www.w3.org/2000/svg"/>', "This is a drawing"),
        (b'<?xml version="1.0"?><svg/>', "This is a drawing"),
        (b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom", "This is a video"),
        (b"\0\0\0\x14ftypqt  \0\0\0\0qt  ", "This is a video"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "not a photo that can be read"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_is_no_photo_is_refused_and_told_what_is_taken(data: bytes, words: str) -> None:
    for look in (inspect, lambda data: derivative(data, 320), lambda data: grey(data, 4, 5000)):
        with pytest.raises(NotAPhoto) as raised:
            look(data)
        assert words in str(raised.value)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
@pytest.mark.parametrize("share", [0.3, 0.6, 0.95])
def test_a_photo_cut_off_is_refused_when_it_comes(kind: str, share: float) -> None:
    noisy = Image.effect_noise((640, 480), 60).convert("RGB")
    data = _encoded(noisy, kind)
    with pytest.raises(NotAPhoto):
        inspect(data[: int(len(data) * share)])


@given(
    st.sampled_from(["JPEG", "PNG", "WEBP"]),
    st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255)), min_size=1, max_size=6),
)
@settings(max_examples=150, deadline=None)
@pytest.mark.filterwarnings("ignore::UserWarning")
def test_any_damage_is_shown_or_refused_and_never_an_error_of_another_kind(
    kind: str, changes: list[tuple[float, int]]
) -> None:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6
    data = bytearray(_encoded(Image.effect_noise((96, 64), 40), kind, exif=exif))
    for place, value in changes:
        data[int(place * len(data))] = value
    for look in (inspect, lambda data: derivative(data, 320), lambda data: grey(data, 4, 5000)):
        try:
            look(bytes(data))
        except PhotoError as error:
            assert str(error).endswith(".")  # noqa: PT017 - most damage is no error, so there is nothing to expect
