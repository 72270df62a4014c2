"""A small SVG writer: millimetres with y up, as on a workshop drawing; presentation attributes, never styles.

Every line and letter is `currentColor`, so that one drawing reads on paper, on a bright screen and on a dark one.
"""

from __future__ import annotations

import hashlib
import math
import re
import unicodedata
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape, quoteattr

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

# XML holds no control characters, whatever somebody typed.
CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
# Of the type's size: a letter of a plain sans serif in the mean, a wide one (CJK), the capitals' height.
LETTER, WIDE_LETTER, CAPITAL = 0.56, 1.0, 0.7
WIDEST = frozenset("mwMW%@")  # Latin letters that are as wide in some faces
ARROW_SLIMNESS = 0.32
PLACES = 3


@dataclass(frozen=True)
class Pen:
    """How a line is drawn: width and dashes in the drawing's units."""

    width: float
    dash: str = ""


class Drawing:
    """Gathers lines and words of one drawing.

    The field shown runs from (`left_mm`, `bottom_mm`) over `width_mm` × `height_mm`, y up. `scale` is the drawing's
    units per millimetre: type sizes and pens are in units, everything else is in mm. Words smaller than `least_text`
    units are refused (ValueError), so that nobody draws what cannot be read.
    """

    def __init__(
        self,
        left_mm: float,
        bottom_mm: float,
        width_mm: float,
        height_mm: float,
        *,
        scale: float = 1.0,
        least_text: float = 0.0,
    ) -> None:
        self.left_mm, self.bottom_mm, self.width_mm, self.height_mm = left_mm, bottom_mm, width_mm, height_mm
        self.scale = scale
        self.least_text = least_text
        self._parts: list[str] = []

    def at(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Where a place in mm lies in units from the upper left."""
        return (x_mm - self.left_mm) * self.scale, (self.bottom_mm + self.height_mm - y_mm) * self.scale

    @contextmanager
    def group(self, class_: str) -> Iterator[None]:
        """Put what is drawn meanwhile into a group with this class."""
        self._parts.append(f"<g class={quoteattr(class_)}>")
        yield
        self._parts.append("</g>")

    @contextmanager
    def clip(self, name: str, left_mm: float, bottom_mm: float, width_mm: float, height_mm: float) -> Iterator[None]:
        """Show of what is drawn meanwhile only what lies within a rectangle; `name` is unique in the document."""
        x, y = self.at(left_mm, bottom_mm + height_mm)
        size = f'width="{_n(width_mm * self.scale)}" height="{_n(height_mm * self.scale)}"'
        self._parts.append(
            f'<clipPath id={quoteattr(name)}><rect x="{_n(x)}" y="{_n(y)}" {size}/></clipPath>'
            f"<g clip-path={quoteattr(f'url(#{name})')}>"
        )
        yield
        self._parts.append("</g>")

    def line(self, x1_mm: float, y1_mm: float, x2_mm: float, y2_mm: float, pen: Pen) -> None:
        """Draw a straight line."""
        (x1, y1), (x2, y2) = self.at(x1_mm, y1_mm), self.at(x2_mm, y2_mm)
        self._parts.append(f'<line x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}" {_stroke(pen)}/>')

    def circle(self, x_mm: float, y_mm: float, radius_mm: float, pen: Pen | None, *, filled: bool = False) -> None:
        """Draw a circle about a place; without a pen only its filling."""
        x, y = self.at(x_mm, y_mm)
        self._parts.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius_mm * self.scale)}" {_look(pen, filled)}/>')

    def rect(
        self,
        left_mm: float,
        bottom_mm: float,
        width_mm: float,
        height_mm: float,
        pen: Pen | None,
        *,
        filled: bool = False,
    ) -> None:
        """Draw a rectangle from its lower left corner."""
        x, y = self.at(left_mm, bottom_mm + height_mm)
        size = f'width="{_n(width_mm * self.scale)}" height="{_n(height_mm * self.scale)}"'
        self._parts.append(f'<rect x="{_n(x)}" y="{_n(y)}" {size} {_look(pen, filled)}/>')

    def path(
        self, places: Sequence[tuple[float, float]], pen: Pen | None, *, closed: bool = False, filled: bool = False
    ) -> None:
        """Draw straight lines from place to place."""
        drawn = "L".join(f"{_n(x)} {_n(y)}" for x, y in (self.at(*place) for place in places))
        self._parts.append(f'<path d="M{drawn}{"Z" if closed else ""}" {_look(pen, filled)}/>')

    def slot(self, x_mm: float, y_mm: float, across_mm: float, along_mm: float, turn_deg: float, pen: Pen) -> None:
        """Draw a slot with round ends about its middle: `across_mm` wide, `along_mm` long over all.

        `turn_deg` turns it from lying along x, against the clock. One that is not longer than wide is a circle.
        """
        half = (along_mm - across_mm) / 2
        if half <= 0:
            self.circle(x_mm, y_mm, across_mm / 2, pen)
            return
        turn = math.radians(turn_deg)
        radius = across_mm / 2
        ends = [
            self.at(
                x_mm + way * half * math.cos(turn) - side * radius * math.sin(turn),
                y_mm + way * half * math.sin(turn) + side * radius * math.cos(turn),
            )
            for way, side in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = ends
        arc = f"A{_n(radius * self.scale)} {_n(radius * self.scale)} 0 0 0"
        drawn = f"M{_n(ax)} {_n(ay)}L{_n(bx)} {_n(by)}{arc} {_n(cx)} {_n(cy)}L{_n(dx)} {_n(dy)}{arc} {_n(ax)} {_n(ay)}Z"
        self._parts.append(f'<path d="{drawn}" {_look(pen, filled=False)}/>')

    def arrow(self, x_mm: float, y_mm: float, dx_mm: float, dy_mm: float, pen: Pen, *, head: float) -> None:
        """Draw an arrow from a place; its tip stands exactly (`dx_mm`, `dy_mm`) from there.

        `head` is the head's length in units, at most the arrow's own. An arrow of no length draws nothing.
        """
        length = math.hypot(dx_mm, dy_mm)
        if not length:
            return
        along_x, along_y = dx_mm / length, dy_mm / length
        head_mm = min(head / self.scale, length)
        neck = length - head_mm
        side = head_mm * ARROW_SLIMNESS
        tip = x_mm + dx_mm, y_mm + dy_mm
        base = x_mm + along_x * neck, y_mm + along_y * neck
        if neck > 0:
            self.line(x_mm, y_mm, *base, pen)
        corners = [(base[0] - way * along_y * side, base[1] + way * along_x * side) for way in (1, -1)]
        self.path([tip, *corners], None, closed=True, filled=True)

    def text(
        self,
        x_mm: float,
        y_mm: float,
        words: str,
        *,
        size: float,
        anchor: str = "middle",
        turn_deg: float = 0.0,
        strong: bool = False,
    ) -> None:
        """Write words on one line; the middle of their capitals' height stands at the place.

        `anchor` is `start`, `middle` or `end`; `size` in units; `turn_deg` turns them about the place, against the
        clock. Raises ValueError for type smaller than the drawing's least.
        """
        if size < self.least_text:
            message = f"type of {size:g} is smaller than the least that this drawing allows, {self.least_text:g}"
            raise ValueError(message)
        x, y = self.at(x_mm, y_mm)
        down = size * CAPITAL / 2
        turn = f' transform="rotate({_n(-turn_deg)} {_n(x)} {_n(y)})"' if turn_deg else ""
        weight = ' font-weight="600"' if strong else ""
        self._parts.append(
            f'<text x="{_n(x)}" y="{_n(y + down)}" font-size="{_n(size)}" text-anchor="{anchor}" '
            f'fill="currentColor"{weight}{turn}>{escape(clean(words))}</text>'
        )

    def svg(self, *, title: str, said: str, class_: str, size: str = "") -> str:
        """Give the whole drawing, named by `title` and described by `said` for those who do not see it.

        `size` is put among the attributes as it stands (for example `width="210mm" height="297mm"`).
        """
        inner = "".join(self._parts)
        words = f"<title>{escape(clean(title))}</title><desc>{escape(clean(said))}</desc>"
        key = hashlib.sha256((words + inner).encode()).hexdigest()[:10]
        named = words.replace("<title>", f'<title id="t-{key}">', 1).replace("<desc>", f'<desc id="d-{key}">', 1)
        box = f"0 0 {_n(self.width_mm * self.scale)} {_n(self.height_mm * self.scale)}"
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" {size + " " if size else ""}'
            f'class={quoteattr(class_)} role="img" aria-labelledby="t-{key} d-{key}">{named}{inner}</svg>'
        )


def clean(words: str) -> str:
    """Leave out what no XML may hold, and make one line of it."""
    return " ".join(CONTROL.sub("", words).split())


def text_width(words: str, size: float) -> float:
    """Tell about how wide one line is in type of this size, in its unit; on the wide side, since faces differ."""
    return sum(map(_letter_width, clean(words))) * size


def _letter_width(letter: str) -> float:
    return WIDE_LETTER if letter in WIDEST or unicodedata.east_asian_width(letter) in "WF" else LETTER


def _n(value: float) -> str:
    # A thousandth of a unit is far below what is asked of a drawing, and keeps -0.000 out.
    text = f"{value:.{PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _stroke(pen: Pen) -> str:
    dash = f' stroke-dasharray="{pen.dash}"' if pen.dash else ""
    return f'stroke="currentColor" stroke-width="{_n(pen.width)}"{dash}'


def _look(pen: Pen | None, filled: bool) -> str:  # noqa: FBT001 - named where it is called by those above
    return f'fill="{"currentColor" if filled else "none"}"' + (f" {_stroke(pen)}" if pen else "")
