"""Where photos, numbers and rings stand on a page of a PDF, read back by PDFium."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pypdfium2.raw as pdfium
from PIL import ImageChops

from siteapp.documents.spots import RING_MM

if TYPE_CHECKING:
    from PIL import Image

MM = 25.4 / 72
DPI = 300
RING_PT = 10.77  # a ring as PDFium bounds it, its stroke and a margin of its own included
CLOSE_PT = 0.4


def images(page) -> list[tuple[float, float, float, float]]:
    """Where pictures are on a page: left, bottom, right, top in points."""
    return [one.get_bounds() for one in page.get_objects() if one.type == pdfium.FPDF_PAGEOBJ_IMAGE]


def rings_on(page) -> list[tuple[float, float]]:
    """The middles of the rings on a page."""
    bounds = [one.get_bounds() for one in page.get_objects() if one.type == pdfium.FPDF_PAGEOBJ_PATH]
    return [
        ((left + right) / 2, (low + top) / 2)
        for left, low, right, top in bounds
        if abs(right - left - RING_PT) < CLOSE_PT and abs(top - low - RING_PT) < CLOSE_PT
    ]


def places(page, words: str) -> list[tuple[float, float]]:
    """The middle of every place where these words stand, by their first and last letter."""
    text = page.get_textpage()
    search = text.search(words, match_case=True)
    found = []
    while match := search.get_next():
        first, last = text.get_charbox(match[0]), text.get_charbox(match[0] + match[1] - 1)
        found.append(((first[0] + last[2]) / 2, (first[1] + first[3]) / 2))
    return found


def red_near(drawn: Image.Image, at: tuple[float, float], height: float) -> tuple[float, float]:
    """The middle of what is red within a ring's size of a place, all in points."""
    scale = DPI / 72
    reach = round(RING_MM / MM * scale)
    x, y = round(at[0] * scale), round((height - at[1]) * scale)
    red, green, _blue = drawn.crop((x - reach, y - reach, x + reach, y + reach)).split()
    mask = ImageChops.darker(red.point(lambda tone: 255 * (tone > 200)), green.point(lambda tone: 255 * (tone < 90)))
    box = mask.getbbox()
    assert box, "there is no red within the ring"
    return (x - reach + (box[0] + box[2]) / 2) / scale, height - (y - reach + (box[1] + box[3]) / 2) / scale
