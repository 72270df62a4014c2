"""Reads the codes in a photo of a label: cheap looks first, patient ones only when those find nothing.

A JPEG decoded in grey at a quarter or half of its size takes a fraction of the time and finds most labels; the
later steps rescue small, dim, dirty and blurred ones.
"""

from __future__ import annotations

import io
import time
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

import zxingcpp
from PIL import Image, ImageChops, ImageFilter, ImageOps

from siteapp.store.images import FORMATS, NotAPhoto, PhotoTooLarge, inspect

if TYPE_CHECKING:
    from collections.abc import Iterator

LONGEST_PX = 5000
ENLARGED_PX = 2200  # only a small image is worth enlarging, and a large one would take too much memory
QUARTER, HALF, WHOLE = 4, 2, 1


@dataclass(frozen=True)
class LabelReading:
    """The texts of the codes in a photo; which step of the ladder found them, and after how many seconds."""

    texts: tuple[str, ...]
    ladder_step: str
    seconds: float


def read_label(data: bytes) -> LabelReading:
    """Read the QR codes in a photo. Raises NotAPhoto or PhotoTooLarge for bytes that are not taken as a photo."""
    begun = time.perf_counter()
    step = ""
    for step, image in _ladder(data):
        texts = tuple(dict.fromkeys(found.text for found in zxingcpp.read_barcodes(image, _QR) if found.text))
        if texts:
            return LabelReading(texts, step, time.perf_counter() - begun)
    return LabelReading((), step, time.perf_counter() - begun)


_QR = zxingcpp.BarcodeFormat.QRCode


def _ladder(data: bytes) -> Iterator[tuple[str, Image.Image]]:
    first = _grey(data, QUARTER)
    yield "quarter size", first
    yield "half size", _grey(data, HALF)
    whole = _grey(data, WHOLE)
    yield "full size", whole
    small = whole.copy()
    small.thumbnail((1600, 1600), Image.Resampling.BOX)
    yield "evened out", ImageOps.autocontrast(_evened(small), cutoff=1)
    middle = whole.copy()
    middle.thumbnail((ENLARGED_PX, ENLARGED_PX), Image.Resampling.LANCZOS)
    yield (
        "sharpened",
        middle.filter(ImageFilter.UnsharpMask(radius=4, percent=250, threshold=2)),
    )
    yield "evened out, large", _evened(middle).filter(ImageFilter.MedianFilter(3))
    doubled = small.resize((small.width * 2, small.height * 2), Image.Resampling.BICUBIC)
    yield (
        "enlarged",
        doubled.filter(ImageFilter.UnsharpMask(radius=6, percent=300, threshold=0)),
    )


def _grey(data: bytes, part: int) -> Image.Image:
    """The photo in grey at about 1/`part` of its size; a JPEG is decoded no larger than that."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image = Image.open(io.BytesIO(data), formats=list(FORMATS))
            image.draft("L", (max(1, image.width // part), max(1, image.height // part)))
            image.load()
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        inspect(data)  # says what is wrong in its own words
        raise PhotoTooLarge("This photo has too many pixels.") from None
    except Exception as error:
        inspect(data)
        message = "This photo is damaged or cut off. Take it again, or send it again."
        raise NotAPhoto(message) from error
    grey = image.convert("L")
    longest = LONGEST_PX // part
    if max(grey.size) > longest:
        grey.thumbnail((longest, longest), Image.Resampling.BOX)
    return grey


def _evened(image: Image.Image) -> Image.Image:
    """Light and shadow evened out: each pixel against the mean of its surroundings."""
    around = image.filter(ImageFilter.BoxBlur(max(8, min(image.size) // 20)))
    return ImageChops.subtract(image, around, scale=0.5, offset=128)
