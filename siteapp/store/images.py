"""What a photo is, told from its bytes, and smaller ones made from it.

Only JPEG, PNG, WEBP and HEIC are opened, by content; one image at a time, since each takes its pixels in memory.
"""

from __future__ import annotations

import io
import threading
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pillow_heif
from PIL import Image, ImageOps

from siteapp.store.errors import StoreError

if TYPE_CHECKING:
    from contextlib import AbstractContextManager

MOST_PIXELS = 64_000_000
FORMATS = {
    "JPEG": "image/jpeg",
    "PNG": "image/png",
    "WEBP": "image/webp",
    "HEIF": "image/heic",
}
QUALITY = 85
# Pillow only warns up to twice its limit; the warning is made an error where images are opened.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS
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
    with _one_at_a_time, _opened(data) as image:
        facts = ImageFacts(FORMATS[image.format or ""], image.width, image.height)
        image.draft("L", (image.width // 8, image.height // 8))
        _load(image)
    return facts


def derivative(data: bytes, longest_px: int) -> bytes:
    """A smaller JPEG of a photo, at most `longest_px` wide and high, turned the right way up, without metadata."""
    with _one_at_a_time, _opened(data) as image:
        # JPEG can be decoded at 1/2, 1/4 or 1/8 of its size; twice the wanted size keeps the resizing smooth.
        image.draft("RGB", (longest_px * 2, longest_px * 2))
        _load(image)
        upright = ImageOps.exif_transpose(image)
        upright.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS, reducing_gap=2.0)
        flat = _on_paper(upright)
        out = io.BytesIO()
        flat.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def _on_paper(image: Image.Image) -> Image.Image:
    """The image in RGB, its transparent parts white."""
    if image.mode in {"RGBA", "LA", "PA"} or "transparency" in image.info:
        layer = image.convert("RGBA")
        paper = Image.new("RGB", layer.size, "white")
        paper.paste(layer, mask=layer.getchannel("A"))
        return paper
    return image.convert("RGB")


def _opened(data: bytes) -> AbstractContextManager[Image.Image]:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image = Image.open(io.BytesIO(data), formats=list(FORMATS))
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        message = f"This photo has more than {MOST_PIXELS // 1_000_000} million pixels; take or export it smaller."
        raise PhotoTooLarge(message) from error
    except Exception as error:
        # Decoders raise many kinds of error on broken input; to the person they are all the same.
        message = "This is not a photo that can be read. JPEG, PNG, WEBP and HEIC are taken."
        raise NotAPhoto(message) from error
    return image


def _load(image: Image.Image) -> None:
    try:
        image.load()
    except Exception as error:
        message = "This photo is damaged or cut off. Take it again, or send it again."
        raise NotAPhoto(message) from error
