"""The plan of a piece as a line drawing for a page: outline, points, pads, balance point, level line, arrows, sizes.

Drawn 320 units wide, so that on the narrowest phone a unit is a pixel and the words are as large as the page's own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.drawing import labels
from siteapp.drawing.labels import Box, Wanted
from siteapp.drawing.plan_parts import (
    FOUND,
    GONE,
    MADE,
    Plan,
    PlanArrow,
    PlanLine,
    PlanPad,
    PlanPoint,
    from_the_back,
)
from siteapp.drawing.svg import Drawing, Pen, text_width

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = [
    "FOUND",
    "GONE",
    "MADE",
    "Plan",
    "PlanArrow",
    "PlanLine",
    "PlanPad",
    "PlanPoint",
    "from_the_back",
    "plan_svg",
]

WIDE = 320.0
SHOWN_PX = 480  # on a screen with room for it
TALLEST, LOWEST = 380.0, 120.0  # what is drawn to scale, without its margins
LEAST_FIELD_MM = 100.0  # one point alone is not blown up beyond this
TYPE, LEAST_TYPE = 16.0, 14.0
LINE = 19.0  # from one line of a label to the next
LEFT, RIGHT, TOP, BOTTOM = 46.0, 20.0, 26.0, 42.0
LEAST_RADIUS = 4.0  # a hole too small to be seen at this scale is drawn this large
CROSS = 4.0  # how far a centre mark reaches beyond its hole
HEAD = 10.0
TICK = 4.0
SET_OFF = 14.0  # of a dimension line from what it measures
GAP = 3.0

OUTLINE, THIN, FINE = Pen(2.2), Pen(1.3), Pen(0.8)
HIDDEN, CHAIN = Pen(1.3, "5 3"), Pen(1.0, "12 3 2 3")
ARROW = Pen(2.0)


def plan_svg(plan: Plan, *, title: str, said: str) -> str:
    """Draw a plan as one SVG that stands in a page, named by `title` and described by `said`.

    To scale, except that holes too small to be seen are drawn larger. Labels stand beside their points, clear of each
    other where there is room. Everything is drawn, however far out it lies; figures must be finite.
    """
    field = _field(plan)
    across, up = max(field.right - field.left, LEAST_FIELD_MM), max(field.top - field.bottom, LEAST_FIELD_MM)
    scale = min((WIDE - LEFT - RIGHT) / across, TALLEST / up)
    # A low piece gets room above and below for its labels.
    high = max(up * scale, LOWEST) + TOP + BOTTOM
    middle_x, middle_y = (field.left + field.right) / 2, (field.bottom + field.top) / 2
    drawing = Drawing(
        middle_x - (WIDE + LEFT - RIGHT) / 2 / scale,
        middle_y - (high + BOTTOM - TOP) / 2 / scale,
        WIDE / scale,
        high / scale,
        scale=scale,
        least_text=LEAST_TYPE,
    )
    _Draughtsman(plan, drawing).draw()
    return drawing.svg(title=title, said=said, class_="plan", size=f'width="{SHOWN_PX}"')


def _field(plan: Plan) -> Box:
    """The upright rectangle that holds everything drawn to scale."""
    places = [*_places(plan)] or [(0.0, 0.0)]
    xs, ys = [x for x, _ in places], [y for _, y in places]
    return Box(min(xs), min(ys), max(xs), max(ys))


def _places(plan: Plan) -> Iterator[tuple[float, float]]:
    if plan.width_mm and plan.height_mm:
        yield from ((0.0, 0.0), (plan.width_mm, plan.height_mm))
    yield from ((one.x_mm, one.y_mm) for one in plan.points)
    yield from ((one.x_mm, one.y_mm) for one in plan.pads)
    if plan.centre:
        yield plan.centre
    for arrow in plan.arrows:
        yield arrow.x_mm, arrow.y_mm
        yield arrow.x_mm + arrow.dx_mm, arrow.y_mm + arrow.dy_mm
    for line in plan.lines:
        yield line.x1_mm, line.y1_mm
        yield line.x2_mm, line.y2_mm


class _Draughtsman:
    """Draws one plan; remembers what labels must keep clear of."""

    def __init__(self, plan: Plan, drawing: Drawing) -> None:
        self.plan, self.drawing = plan, drawing
        self._field = _field(plan)
        self.mm = 1 / drawing.scale  # one unit of the drawing
        self.taken: list[Box] = []
        self.wanted: list[tuple[Wanted, str, str]] = []
        self.wanted_last: list[tuple[Wanted, str, str]] = []

    def draw(self) -> None:
        self._outline()
        self._level()
        with self.drawing.group("plan-lines"):
            for line in self.plan.lines:
                self._line(line)
        with self.drawing.group("plan-pads"):
            for pad in self.plan.pads:
                self._pad(pad.x_mm, pad.y_mm, pad.label)
        with self.drawing.group("plan-points"):
            for point in self.plan.points:
                self._point(point)
        self._centre()
        with self.drawing.group("plan-arrows"):
            for arrow in self.plan.arrows:
                self._arrow(arrow)
        with self.drawing.group("plan-labels"):
            self._labels()
        self.drawing.text(
            self._right - GAP * self.mm, self._top - TYPE / 2 * self.mm, self.plan.seen, size=LEAST_TYPE, anchor="end"
        )

    @property
    def _top(self) -> float:
        return self.drawing.bottom_mm + self.drawing.height_mm

    @property
    def _right(self) -> float:
        return self.drawing.left_mm + self.drawing.width_mm

    def _keep_clear(self, x1: float, y1: float, x2: float, y2: float) -> None:
        self.taken += labels.along(x1, y1, x2, y2, 1.5 * self.mm)

    def _outline(self) -> None:
        wide, high = self.plan.width_mm, self.plan.height_mm
        if not (wide and high):
            return
        with self.drawing.group("plan-outline"):
            self.drawing.rect(0, 0, wide, high, OUTLINE)
        for x1, y1, x2, y2 in ((0, 0, wide, 0), (wide, 0, wide, high), (0, high, wide, high), (0, 0, 0, high)):
            self._keep_clear(x1, y1, x2, y2)
        below = min(self._field.bottom, 0.0) - SET_OFF * self.mm
        beside = min(self._field.left, 0.0) - SET_OFF * self.mm
        with self.drawing.group("plan-sizes"):
            self._size((0, 0), (wide, 0), (0, below), f"{wide:.0f} mm")
            self._size((0, 0), (0, high), (beside, 0), f"{high:.0f} mm")

    def _size(self, one: tuple[float, float], other: tuple[float, float], off: tuple[float, float], words: str) -> None:
        """A dimension line, set off from what it measures, with its ticks and its figure on the far side."""
        mm = self.mm
        (x1, y1), (x2, y2) = ((x + off[0], y + off[1]) for x, y in (one, other))
        self.drawing.line(x1, y1, x2, y2, FINE)
        for x, y, at in ((x1, y1, one), (x2, y2, other)):
            self.drawing.line(x - TICK * mm, y - TICK * mm, x + TICK * mm, y + TICK * mm, THIN)
            gap_x, gap_y = (GAP * mm if way else 0.0 for way in off)
            self.drawing.line(at[0] - gap_x, at[1] - gap_y, x - gap_x, y - gap_y, FINE)
        upright = off[0] != 0
        middle_x, middle_y = (x1 + x2) / 2, (y1 + y2) / 2
        aside = (LEAST_TYPE / 2 + GAP + 2) * mm
        self.drawing.text(
            middle_x - (aside if upright else 0),
            middle_y - (0 if upright else aside),
            words,
            size=LEAST_TYPE,
            turn_deg=90 if upright else 0,
        )
        room = (LEAST_TYPE / 2 + 1) * mm
        self.taken += [*labels.along(x1, y1, x2, y2, 2 * mm)]
        half = text_width(words, LEAST_TYPE) * mm / 2
        wide, high = (room, half) if upright else (half, room)
        x, y = middle_x - (aside if upright else 0), middle_y - (0 if upright else aside)
        self.taken.append(Box(x - wide, y - high, x + wide, y + high))

    def _level(self) -> None:
        if self.plan.level_mm is None:
            return
        y = self.plan.level_mm
        left, right = self.drawing.left_mm + LEFT / 2 * self.mm, self._right - 2 * self.mm
        with self.drawing.group("plan-level"):
            self.drawing.line(left, y, right, y, CHAIN)
        self._keep_clear(left, y, right, y)
        start, end = self._field.left, min(right, self._field.right)
        along = tuple((end + (start - end) * step / 5, y) for step in range(1, 5))
        self._want(end, y, 0, "", self.plan.level_words, also=along)

    def _line(self, line: PlanLine) -> None:
        ends = line.x1_mm, line.y1_mm, line.x2_mm, line.y2_mm
        self.drawing.line(*ends, HIDDEN if line.hidden else THIN)
        self._keep_clear(*ends)
        self._want((ends[0] + ends[2]) / 2, (ends[1] + ends[3]) / 2, 0, "", line.label)

    def _pad(self, x: float, y: float, label: str) -> None:
        """A square with one diagonal, as bearing pads are drawn."""
        half = 5 * self.mm
        self.drawing.rect(x - half, y - half, 2 * half, 2 * half, THIN)
        self.drawing.line(x - half, y - half, x + half, y + half, THIN)
        self.taken.append(labels.around(x, y, half))
        self._want(x, y, half, label)

    def _point(self, point: PlanPoint) -> None:
        x, y = point.x_mm, point.y_mm
        least = 2 * LEAST_RADIUS * self.mm
        hole = max(point.hole_mm or 0.0, least)
        slot = hole + max(point.slot_mm, 1.2 * least) if point.slot_mm > 0 else 0.0
        reach = max(hole, slot) / 2 + (CROSS if point.kind == MADE else 0) * self.mm
        ring = THIN if point.kind == MADE else HIDDEN
        self.drawing.slot(x, y, hole, slot, point.slot_deg, ring)
        if point.kind == MADE:
            self.drawing.line(x - reach, y, x + reach, y, FINE)
            self.drawing.line(x, y - reach, x, y + reach, FINE)
        elif point.kind == FOUND:
            arm = hole / 2
            self.drawing.line(x - arm, y - arm, x + arm, y + arm, THIN)
            self.drawing.line(x - arm, y + arm, x + arm, y - arm, THIN)
        self.taken.append(labels.around(x, y, reach))
        self._want(x, y, hole / 2, point.label, point.note)

    def _centre(self) -> None:
        if self.plan.centre is None:
            return
        x, y = self.plan.centre
        radius = 7 * self.mm
        with self.drawing.group("plan-centre"):
            # Ring and quarters, the usual sign for a centre of gravity.
            self.drawing.circle(x, y, radius, THIN)
            for way in (1, -1):
                quarter = [(x, y), *_arc(x, y, radius, way)]
                self.drawing.path(quarter, None, closed=True, filled=True)
        self.taken.append(labels.around(x, y, radius))
        self._want(x, y, radius, "", self.plan.centre_words)

    def _arrow(self, arrow: PlanArrow) -> None:
        tip = arrow.x_mm + arrow.dx_mm, arrow.y_mm + arrow.dy_mm
        self.drawing.arrow(arrow.x_mm, arrow.y_mm, arrow.dx_mm, arrow.dy_mm, ARROW, head=HEAD)
        self._keep_clear(arrow.x_mm, arrow.y_mm, *tip)
        self._want(*tip, 2 * self.mm, "", arrow.label)

    def _want(
        self,
        x: float,
        y: float,
        clear: float,
        label: str,
        note: str = "",
        *,
        also: tuple[tuple[float, float], ...] = (),
    ) -> None:
        """Ask for a label: a strong line with the name, a plain one, or both; named places choose first."""
        lines = [one for one in (label, note) if one]
        if lines:
            wide = max(text_width(label, TYPE) * 1.05, text_width(note, LEAST_TYPE))
            size = wide * self.mm, (LINE * len(lines) - 3) * self.mm
            (self.wanted if label else self.wanted_last).append((Wanted(x, y, clear, *size, also), label, note))

    def _labels(self) -> None:
        mm = self.mm
        inside = Box(
            self.drawing.left_mm + LEFT / 2 * mm,
            self.drawing.bottom_mm + BOTTOM / 2 * mm,
            self._right - 2 * mm,
            self._top - (TYPE + 4) * mm,
        )
        wanted_all = [*self.wanted, *self.wanted_last]
        placed = labels.place([one for one, _, _ in wanted_all], self.taken, inside, GAP * mm)
        for (wanted, label, note), there in zip(wanted_all, placed, strict=True):
            box = there.box
            if there.away:
                near = min(max(there.point[0], box.left), box.right), min(max(there.point[1], box.bottom), box.top)
                self.drawing.line(*there.point, *near, FINE)
            leftward = (box.left + box.right) / 2 < there.point[0] - wanted.width / 4
            anchor, x = ("end", box.right) if leftward else ("start", box.left)
            y = box.top - (LINE - 3) / 2 * mm
            if label:
                self.drawing.text(x, y, label, size=TYPE, anchor=anchor, strong=True)
                y -= LINE * mm
            if note:
                self.drawing.text(x, y, note, size=LEAST_TYPE, anchor=anchor)


def _arc(x: float, y: float, radius: float, way: int) -> list[tuple[float, float]]:
    """A quarter of a circle as short straight lines, upper right or lower left."""
    quarter = ((1.0, 0.0), (0.924, 0.383), (0.707, 0.707), (0.383, 0.924), (0.0, 1.0))
    return [(x + way * radius * across, y + way * radius * up) for across, up in quarter]
