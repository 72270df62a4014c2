"""Reads the codes in a photo of a label: cheap looks first, patient ones only when those find nothing.

A JPEG decoded in grey at a quarter or half of its size takes a fraction of the time and finds most labels; the
later steps rescue small, dim, dirty and blurred ones.
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
ENLARGED_PX = 2200  # only a small image is worth enlarging, and a large one would take too much memory
QUARTER, HALF, WHOLE = 4, 2, 1


@dataclass(frozen=True)
class LabelReading:
    """The texts of the codes in a photo; which step of the ladder found the last, and after how many seconds."""

    texts: tuple[str, ...]
    ladder_step: str
    seconds: float


def read_label(data: bytes, is_ours: Callable[[str], bool] | None = None) -> LabelReading:
    """Read the QR codes in a photo, looking again until one is found that `is_ours` says yes to (None: to any).

    A poster's large code beside a small label must not end the search. Raises NotAPhoto or PhotoTooLarge for bytes
    that are not taken as a photo.
    """
    begun = time.perf_counter()
    texts: dict[str, None] = {}
    last = ""
    for step, image in _ladder(data):
        last = step
        for found in zxingcpp.read_barcodes(image, _QR):
            if found.text:
                texts.setdefault(found.text)
        if any(is_ours is None or is_ours(text) for text in texts):
            break
    return LabelReading(tuple(texts), last, time.perf_counter() - begun)


_QR = zxingcpp.BarcodeFormat.QRCode


def _ladder(data: bytes) -> Iterator[tuple[str, Image.Image]]:
    yield "quarter size", grey(data, QUARTER, LONGEST_PX // QUARTER)
    yield "half size", grey(data, HALF, LONGEST_PX // HALF)
    whole = grey(data, WHOLE, LONGEST_PX)
    yield "full size", whole
    small = whole.copy()
    small.thumbnail((1600, 1600), Image.Resampling.BOX)
    yield "evened out", ImageOps.autocontrast(_evened(small), cutoff=1)
    middle = whole.copy()
    middle.thumbnail((ENLARGED_PX, ENLARGED_PX), Image.Resampling.LANCZOS)
    yield "sharpened", middle.filter(ImageFilter.UnsharpMask(radius=4, percent=250, threshold=2))
    yield "evened out, large", _evened(middle).filter(ImageFilter.MedianFilter(3))
    doubled = small.resize((small.width * 2, small.height * 2), Image.Resampling.BICUBIC)
    yield "enlarged", doubled.filter(ImageFilter.UnsharpMask(radius=6, percent=300, threshold=0))


def _evened(image: Image.Image) -> Image.Image:
    """Light and shadow evened out: each pixel against the mean of its surroundings."""
    around = image.filter(ImageFilter.BoxBlur(max(8, min(image.size) // 20)))
    return ImageChops.subtract(image, around, scale=0.5, offset=128)
