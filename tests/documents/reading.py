"""PDFs read back by libraries that did not write them: pypdf for text and fonts, PDFium for pictures."""

from __future__ import annotations

import re
from io import BytesIO
from typing import TYPE_CHECKING, Any

import pypdf
import pypdfium2
import zxingcpp

if TYPE_CHECKING:
    from PIL.Image import Image

POINTS_PER_MM = 72 / 25.4


def text(pdf: bytes) -> str:
    """Give all words of a PDF, spaces and line ends made one space."""
    pages = pypdf.PdfReader(BytesIO(pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


def pdfium_text(pdf: bytes) -> str:
    """Give all words by PDFium, which also follows letters that no font had (pypdf stumbles over them)."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return re.sub(r"\s+", " ", " ".join(page.get_textpage().get_text_range() for page in document))
    finally:
        document.close()


def bookmarks(pdf: bytes) -> list[str]:
    """Give the titles of all bookmarks in order, those of every level."""

    def told(items: list[Any]) -> list[str]:
        return [title for one in items for title in (told(one) if isinstance(one, list) else [str(one.title)])]

    return told(pypdf.PdfReader(BytesIO(pdf)).outline)


def sizes_mm(pdf: bytes) -> set[tuple[float, float]]:
    """Give the sizes of the pages, in mm to a tenth."""
    boxes = [page.mediabox for page in pypdf.PdfReader(BytesIO(pdf)).pages]
    return {(round(float(box.width) / POINTS_PER_MM, 1), round(float(box.height) / POINTS_PER_MM, 1)) for box in boxes}


def fonts(pdf: bytes) -> dict[str, bool]:
    """Give the fonts of a PDF: name, with the subset's six letters, and whether its file is embedded."""
    found = {}
    for page in pypdf.PdfReader(BytesIO(pdf)).pages:
        resources: Any = page["/Resources"]
        for reference in resources.get("/Font", {}).values():
            font = reference.get_object()
            inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
            found[str(font["/BaseFont"])] = any(key.startswith("/FontFile") for key in inner["/FontDescriptor"])
    return found


def picture(pdf: bytes, page: int = 0, dpi: int = 300) -> Image:
    """Draw a page."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return document[page].render(scale=dpi / 72).to_pil()
    finally:
        document.close()


def codes(image: Image) -> set[str]:
    """Read all QR codes on a picture."""
    return {found.text for found in zxingcpp.read_barcodes(image)}


def letters_mm(pdf: bytes, page: int = 0) -> list[tuple[str, tuple[float, float, float, float]]]:
    """Give every letter of a page with its box in mm: left, top, right, bottom from the upper left corner."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        _width, height = document[page].get_size()
        text = document[page].get_textpage()
        found = []
        for place in range(text.count_chars()):
            letter = text.get_text_range(place, 1)
            if letter.strip():
                found.append((letter, _box_mm(text.get_charbox(place), height)))
        return found
    finally:
        document.close()


def pictures_mm(pdf: bytes, page: int = 0) -> list[tuple[float, float, float, float]]:
    """Give the boxes of a page's pictures in mm: left, top, right, bottom from the upper left corner."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        _width, height = document[page].get_size()
        images = document[page].get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE])
        return [_box_mm(image.get_bounds(), height) for image in images]
    finally:
        document.close()


def _box_mm(box: tuple[float, float, float, float], height: float) -> tuple[float, float, float, float]:
    left, bottom, right, top = box
    return (
        left / POINTS_PER_MM,
        (height - top) / POINTS_PER_MM,
        right / POINTS_PER_MM,
        (height - bottom) / POINTS_PER_MM,
    )
