"""Text set into lines of a known width: measured with the packaged typefaces, shrunk in steps, cut at a word.

The page gets every line with its place and size, so that nothing depends on how a renderer breaks or cuts text.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from siteapp.documents import fonts

if TYPE_CHECKING:
    from collections.abc import Sequence

MM_PER_PT = 25.4 / 72
SMALLEST_PT = 6.0  # the smallest type on a label: common practice for small print, no source
SHRINK = 0.94
# Room for what a renderer rounds; measured widths agree with the PDF's to a tenth of this.
SPARE = 0.01
FEATURES = {"tnum": True, "lnum": True}
SANS, STRONG, ITALIC, DISPLAY = "sans", "strong", "italic", "display"
FACES = {
    SANS: "paper-sans-normal-400.ttf",
    STRONG: "paper-sans-normal-600.ttf",
    ITALIC: "paper-serif-italic-400.ttf",
    DISPLAY: "paper-display-normal-400.ttf",
}
ELLIPSIS = "…"


@dataclass(frozen=True)
class Set:
    """A text set in lines at `size_pt`; `cut` when something was left out behind an ellipsis."""

    lines: tuple[str, ...]
    size_pt: float
    cut: bool = False


def width_mm(text: str, face: str, size_pt: float, tracking_em: float = 0.0) -> float:
    """Width of a line in mm, `tracking_em` added behind each letter."""
    return (_width_em(text, face) + tracking_em * len(text)) * size_pt * MM_PER_PT


def sizes(largest_pt: float, smallest_pt: float = SMALLEST_PT) -> list[float]:
    """Steps of type from the largest to the smallest in points, which is never under 6."""
    smallest_pt = max(smallest_pt, SMALLEST_PT)
    steps = []
    size = largest_pt
    while size > smallest_pt:
        steps.append(size)
        size *= SHRINK
    return [*steps, smallest_pt]


def broken(text: str, face: str, size_pt: float, room_mm: float) -> list[str]:
    """Break a text into lines no wider than `room_mm`: between words, within one only when it is wider by itself."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if _fits(longer, face, size_pt, room_mm):
            line = longer
            continue
        if line:
            lines.append(line)
        *whole, line = _pieces(word, face, size_pt, room_mm)
        lines.extend(whole)
    return [*lines, line] if line else lines


def fitted(text: str, face: str, steps: Sequence[float], room_mm: float, most: int) -> Set:
    """Set a text in at most `most` lines at the largest of `steps` that holds it; at the last one it is cut."""
    for size in steps:
        lines = broken(text, face, size, room_mm)
        if len(lines) <= most:
            return Set(tuple(lines), size)
    return cut(text, face, steps[-1], room_mm, most)


def cut(text: str, face: str, size_pt: float, room_mm: float, most: int) -> Set:
    """Set a text in at most `most` lines at one size, with an ellipsis behind the last word that has room."""
    lines = broken(text, face, size_pt, room_mm)
    if len(lines) <= most:
        return Set(tuple(lines), size_pt)
    last = lines[most - 1]
    while last and not _fits(last + ELLIPSIS, face, size_pt, room_mm):
        # At a word; within one only when the line holds a single one.
        last = last.rpartition(" ")[0] if " " in last else last[:-1]
    return Set((*lines[: most - 1], last.rstrip(" ,;:.–-") + ELLIPSIS), size_pt, cut=True)


def _pieces(word: str, face: str, size_pt: float, room_mm: float) -> list[str]:
    pieces: list[str] = []
    piece = ""
    for char in word:
        if piece and not _fits(piece + char, face, size_pt, room_mm):
            pieces.append(piece)
            piece = ""
        piece += char
    return [*pieces, piece]


def _fits(text: str, face: str, size_pt: float, room_mm: float) -> bool:
    return width_mm(text, face, size_pt) <= room_mm * (1 - SPARE)


@lru_cache(maxsize=20_000)
def _width_em(text: str, face: str) -> float:
    import uharfbuzz

    buffer = uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    font = _fonts()[face]
    uharfbuzz.shape(font, buffer, FEATURES)
    return sum(place.x_advance for place in buffer.glyph_positions) / font.face.upem


@cache
def _fonts() -> dict[str, Any]:
    import uharfbuzz

    made = fonts.static_faces()
    return {name: uharfbuzz.Font(uharfbuzz.Face(made[file])) for name, file in FACES.items()}
