"""A line chart from numbers, for a page: readings over time, limits, what happened, where a fit leads.

Drawn 320 units wide, so that on the narrowest phone a unit is a pixel and the words are as large as the page's own.
Every series has a marker of its own shape and its name at its end, so that nothing hangs on colour.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.drawing.svg import Drawing, Pen, text_width

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    Points = Sequence[tuple[float, float]]

WIDE, HIGH = 320.0, 260.0
LEFT, RIGHT, TOP, BOTTOM = 40.0, 34.0, 34.0, 40.0
SHOWN_PX = 560  # on a screen with room for it
TYPE, LEAST_TYPE = 14.0, 12.0
SMALL = 12.0
AXIS, GRID = Pen(1.4), Pen(0.5)
LINE, LIMIT, EVENT, FIT = Pen(1.6), Pen(1.8, "7 3"), Pen(0.9, "2 3"), Pen(1.2, "4 3")
TICKS = 5
MOST_MARKERS = 24
MARKER = 3.4
STEPS = (1.0, 2.0, 5.0, 10.0)


@dataclass(frozen=True)
class Series:
    """Points (x, y) in order of x with a name that is short enough to stand at their end."""

    name: str
    points: Points


@dataclass(frozen=True)
class Level:
    """A horizontal line at `y`, such as a limit, with its words."""

    y: float
    words: str


@dataclass(frozen=True)
class Event:
    """A vertical line at `x`, with a word or two."""

    x: float
    words: str


@dataclass(frozen=True)
class Lead:
    """Where a fit leads: a curve to draw dashed, and the ends (low, high) of its interval at the right edge."""

    points: Points
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Chart:
    """What is drawn; x and y finite numbers in the units that the axes name."""

    x_words: str
    y_words: str
    series: tuple[Series, ...]
    levels: tuple[Level, ...] = ()
    events: tuple[Event, ...] = ()
    leads: tuple[Lead, ...] = ()


def chart_svg(chart: Chart, *, title: str, said: str) -> str:
    """Draw a chart as one SVG that stands in a page, named by `title` and described by `said`; "" without a point.

    Thousands of points are thinned so that the highest and lowest of each column stay.
    """
    if not any(one.points for one in chart.series):
        return ""
    drawing = Drawing(0.0, 0.0, WIDE, HIGH, least_text=LEAST_TYPE)
    _Plot(chart, drawing).draw()
    return drawing.svg(title=title, said=said, class_="plan", size=f'width="{SHOWN_PX}"')


def thinned(points: Points, columns: int = 240) -> list[tuple[float, float]]:
    """At most two points a column of equal width, its lowest and highest, in order; all of them when they are few."""
    if len(points) <= 2 * columns:
        return list(points)
    first, width = points[0][0], (points[-1][0] - points[0][0]) / columns or 1.0
    kept: dict[int, list[tuple[float, float]]] = {}
    for one in points:
        kept.setdefault(min(int((one[0] - first) / width), columns - 1), []).append(one)
    found: list[tuple[float, float]] = []
    for told in kept.values():
        ends = {min(told, key=lambda one: one[1]), max(told, key=lambda one: one[1])}
        found += sorted(ends)
    return found


def ticks(low: float, high: float, count: int = TICKS) -> list[float]:
    """Round numbers from `low` to `high`, about `count` of them."""
    span = max(high - low, 1e-9)
    raw = span / count
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * one for one in STEPS if power * one >= raw - 1e-12)
    first = math.ceil(low / step - 1e-9)
    return [step * at for at in range(first, math.floor(high / step + 1e-9) + 1)]


class _Plot:
    def __init__(self, chart: Chart, drawing: Drawing) -> None:
        self.chart, self.d = chart, drawing
        xs = [x for points in self._all() for x, _ in points] + [one.x for one in chart.events]
        ys = [y for points in self._all() for _, y in points] + [one.y for one in chart.levels]
        ys += [end for lead in chart.leads for end in (lead.low, lead.high) if end is not None]
        self.x0 = min(xs)
        self.x1 = max(*xs, self.x0 + 1e-6)
        low, high = min(ys), max(ys)
        room = max((high - low) * 0.08, 1.0)
        self.y0, self.y1 = low - room, high + room

    def _all(self) -> Iterator[Points]:
        yield from (one.points for one in self.chart.series)
        yield from (one.points for one in self.chart.leads)

    def at(self, x: float, y: float) -> tuple[float, float]:
        across = (x - self.x0) / (self.x1 - self.x0) * (WIDE - LEFT - RIGHT)
        up = (y - self.y0) / (self.y1 - self.y0) * (HIGH - TOP - BOTTOM)
        return LEFT + across, BOTTOM + up

    def draw(self) -> None:
        self._axes()
        for number, event in enumerate(self.chart.events):
            self._event(event, number)
        for number, level in enumerate(sorted(self.chart.levels, key=lambda one: one.y)):
            _, y = self.at(self.x0, level.y)
            self.d.line(LEFT, y, WIDE - RIGHT, y, LIMIT)
            # Neighbours say their words at different ends, so that limits near each other can be read.
            x, anchor = (WIDE - RIGHT - 2, "end") if number % 2 else (LEFT + 4, "start")
            self.d.text(x, y + SMALL * 0.75, level.words, size=SMALL, anchor=anchor, strong=True)
        for lead in self.chart.leads:
            self._lead(lead)
        ends = [end for number, one in enumerate(self.chart.series) for end in self._series(one, number)]
        below = -SMALL
        for x, y, name in sorted(ends, key=lambda end: end[1]):
            below = max(y, below + SMALL)
            self.d.text(min(x + 7, WIDE - RIGHT + 5), below, name, size=TYPE, anchor="start", strong=True)

    def _axes(self) -> None:
        self.d.line(LEFT, BOTTOM, WIDE - RIGHT, BOTTOM, AXIS)
        self.d.line(LEFT, BOTTOM, LEFT, HIGH - TOP, AXIS)
        for value in ticks(self.y0, self.y1):
            _, y = self.at(self.x0, value)
            self.d.line(LEFT, y, WIDE - RIGHT, y, GRID)
            self.d.text(LEFT - 5, y, f"{value:g}", size=SMALL, anchor="end")
        for value in ticks(self.x0, self.x1):
            x, _ = self.at(value, self.y0)
            self.d.line(x, BOTTOM, x, BOTTOM - 4, AXIS)
            self.d.text(x, BOTTOM - 13, f"{value:g}", size=SMALL)
        self.d.text(WIDE - RIGHT, BOTTOM - 29, self.chart.x_words, size=SMALL, anchor="end")
        self.d.text(4, HIGH - 9, self.chart.y_words, size=SMALL, anchor="start")

    def _event(self, event: Event, number: int) -> None:
        x, _ = self.at(event.x, self.y0)
        self.d.line(x, BOTTOM, x, HIGH - TOP, EVENT)
        # Neighbours stand on two rows, so that three fuellings in an hour can be read.
        y = HIGH - TOP + 7 + (SMALL if number % 2 else 0.0)
        half = text_width(event.words, SMALL) / 2
        self.d.text(min(max(x, half), WIDE - half), y, event.words, size=SMALL)

    def _lead(self, lead: Lead) -> None:
        if len(lead.points) > 1:
            self.d.path([self.at(x, y) for x, y in lead.points], FIT)
        if lead.low is not None and lead.high is not None:
            right = WIDE - RIGHT
            (_, low), (_, high) = self.at(self.x1, lead.low), self.at(self.x1, lead.high)
            self.d.line(right, low, right, high, LINE)
            for y in (low, high):
                self.d.line(right - 5, y, right + 5, y, LINE)

    def _series(self, one: Series, number: int) -> list[tuple[float, float, str]]:
        """Draw a series; gives where its name belongs, nothing for a series without a point."""
        points = thinned(one.points)
        if not points:
            return []
        places = [self.at(x, y) for x, y in points]
        if len(places) > 1:
            self.d.path(places, LINE)
        every = max(1, math.ceil(len(places) / MOST_MARKERS))
        for x, y in places[::every]:
            self._marker(x, y, number)
        return [(*places[-1], one.name)]

    def _marker(self, x: float, y: float, number: int) -> None:
        """A shape of its own for each series: dot, square, triangle, ring."""
        shape = number % 4
        if shape == 0:
            self.d.circle(x, y, MARKER, None, filled=True)
        elif shape == 1:
            self.d.rect(x - MARKER, y - MARKER, 2 * MARKER, 2 * MARKER, None, filled=True)
        elif shape == 2:  # noqa: PLR2004 - the third shape
            self.d.path(
                [(x - MARKER, y - MARKER), (x + MARKER, y - MARKER), (x, y + MARKER)], None, closed=True, filled=True
            )
        else:
            self.d.circle(x, y, MARKER, LINE)
