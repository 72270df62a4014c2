"""A fixing template on sheets of paper, full size: each sheet as one SVG in mm, and the map of all of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.drawing import labels
from siteapp.drawing.labels import Box, Wanted
from siteapp.drawing.svg import Drawing, Pen, text_width
from siteapp.drawing.template import size_words, trimmed

if TYPE_CHECKING:
    from siteapp.drawing.plan import PlanPoint
    from siteapp.drawing.template import Say, Template
    from siteapp.trade.tiling import Layout, Tile

# Pens and type in mm of paper.
THICK, THIN, FINE = Pen(0.6), Pen(0.25), Pen(0.13)
CHAIN, SEAM = Pen(0.3, "9 1.5 1.5 1.5"), Pen(0.18, "2 1.5")
NAME, TYPE, LEAST_TYPE = 7.0, 3.4, 2.8
LINE = 4.6
ARM_MM = 12.0  # of a hole's centre mark, beyond the hole
CROSS_MM, RING_MM = 6.0, 2.5  # registration: half a cross, the ring about its middle; less where the overlap is narrow
RULE_MM = 100.0
TICK_MM = 2.0
BLOCK = (112.0, 31.0)  # what a sheet says of itself, with its rule
PLACES = 5  # tried along each edge for it
SQUARE_MM = 100.0


@dataclass(frozen=True)
class Crossing:
    """A registration cross that two sheets share, in mm of the drawing, and the numbers of the sheets."""

    x_mm: float
    y_mm: float
    name: str


def sheet_svg(template: Template, laid: Layout, number: int, *, margin_mm: float, overlap_mm: float, say: Say) -> str:
    """Draw sheet `number` (from 1) of a template cut by `trade.tiling.layout(…)` over its field, as it lies.

    The SVG is the whole page in mm. The tile's lower left corner stands `margin_mm` from the page's; places on it are
    true to a thousandth of a millimetre.
    """
    tile = laid.tiles[number - 1]
    left, bottom, _right, _top = template.field
    x, y = left + tile.x_mm, bottom + tile.y_mm
    drawing = Drawing(x - margin_mm, y - margin_mm, *laid.page, least_text=LEAST_TYPE)
    sheet = _Sheet(template, drawing, Box(x, y, x + tile.width_mm, y + tile.height_mm), say)
    with drawing.clip(f"tile-{number}", x, y, tile.width_mm, tile.height_mm):
        sheet.level_and_outline()
        sheet.datum()
        sheet.points()
    sheet.edges(tile, laid, overlap_mm)
    for cross in crossings(template, laid, overlap_mm):
        sheet.cross(cross, min(CROSS_MM, overlap_mm / 2))
    inside = Box(x, y, x + laid.page[0] - 2 * margin_mm, y + laid.page[1] - 2 * margin_mm)
    sheet.block(tile, laid, number, inside)
    title = say("Sheet %(number)s of %(count)s") % {"number": number, "count": len(laid.tiles)}
    said = say("Full size, as seen from the front.")
    size = f'width="{laid.page[0]:g}mm" height="{laid.page[1]:g}mm" font-family="Paper Sans"'
    return drawing.svg(title=title, said=said, class_="sheet", size=size)


def crossings(template: Template, laid: Layout, overlap_mm: float) -> list[Crossing]:
    """Where registration crosses stand: two on every seam between two sheets, in the middle of what they share."""
    left, bottom, _right, _top = template.field
    found = []
    for place, tile in enumerate(laid.tiles):
        number = place + 1
        if tile.column + 1 < laid.columns and overlap_mm:
            x = tile.x_mm + tile.width_mm - overlap_mm / 2
            for letter, share in zip("ab", (0.25, 0.75), strict=True):
                name = f"{number}–{number + 1}{letter}"
                found.append(Crossing(left + x, bottom + tile.y_mm + share * tile.height_mm, name))
        if tile.row + 1 < laid.rows and overlap_mm:
            y = tile.y_mm + tile.height_mm - overlap_mm / 2
            for letter, share in zip("ab", (0.25, 0.75), strict=True):
                name = f"{number}–{number + laid.columns}{letter}"
                found.append(Crossing(left + tile.x_mm + share * tile.width_mm, bottom + y, name))
    return found


def map_svg(
    template: Template, laid: Layout, *, overlap_mm: float, width_mm: float, tallest_mm: float, say: Say
) -> str:
    """Draw how the sheets lie, each with its number, over outline, points and level line; at most this large."""
    left, bottom, right, top = template.field
    scale = min(width_mm / (right - left), tallest_mm / (top - bottom))
    drawing = Drawing(left, bottom, right - left, top - bottom, scale=scale, least_text=2.0)
    for number, tile in enumerate(laid.tiles, 1):
        x, y = left + tile.x_mm, bottom + tile.y_mm
        drawing.rect(x, y, tile.width_mm, tile.height_mm, FINE)
        letter = max(2.0, min(6.0, 0.25 * scale * min(tile.width_mm, tile.height_mm)))
        # In the part that no neighbour covers.
        inset = min(overlap_mm, tile.width_mm / 2, tile.height_mm / 2) + letter / scale
        drawing.text(x + inset, y + inset, str(number), size=letter)
    if template.width_mm and template.height_mm:
        drawing.rect(0, 0, template.width_mm, template.height_mm, THICK)
    drawing.line(left, template.level_mm, right, template.level_mm, CHAIN)
    for point in template.points:
        radius = 1.2 / scale
        drawing.circle(point.x_mm, point.y_mm, radius, THIN)
        drawing.text(
            point.x_mm + 1.5 * radius, point.y_mm + 2 * radius, point.label, size=2.8, anchor="start", strong=True
        )
    size = f'width="{(right - left) * scale:.2f}mm" height="{(top - bottom) * scale:.2f}mm" font-family="Paper Sans"'
    title = say("How the sheets lie, as seen from the front")
    return drawing.svg(
        title=title, said=say("%s sheets, numbered from the lower left.") % len(laid.tiles), class_="map", size=size
    )


def square_svg(say: Say) -> str:
    """Draw a square of exactly 100 mm, to be measured before anything is drilled."""
    drawing = Drawing(-1, -1, SQUARE_MM + 2, SQUARE_MM + 2, least_text=LEAST_TYPE)
    drawing.rect(0, 0, SQUARE_MM, SQUARE_MM, THIN)
    drawing.text(SQUARE_MM / 2, SQUARE_MM / 2 + LINE, say("100 mm × 100 mm"), size=5.0, strong=True)
    for line, words in enumerate(
        (say("Measure both ways before you drill."), say("If it is not, print again at 100 %."))
    ):
        drawing.text(SQUARE_MM / 2, SQUARE_MM / 2 - LINE - line * LINE, words, size=TYPE)
    size = f'width="{drawing.width_mm:g}mm" height="{drawing.height_mm:g}mm" font-family="Paper Sans"'
    return drawing.svg(title=say("A square of 100 mm"), said=say("To check the printer."), class_="square", size=size)


class _Sheet:
    """Draws one sheet; remembers what its words must keep clear of."""

    def __init__(self, template: Template, drawing: Drawing, tile: Box, say: Say) -> None:
        self.template, self.drawing, self.tile, self.say = template, drawing, tile, say
        self.taken: list[Box] = []

    def level_and_outline(self) -> None:
        wide, high, level = self.template.width_mm, self.template.height_mm, self.template.level_mm
        if wide and high:
            self.drawing.rect(0, 0, wide, high, THICK)
            for x1, y1, x2, y2 in ((0, 0, wide, 0), (wide, 0, wide, high), (0, high, wide, high), (0, 0, 0, high)):
                self.taken += labels.along(x1, y1, x2, y2, 1.0)
        if not self.tile.bottom < level < self.tile.top:
            return
        self.drawing.line(self.tile.left, level, self.tile.right, level, CHAIN)
        self.taken += labels.along(self.tile.left, level, self.tile.right, level, 1.0)
        words = self.say("level, %s mm above the datum") % trimmed(level - self.template.datum[1])
        middle = (self.tile.left + self.tile.right) / 2
        self._beside([(middle, level, 0.5, [(words, TYPE, False)])])

    def datum(self) -> None:
        x, y = self.template.datum
        if not labels.around(x, y, ARM_MM).shared(self.tile):
            return
        self.drawing.line(x - ARM_MM, y, x + ARM_MM, y, THIN)
        self.drawing.line(x, y - ARM_MM, x, y + ARM_MM, THIN)
        self.drawing.path([(x, y), (x + 4, y), (x, y + 4)], None, closed=True, filled=True)
        self.drawing.path([(x, y), (x - 4, y), (x, y - 4)], None, closed=True, filled=True)
        if self._shows(x, y):
            self.taken.append(labels.around(x, y, ARM_MM))
            words = [(self.say("datum"), TYPE, True)]
            if self.template.datum_words:
                words.append((self.template.datum_words[:48], LEAST_TYPE, False))
            self._beside([(x, y, 4, words)])

    def points(self) -> None:
        wanted = []
        for point in self.template.points:
            x, y = point.x_mm, point.y_mm
            hole = ((point.hole_mm or 0.0) + point.slot_mm) / 2
            reach = hole + ARM_MM
            if not labels.around(x, y, reach).shared(self.tile):
                continue
            if point.hole_mm:
                self.drawing.slot(x, y, point.hole_mm, point.hole_mm + point.slot_mm, point.slot_deg, THIN)
            self.drawing.line(x - reach, y, x + reach, y, THIN)
            self.drawing.line(x, y - reach, x, y + reach, THIN)
            self.taken += [labels.around(x, y, hole), *labels.along(x - reach, y, x + reach, y, 0.6)]
            self.taken += labels.along(x, y - reach, x, y + reach, 0.6)
            if self._shows(x, y):
                wanted.append((x, y, max(hole, 2.0), self._words(point)))
        self._beside(wanted)

    def _words(self, point: PlanPoint) -> list[tuple[str, float, bool]]:
        across, up = self.template.from_datum(point)
        lines = [
            (point.label, NAME, True),
            (size_words(point, self.say), TYPE, False),
            (self.say("x %(x)s, y %(y)s mm") % {"x": trimmed(across), "y": trimmed(up)}, TYPE, False),
        ]
        return [*lines, (point.note[:40], LEAST_TYPE, False)] if point.note else lines

    def edges(self, tile: Tile, laid: Layout, overlap_mm: float) -> None:
        """The tile's own edge, and dashed where the edges of its neighbours come to lie."""
        box = self.tile
        self.drawing.rect(box.left, box.bottom, box.right - box.left, box.top - box.bottom, FINE)
        seams = (
            (tile.column + 1 < laid.columns, (box.right - overlap_mm, box.bottom, box.right - overlap_mm, box.top)),
            (tile.column > 0, (box.left + overlap_mm, box.bottom, box.left + overlap_mm, box.top)),
            (tile.row + 1 < laid.rows, (box.left, box.top - overlap_mm, box.right, box.top - overlap_mm)),
            (tile.row > 0, (box.left, box.bottom + overlap_mm, box.right, box.bottom + overlap_mm)),
        )
        for there, (x1, y1, x2, y2) in seams:
            if there:
                self.drawing.line(x1, y1, x2, y2, SEAM)
                self.taken += labels.along(x1, y1, x2, y2, 0.5)

    def cross(self, cross: Crossing, arm_mm: float) -> None:
        x, y = cross.x_mm, cross.y_mm
        if not self._shows(x, y):
            return
        self.drawing.line(x - arm_mm, y, x + arm_mm, y, THIN)
        self.drawing.line(x, y - arm_mm, x, y + arm_mm, THIN)
        self.drawing.circle(x, y, min(RING_MM, arm_mm / 2), THIN)
        self.taken.append(labels.around(x, y, arm_mm))
        self._beside([(x, y, arm_mm * 0.6, [(cross.name, LEAST_TYPE, False)])])

    def block(self, tile: Tile, laid: Layout, number: int, inside: Box) -> None:
        """What the sheet says of itself, where it covers least, over a rule of 100 mm."""
        wide, high = min(BLOCK[0], inside.right - inside.left), BLOCK[1]
        spare_x, spare_y = inside.right - inside.left - wide, inside.top - inside.bottom - high
        tried = [
            Box(x, y, x + wide, y + high)
            for up in range(PLACES)
            for across in range(PLACES)
            for x, y in [
                (inside.left + spare_x * across / (PLACES - 1), inside.bottom + spare_y * up / (PLACES - 1)),
            ]
        ]
        # Best of all on the paper beside the tile, where it covers nothing of the drawing.
        at = min(tried, key=lambda box: sum(box.shared(other) for other in self.taken) + box.shared(self.tile) / 1000)
        say, x, y = self.say, at.left + 4, at.top - 4
        lines = (
            (say("Sheet %(number)s of %(count)s") % {"number": number, "count": len(laid.tiles)}, 5.0, True),
            (
                say("column %(column)s of %(columns)s from the left, row %(row)s of %(rows)s from below")
                % {"column": tile.column + 1, "columns": laid.columns, "row": tile.row + 1, "rows": laid.rows},
                LEAST_TYPE,
                False,
            ),
            (self.template.heading[:70], LEAST_TYPE, False),
            (say("As seen from the front: hold against the wall, this way up."), TYPE, True),
        )
        for words, size, strong in lines:
            self.drawing.text(x, y, words, size=size, anchor="start", strong=strong)
            y -= LINE
        self.drawing.arrow(at.right - 5, at.top - 12, 0, 10, THICK, head=4)
        if wide >= RULE_MM:
            self.rule(x, at.bottom + 3)

    def rule(self, x: float, y: float) -> None:
        """A line of exactly 100 mm, ticked at both ends."""
        self.drawing.line(x, y, x + RULE_MM, y, THIN)
        for at in (x, x + RULE_MM):
            self.drawing.line(at, y - TICK_MM, at, y + TICK_MM, THIN)
        self.drawing.text(x + RULE_MM / 2, y + 2.4, self.say("100 mm"), size=LEAST_TYPE)

    def _shows(self, x: float, y: float) -> bool:
        return self.tile.left <= x <= self.tile.right and self.tile.bottom <= y <= self.tile.top

    def _beside(self, wanted: list[tuple[float, float, float, list[tuple[str, float, bool]]]]) -> None:
        """Write a few lines beside each place, clear of what is there and within the tile."""
        sizes = [
            Wanted(
                x,
                y,
                clear,
                max(text_width(words, size) * (1.05 if strong else 1.0) for words, size, strong in lines),
                sum(size * 1.35 for _words, size, _strong in lines),
            )
            for x, y, clear, lines in wanted
        ]
        for (_x, _y, _clear, lines), placed in zip(
            wanted, labels.place(sizes, self.taken, self.tile, 1.0), strict=True
        ):
            box = placed.box
            self.taken.append(box)
            y = box.top
            for words, size, strong in lines:
                self.drawing.text(box.left, y - size * 0.675, words, size=size, anchor="start", strong=strong)
                y -= size * 1.35
            if placed.away:
                near = min(max(placed.point[0], box.left), box.right), min(max(placed.point[1], box.bottom), box.top)
                self.drawing.line(*placed.point, *near, FINE)
