"""A fire's opening with what stands above and beside it: seen from the front, and cut from the side. Lengths in mm.

Drawn 320 units wide, so that on the narrowest phone a unit is a pixel and the words are as large as the page's own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.drawing.svg import Drawing, Pen

if TYPE_CHECKING:
    from collections.abc import Sequence

WIDE = 320.0
SHOWN_PX = 480  # on a screen with room for it
TALLEST = 340.0
TYPE, LEAST_TYPE = 15.0, 14.0
MARGIN = 34.0
HEAD = 9.0
BAR_MM = 50.0  # how thick something is drawn whose own size nobody asked for
OUTLINE, THIN, ASKED = Pen(2.2), Pen(1.2), Pen(1.2, "5 4")
SIDEWAYS = {"left": -1, "right": 1}
BREAST_MM = 300.0  # how much of the wall the side view shows behind its face


@dataclass(frozen=True)
class Near:
    """Something above, left or right of the opening: its distance and what is asked, how far it stands out; mm."""

    name: str
    place: str
    distance_mm: float
    asked_mm: float | None = None
    projection_mm: float | None = None


def front_svg(width_mm: float, height_mm: float, near: Sequence[Near], *, title: str, said: str) -> str:
    """The opening from the front with each thing at its distance; a dashed line where it is asked to be."""
    sides = [max(one.distance_mm, one.asked_mm or 0.0) for one in near if one.place in SIDEWAYS]
    tops = [max(one.distance_mm, one.asked_mm or 0.0) for one in near if one.place == "above"]
    side = max(sides, default=0.0) + 3 * BAR_MM
    top = max(tops, default=0.0) + 3 * BAR_MM
    across, up = width_mm + 2 * side, height_mm + top
    drawing = _sheet(-across / 2, 0.0, across, up)
    drawing.line(-across / 2, 0.0, across / 2, 0.0, OUTLINE)
    drawing.rect(-width_mm / 2, 0.0, width_mm, height_mm, OUTLINE)
    drawing.text(0.0, height_mm / 2, f"{width_mm:.0f} × {height_mm:.0f}", size=TYPE)
    above = [one for one in near if one.place == "above"]
    for place, one in enumerate(above, 1):
        x = -width_mm / 2 + width_mm * place / (len(above) + 1)
        drawing.rect(-across / 2 + BAR_MM, height_mm + one.distance_mm, across - 2 * BAR_MM, BAR_MM, THIN)
        _measure(drawing, (x, height_mm), (0.0, one.distance_mm), f"{one.distance_mm:.0f}")
        if one.asked_mm is not None:
            y = height_mm + one.asked_mm
            drawing.line(-across / 2 + BAR_MM, y, across / 2 - BAR_MM, y, ASKED)
    for one in near:
        if one.place not in SIDEWAYS:
            continue
        way = SIDEWAYS[one.place]
        edge = way * (width_mm / 2 + one.distance_mm)
        drawing.rect(min(edge, edge + way * BAR_MM), 0.0, BAR_MM, height_mm, THIN)
        _measure(drawing, (way * width_mm / 2, height_mm * 0.3), (way * one.distance_mm, 0.0), f"{one.distance_mm:.0f}")
        if one.asked_mm is not None:
            x = way * (width_mm / 2 + one.asked_mm)
            drawing.line(x, 0.0, x, height_mm, ASKED)
    return drawing.svg(title=title, said=said, class_="plan", size=f'width="{SHOWN_PX}"')


def side_svg(height_mm: float, near: Sequence[Near], *, title: str, said: str) -> str:
    """The wall cut above the opening, with what stands out above it; only what was measured is drawn."""
    above = [one for one in near if one.place == "above" and one.projection_mm is not None]
    top = max((max(one.distance_mm, one.asked_mm or 0.0) for one in above), default=0.0) + 3 * BAR_MM
    out = max((one.projection_mm or 0.0 for one in above), default=0.0)
    across, up = max(BREAST_MM + out + 4 * BAR_MM, 600.0), height_mm + top
    drawing = _sheet(-BREAST_MM, 0.0, across, up)
    drawing.line(-BREAST_MM, 0.0, across - BREAST_MM, 0.0, OUTLINE)
    drawing.path([(-BREAST_MM, height_mm), (0.0, height_mm), (0.0, up)], OUTLINE)
    for one in above:
        deep = one.projection_mm or 0.0
        drawing.rect(0.0, height_mm + one.distance_mm, deep, 2 * BAR_MM, THIN)
        _measure(drawing, (deep / 2, height_mm), (0.0, one.distance_mm), f"{one.distance_mm:.0f}")
        drawing.text(
            deep + BAR_MM / 2,
            height_mm + one.distance_mm + BAR_MM,
            f"{deep:.0f}",
            size=TYPE,
            anchor="start",
            strong=True,
        )
    return drawing.svg(title=title, said=said, class_="plan", size=f'width="{SHOWN_PX}"')


def _sheet(left: float, bottom: float, across: float, up: float) -> Drawing:
    scale = min((WIDE - 2 * MARGIN) / across, TALLEST / up)
    wide, high = WIDE / scale, up + 2 * MARGIN / scale
    return Drawing(left - (wide - across) / 2, bottom - MARGIN / scale, wide, high, scale=scale, least_text=LEAST_TYPE)


def _measure(drawing: Drawing, start: tuple[float, float], along: tuple[float, float], words: str) -> None:
    """An arrow from the opening with its figure beside it."""
    (x, y), (dx, dy) = start, along
    drawing.arrow(x, y, dx, dy, THIN, head=HEAD)
    beside = TYPE / drawing.scale
    if dy:
        drawing.text(x + beside * 0.4, y + dy / 2, words, size=TYPE, anchor="start", strong=True)
    else:
        drawing.text(x + dx / 2, y + beside, words, size=TYPE, strong=True)
