"""The drawing of a fixing pack: the piece's outline on the wall, its anchors and the datum, as one faces the wall."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.drawing import labels
from siteapp.drawing.labels import Box, Wanted
from siteapp.drawing.svg import Drawing, Pen, text_width

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.documents.fixing_pack.records import FixingPack

    Say = Callable[[str], str]

# All in mm on paper.
TALLEST, LOWEST = 116.0, 62.0
ASIDE, ABOVE = 18.0, 15.0  # room around what is to scale, for labels
FAR = 3.0  # a label further than this from its point gets a line to it
TYPE, SMALL = 3.5, 2.9
LINE = 4.0  # from one line of a label to the next
RADIUS, CROSS = 1.1, 1.6
OUTLINE, THIN, FINE = Pen(0.55), Pen(0.3), Pen(0.18)
CHAIN, DASHED = Pen(0.25, "5 1.2 1 1.2"), Pen(0.25, "2 1.4")
HEAD = 2.6
SHORT_ARROW = 14.0
MOST_WITH_PLACES = 16  # with more points their places stand in the table alone
# A datum so far off that the piece would shrink below this share of the drawing is pointed at instead.
LEAST_SHARE = 0.34


def drawing(record: FixingPack, width_mm: float, say: Say) -> str:
    """Draw the anchors' places `width_mm` wide, as an SVG for the page. To scale; figures must be finite."""
    made = _Draughtsman(record, width_mm, say)
    made.draw()
    said = say("Outline of the piece with %(count)s anchors, measured from the datum, as one faces the wall") % {
        "count": len(record.points)
    }
    size = f'width="{width_mm:.2f}mm" height="{made.paper.height_mm * made.scale:.2f}mm" font-family="Paper Sans"'
    return made.paper.svg(title=say("Where the anchors go"), said=said, class_="plan", size=size)


class _Draughtsman:
    """Draws one wall; millimetres of the wall from the datum, one unit of the drawing is a millimetre on paper."""

    def __init__(self, record: FixingPack, width_mm: float, say: Say) -> None:
        self.record, self.say = record, say
        piece = self._piece()
        whole = Box(min(piece.left, 0), min(piece.bottom, 0), max(piece.right, 0), max(piece.top, 0))
        self.near = min(_span(piece) / _span(whole), 1.0) >= LEAST_SHARE
        field = whole if self.near else piece
        across, up = max(field.right - field.left, 100.0), max(field.top - field.bottom, 100.0)
        self.scale = min((width_mm - 2 * ASIDE) / across, (TALLEST - 2 * ABOVE) / up)
        high = max(up * self.scale + 2 * ABOVE, LOWEST)
        middle = (field.left + field.right) / 2, (field.bottom + field.top) / 2
        self.mm = 1 / self.scale
        self.paper = Drawing(
            middle[0] - width_mm / 2 * self.mm,
            middle[1] - high / 2 * self.mm,
            width_mm * self.mm,
            high * self.mm,
            scale=self.scale,
            least_text=SMALL,
        )
        self.taken: list[Box] = []
        self.wanted: list[tuple[Wanted, tuple[str, ...]]] = []

    def draw(self) -> None:
        for point in self.record.points:
            self._point(point.label, point.x_mm, point.y_mm, point.hole_mm, point.slot_mm, point.slot_deg)
        if self.near:
            self._datum()
        else:
            self._towards_datum()
        # Their words stand wherever points and datum leave room.
        self._outline()
        self._level()
        self._labels()

    def _piece(self) -> Box:
        """The piece's outline and all its points."""
        said = self.record
        xs, ys = [said.corner_x_mm], [said.corner_y_mm]
        if said.sizes.width_mm and said.sizes.height_mm:
            xs.append(said.corner_x_mm + said.sizes.width_mm)
            ys.append(said.corner_y_mm + said.sizes.height_mm)
        xs += [point.x_mm for point in said.points]
        ys += [point.y_mm for point in said.points]
        return Box(min(xs), min(ys), max(xs), max(ys))

    def _outline(self) -> None:
        said = self.record
        wide, high = said.sizes.width_mm, said.sizes.height_mm
        if not (wide and high):
            return
        left, bottom = said.corner_x_mm, said.corner_y_mm
        self.paper.rect(left, bottom, wide, high, OUTLINE)
        right, top = left + wide, bottom + high
        for ends in (
            (left, bottom, right, bottom),
            (right, bottom, right, top),
            (left, top, right, top),
            (left, bottom, left, top),
        ):
            self.taken += labels.along(*ends, self.mm)
        words = self.say("outline of the piece, %(wide)s × %(high)s mm") % {
            "wide": pages.figure(wide, 0),
            "high": pages.figure(high, 0),
        }
        self._want(
            (left + right) / 2, bottom, 0.5, (words,), also=((left + wide / 4, bottom), (right - wide / 4, bottom))
        )

    def _level(self) -> None:
        if self.record.level_mm is None:
            return
        y = self.record.level_mm
        left, right = self.paper.left_mm, self.paper.left_mm + self.paper.width_mm
        if not self.paper.bottom_mm < y < self.paper.bottom_mm + self.paper.height_mm:
            return
        self.paper.line(left, y, right, y, CHAIN)
        self.taken += labels.along(left, y, right, y, 0.8 * self.mm)
        words = self.say("level line, %s mm above the datum") % pages.figure(y)
        also = tuple((left + (right - left) * step / 8, y) for step in range(2, 8))
        self._want(left + (right - left) / 8, y, 0.5, (words,), also=also)

    def _point(self, label: str, x: float, y: float, hole: float | None, slot: float, turn: float) -> None:
        across = max(hole or 0.0, 2 * RADIUS * self.mm)
        along = across + max(slot, 2 * RADIUS * self.mm) if slot > 0 else across
        reach = max(across, along) / 2 + CROSS * self.mm
        self.paper.slot(x, y, across, along, turn, THIN)
        self.paper.line(x - reach, y, x + reach, y, FINE)
        self.paper.line(x, y - reach, x, y + reach, FINE)
        self.taken.append(labels.around(x, y, reach))
        places = (f"x {pages.figure(x)} · y {pages.figure(y)}",) if len(self.record.points) <= MOST_WITH_PLACES else ()
        self._want(x, y, RADIUS + 0.6, (label, *places))

    def _datum(self) -> None:
        """The datum with the two ways that are measured from it."""
        arm = 3.0 * self.mm
        self.paper.circle(0, 0, 1.4 * self.mm, THIN)
        self.paper.line(-arm, 0, arm, 0, THIN)
        self.paper.line(0, -arm, 0, arm, THIN)
        for dx, dy, words in ((SHORT_ARROW, 0.0, "x"), (0.0, SHORT_ARROW, "y")):
            self.paper.arrow(0, 0, dx * self.mm, dy * self.mm, THIN, head=HEAD)
            self.taken += labels.along(0, 0, dx * self.mm, dy * self.mm, 0.8 * self.mm)
            self._want(dx * self.mm, dy * self.mm, 0.6, (words,))
        self.taken.append(labels.around(0, 0, arm))
        self._want(0, 0, 1.8, (self.say("datum"), "x 0 · y 0"))

    def _towards_datum(self) -> None:
        """An arrow from the piece's corner towards a datum that lies off the drawing."""
        x, y = self.record.corner_x_mm, self.record.corner_y_mm
        furthest = max(abs(x), abs(y))
        length = SHORT_ARROW * self.mm / furthest
        self.paper.arrow(x, y, -x * length, -y * length, THIN, head=HEAD)
        self.taken += labels.along(x, y, x - x * length, y - y * length, 0.8 * self.mm)
        corner = self.say("lower left corner: x %(x)s · y %(y)s from the datum") % {
            "x": pages.figure(x),
            "y": pages.figure(y),
        }
        tip = x - x * length, y - y * length
        self._want(*tip, 0.8, (corner, self.say("the datum lies off this drawing")))

    def _want(
        self, x: float, y: float, clear: float, words: tuple[str, ...], also: tuple[tuple[float, float], ...] = ()
    ) -> None:
        wide = max(text_width(line, TYPE if place == 0 else SMALL) for place, line in enumerate(words))
        size = wide * self.mm, (TYPE + LINE * (len(words) - 1) + 0.6) * self.mm
        self.wanted.append((Wanted(x, y, clear * self.mm, *size, also=also), words))

    def _labels(self) -> None:
        paper = self.paper
        within = Box(paper.left_mm, paper.bottom_mm, paper.left_mm + paper.width_mm, paper.bottom_mm + paper.height_mm)
        placed = labels.place([wanted for wanted, _words in self.wanted], self.taken, within, 0.9 * self.mm)
        for (wanted, words), where in zip(self.wanted, placed, strict=True):
            box = where.box
            near = min(max(where.point[0], box.left), box.right), min(max(where.point[1], box.bottom), box.top)
            if math.dist(near, where.point) > FAR * self.mm + wanted.clear:
                paper.line(*where.point, *near, FINE)
            on_left = box.right <= where.point[0]
            for place, line in enumerate(words):
                y = box.top - (TYPE / 2 + 0.3 + place * LINE) * self.mm
                x, anchor = (box.right, "end") if on_left else (box.left, "start")
                strong = place == 0 and len(words) > 1
                paper.text(x, y, line, size=TYPE if place == 0 else SMALL, anchor=anchor, strong=strong)


def _span(box: Box) -> float:
    return max(box.right - box.left, box.top - box.bottom)
