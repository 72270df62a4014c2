"""Reads the codes in a photo of a label: cheap looks first, patient ones only when those find nothing.

A JPEG decoded in grey at a quarter or half of its size takes a fraction of the time and finds most labels; the
later steps rescue small, dim, faded, shaken and blurred ones.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

import zxingcpp
from PIL import Image, ImageChops, ImageFilter, ImageOps

from siteapp.store.images import grey

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

LONGEST_PX = 5000
SMALL_PX, ENLARGED_PX = 1000, 3200
QUARTER, HALF, WHOLE = 4, 2, 1


@dataclass(frozen=True)
class LabelReading:
    """The texts of the codes in a photo; which step of the ladder found the last, and after how many seconds."""

    texts: tuple[str, ...]
    ladder_step: str
    seconds: float


def read_label(data: bytes, is_ours: Callable[[str], bool] | None = None, *, any_code: bool = False) -> LabelReading:
    """Read the QR codes in a photo, with `any_code` bar codes and other square codes too.

    Looks again until one is found that `is_ours` says yes to (None: to any). A poster's large code beside a small label
    must not end the search. Raises NotAPhoto or PhotoTooLarge for bytes that are not taken as a photo.
    """
    begun = time.perf_counter()
    texts: dict[str, None] = {}
    last = ""
    for step, image in _ladder(data):
        last = step
        for found in zxingcpp.read_barcodes(image, *([] if any_code else [_QR])):
            if found.text:
                texts.setdefault(found.text)
        if any(is_ours is None or is_ours(text) for text in texts):
            break
    return LabelReading(tuple(texts), last, time.perf_counter() - begun)


_QR = zxingcpp.BarcodeFormat.QRCode


def _ladder(data: bytes) -> Iterator[tuple[str, Image.Image]]:
    """Looks at a photo, each with its name; chosen by what they found among drawn photos, the cheap ones first.

    Smoothing takes the grain out of dim photos and the doubled edges out of shaken ones; evening out lets a code show
    that lies half in shadow; what is blurred gets sharp when made small, what is small needs all pixels or more.
    """
    quarter = grey(data, QUARTER, LONGEST_PX // QUARTER)
    yield "quarter size", quarter
    yield "quarter size, smoothed, evened out", _evened(_smoothed(quarter, 1), 80)
    half = grey(data, HALF, LONGEST_PX // HALF)
    yield "half size", half
    yield "half size, smoothed", _smoothed(half, 1)
    yield "half size, smoothed more, evened out", _evened(_smoothed(half, 2), 80)
    whole = grey(data, WHOLE, LONGEST_PX)
    yield "full size", whole
    yield "small, sharpened", _at_most(whole, SMALL_PX).filter(ImageFilter.UnsharpMask(radius=3, percent=250))
    middle = _at_most(whole, ENLARGED_PX // 2)
    yield "enlarged", middle.resize((middle.width * 2, middle.height * 2), Image.Resampling.BICUBIC)


def _at_most(image: Image.Image, longest_px: int) -> Image.Image:
    small = image.copy()
    small.thumbnail((longest_px, longest_px), Image.Resampling.BOX)
    return small


def _smoothed(image: Image.Image, radius_px: int) -> Image.Image:
    # The mean of neighbours finds what their median does, in a tenth of the time.
    return image.filter(ImageFilter.BoxBlur(radius_px))


def _evened(image: Image.Image, across: int) -> Image.Image:
    """Light and shadow evened out: each pixel against the mean of its surroundings, 2/`across` of the image wide."""
    around = image.filter(ImageFilter.BoxBlur(max(8, min(image.size) // across)))
    return ImageOps.autocontrast(ImageChops.subtract(image, around, scale=0.5, offset=128), cutoff=1)
