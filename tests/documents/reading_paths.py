"""Lines and curves of a PDF's page as the file itself has them: its drawing operators followed by pikepdf, in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any

import pikepdf

MM_PER_POINT = 25.4 / 72
Matrix = tuple[float, float, float, float, float, float]
UPRIGHT: Matrix = (1, 0, 0, 1, 0, 0)


@dataclass
class Path:
    """One subpath: the places it goes through, in mm from the page's lower left corner, y up."""

    places: list[tuple[float, float]] = field(default_factory=list)
    curved: bool = False

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top. Of a circle drawn in quarters these are its true edges."""
        xs, ys = [x for x, _ in self.places], [y for _, y in self.places]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def middle(self) -> tuple[float, float]:
        """Middle of the box."""
        left, bottom, right, top = self.box
        return (left + right) / 2, (bottom + top) / 2

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the box."""
        left, bottom, right, top = self.box
        return right - left, top - bottom


def page_size_mm(pdf: bytes, page: int) -> tuple[float, float]:
    """Width and height of a page's media box."""
    with pikepdf.open(BytesIO(pdf)) as document:
        left, bottom, right, top = (float(one) for one in document.pages[page].mediabox)
    return (right - left) * MM_PER_POINT, (top - bottom) * MM_PER_POINT


def pages(pdf: bytes) -> int:
    """How many there are."""
    with pikepdf.open(BytesIO(pdf)) as document:
        return len(document.pages)


def paths(pdf: bytes, page: int) -> list[Path]:
    """Every subpath that a page strokes or fills, those of the forms that it calls too; clips are left out."""
    with pikepdf.open(BytesIO(pdf)) as document:
        return _Reader().read(document.pages[page], document.pages[page].get("/Resources", {}), UPRIGHT)


class _Reader:
    def read(self, stream: Any, resources: Any, start: Matrix) -> list[Path]:
        matrix, kept, found = start, [], []
        open_paths: list[Path] = []
        for operands, operator in pikepdf.parse_content_stream(stream):
            name = str(operator)
            if name == "q":
                kept.append(matrix)
            elif name == "Q":
                matrix = kept.pop()
            elif name == "cm":
                matrix = _times(tuple(float(one) for one in operands), matrix)
            elif name == "Do":
                form = resources["/XObject"][operands[0]]
                if form.get("/Subtype") == "/Form":
                    inner = _times(tuple(float(one) for one in form.get("/Matrix", UPRIGHT)), matrix)
                    found += self.read(form, form.get("/Resources", resources), inner)
            elif name in {"m", "l", "c", "v", "y", "re", "h"}:
                self._draw(name, [float(one) for one in operands], matrix, open_paths)
            elif name in {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*"}:
                found += open_paths
                open_paths = []
            elif name == "n":
                open_paths = []
        return found

    @staticmethod
    def _draw(name: str, values: list[float], matrix: Matrix, open_paths: list[Path]) -> None:
        def at(x: float, y: float) -> tuple[float, float]:
            a, b, c, d, e, f = matrix
            return (a * x + c * y + e) * MM_PER_POINT, (b * x + d * y + f) * MM_PER_POINT

        if name == "m":
            open_paths.append(Path([at(*values)]))
        elif name == "re":
            x, y, wide, high = values
            open_paths.append(Path([at(x, y), at(x + wide, y), at(x + wide, y + high), at(x, y + high), at(x, y)]))
        elif name == "h":
            open_paths[-1].places.append(open_paths[-1].places[0])
        else:
            open_paths[-1].places.append(at(*values[-2:]))
            open_paths[-1].curved |= name != "l"


def _times(inner: Any, outer: Matrix) -> Matrix:
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def circles(found: list[Path], diameter_mm: float) -> list[tuple[float, float]]:
    """Middles of the circles of about this diameter (to 0.1 mm)."""
    return [
        one.middle
        for one in found
        if one.curved and all(math.isclose(side, diameter_mm, abs_tol=0.1) for side in one.size)
    ]


def straight(found: list[Path]) -> list[Path]:
    """Those of one straight line each."""
    return [one for one in found if not one.curved and len(one.places) == 2]
