"""What a file says, as texts with the lines they stand in; nothing is judged yet."""

from __future__ import annotations

from dataclasses import dataclass, field

from siteapp.pieces.forms import FIELDS
from siteapp.web.i18n import _

NUMBER = "number"
BUILD_UP, HANGING_POINTS = "build_up", "hanging_points"
ROW_FIELDS = {
    BUILD_UP: ("material", "thickness_mm", "mass_kg", "note"),
    HANGING_POINTS: (
        "label",
        "x_mm",
        "y_mm",
        "holds",
        "hole_mm",
        "bolt_mm",
        "slot_mm",
        "slot_deg",
        "bevel_deg",
        "edge_mm",
        "fails_with",
        "note",
    ),
}
PIECE_FIELDS = (NUMBER, *FIELDS)
LARGEST_BYTES = 600_000  # of UTF-8; a form of ours takes a megabyte of text
MOST_PIECES = 500


@dataclass(frozen=True)
class Cell:
    """A value as text, and the line it stands in, counted from 1."""

    text: str
    line: int


@dataclass(frozen=True)
class Row:
    """One line of the build-up, or one hanging point: its values by field."""

    line: int
    cells: dict[str, Cell]


@dataclass
class Told:
    """One piece as a file tells it: only what it names. An empty text takes out what was said before."""

    line: int
    cells: dict[str, Cell] = field(default_factory=dict)
    rows: dict[str, list[Row]] = field(default_factory=dict)

    @property
    def title(self) -> str:
        """What the file calls it; empty when it does not say."""
        cell = self.cells.get("title")
        return cell.text.strip() if cell else ""


@dataclass(frozen=True)
class Problem:
    """Something wrong in a file: the line, and words that name field, value and what is allowed."""

    line: int
    words: str

    def __str__(self) -> str:
        """For people."""
        return _("Line %(line)s: %(words)s", line=self.line, words=self.words)


class Unreadable(Exception):
    """The file cannot be read as far as its pieces."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("; ".join(str(problem) for problem in problems))
        self.problems = problems
