"""What a photo is, told from its bytes, and smaller ones made from it.

Only JPEG, PNG, WEBP and HEIC are opened, by content; one image at a time, since each takes its pixels in memory.
"""

from __future__ import annotations

import io
import threading
import warnings
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pillow_heif
from PIL import ExifTags, Image, ImageCms

from siteapp.store.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Iterator

MOST_PIXELS = 64_000_000
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
# Many phones keep a second picture (depth, brightness) behind the first of a JPEG; Pillow calls that MPO.
MEDIA_TYPES = {
    "JPEG": "image/jpeg",
    "MPO": "image/jpeg",
    "PNG": "image/png",
    "WEBP": "image/webp",
    "HEIF": "image/heic",
}
TAKEN = "JPEG, PNG, WEBP and HEIC are taken"
# How files of kinds that people try begin, after so many bytes. The type of a video stands behind its "ftyp".
OTHER_KINDS = (
    (0, b"GIF8", "a GIF"),
    (0, b"BM", "a bitmap (BMP)"),
    (0, b"II*\0", "a TIFF or raw photo"),
    (0, b"MM\0*", "a TIFF or raw photo"),
    (0, b"%PDF", "a PDF"),
    (0, b"<svg", "a drawing (SVG)"),
    (0, b"<?xml", "a drawing (SVG)"),
    (4, b"ftypavif", "an AVIF"),
    *((4, b"ftyp" + brand, "a video") for brand in (b"qt", b"iso", b"mp4", b"m4v", b"3gp", b"avc1", b"msnv")),
    (0, b"\x1aE\xdf\xa3", "a video"),
)
QUALITY = 85
SIXTEEN_BITS = "I"
# What brings a picture upright, by the value of the orientation tag (TIFF 6.0, tag 274); 1 needs nothing.
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
# Pillow only warns up to twice its limit. The filter makes the warning an error, the size is looked at once more here.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS
warnings.simplefilter("error", Image.DecompressionBombWarning)
pillow_heif.register_heif_opener()
_one_at_a_time = threading.Lock()


class PhotoError(StoreError):
    """Bytes that are not taken as a photo; the message says why."""


class NotAPhoto(PhotoError):
    """No image that can be shown, or one of a kind that is not taken."""


class PhotoTooLarge(PhotoError):
    """More pixels than are taken."""


@dataclass(frozen=True)
class ImageFacts:
    """Kind and size of an image, in pixels as stored (before it is turned the right way up)."""

    media_type: str
    width: int
    height: int


def inspect(data: bytes) -> ImageFacts:
    """Kind and size of a photo. Raises NotAPhoto or PhotoTooLarge.

    The pixels are decoded once, small where the format allows it, so that a file cut off in the middle is found now
    and not when somebody wants to see it.
    """
    with _one_at_a_time, _opened(data) as image, _damage_told():
        facts = ImageFacts(MEDIA_TYPES[image.format or ""], image.width, image.height)
        image.draft("L", _part_of(image, 8))
        image.load()
    return facts


def derivative(data: bytes, longest_px: int) -> bytes:
    """A smaller JPEG of a photo, at most `longest_px` wide and high, turned the right way up, without metadata.

    Colours are brought to sRGB when the photo says which others it has. Raises NotAPhoto or PhotoTooLarge.
    """
    with _one_at_a_time, _opened(data) as image, _damage_told():
        # JPEG can be decoded at 1/2, 1/4 or 1/8 of its size; twice the wanted size keeps the resizing smooth.
        image.draft("RGB", (longest_px * 2, longest_px * 2))
        image.load()
        turn = _turn(image)
        small = _resizable(image)
        small.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS, reducing_gap=2.0)
        flat = _in_srgb(_on_paper(small), image.info.get("icc_profile"))
        upright = flat if turn is None else flat.transpose(turn)
        # Comments and the like would travel with the image's info.
        upright.info.clear()
        out = io.BytesIO()
        upright.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def grey(data: bytes, part: int, longest_px: int) -> Image.Image:
    """The photo in grey at about 1/`part` of its size (1, 2, 4 or 8) and at most `longest_px`, turned as stored.

    A JPEG is decoded no larger than that. Raises NotAPhoto or PhotoTooLarge.
    """
    with _one_at_a_time, _opened(data) as image, _damage_told():
        wanted = min(max(_part_of(image, part)), longest_px)
        image.draft("L", _part_of(image, part))
        image.load()
        flat = _on_paper(_resizable(image)).convert("L")
        # A decoder rounds up; resizing by a pixel or two would only blur.
        if max(flat.size) > wanted + part:
            flat.thumbnail((wanted, wanted), Image.Resampling.BOX)
        return flat


def _opened(data: bytes) -> Image.Image:
    try:
        image = Image.open(io.BytesIO(data), formats=FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_large() from error
    except Exception as error:
        # Decoders raise many kinds of error on broken input; to the person they are all the same.
        raise NotAPhoto(_why_not(data)) from error
    if image.width * image.height > MOST_PIXELS:
        image.close()
        raise _too_large()
    return image


@contextmanager
def _damage_told() -> Iterator[None]:
    """Whatever a decoder finds wrong in the middle of a file is one thing to the person."""
    try:
        yield
    except Exception as error:
        message = "This photo is damaged or cut off. Take it again, or send it again."
        raise NotAPhoto(message) from error


def _part_of(image: Image.Image, part: int) -> tuple[int, int]:
    return max(1, image.width // part), max(1, image.height // part)


def _too_large() -> PhotoTooLarge:
    return PhotoTooLarge(
        f"This photo has more than {MOST_PIXELS // 1_000_000} million pixels; take it or export it smaller."
    )


def _why_not(data: bytes) -> str:
    if not data:
        return "This file is empty. Take the photo again, or send it again."
    for skipped, beginning, kind in OTHER_KINDS:
        if data[skipped : skipped + len(beginning)].lower() == beginning.lower():
            return f"This is {kind}, not a photo that is taken. {TAKEN}."
    return f"This is not a photo that can be read. {TAKEN}."


def _turn(image: Image.Image) -> Image.Transpose | None:
    try:
        return TURNS.get(image.getexif().get(ExifTags.Base.Orientation, 1))
    except Exception:  # noqa: BLE001 - Exif that cannot be read says nothing, and the picture is there all the same
        return None


def _resizable(image: Image.Image) -> Image.Image:
    """The image in a mode that can be made smaller smoothly; what is transparent stays so."""
    if image.mode.startswith(SIXTEEN_BITS):
        # Pillow would cut off what is over 255 instead of scaling; 16 bits a pixel come from scanners and some cameras.
        return image.convert("I").point(lambda value: value * (1 / 257)).convert("L")
    if image.has_transparency_data:
        return image.convert("RGBA")
    return image if image.mode in {"RGB", "L", "CMYK"} else image.convert("RGB")


def _on_paper(image: Image.Image) -> Image.Image:
    """The image with its transparent parts white."""
    if image.mode != "RGBA":
        return image
    paper = Image.new("RGB", image.size, "white")
    paper.paste(image, mask=image.getchannel("A"))
    return paper


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """The image's colours brought to sRGB, as the profile says; a profile that cannot be used is left out."""
    if profile:
        try:
            theirs = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            turned = ImageCms.profileToProfile(image, theirs, ImageCms.createProfile("sRGB"), outputMode="RGB")
        except (ImageCms.PyCMSError, OSError, ValueError):
            turned = None
        if turned is not None:
            return turned
    return image.convert("RGB")
