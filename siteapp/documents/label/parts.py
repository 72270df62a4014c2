"""What a label is put together from: lines of type, rules and codes, each with its place in mm from the upper left."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from siteapp.documents import fitting
from siteapp.documents.fitting import MM_PER_PT, SANS

if TYPE_CHECKING:
    from siteapp.documents import qr
    from siteapp.documents.label.sizes import LabelForm

LEADING = 1.24
INK, ACCENT, FAINT = "#000", "#1f5a52", "#999"


@dataclass(frozen=True)
class Text:
    """One line of type: its upper left corner, height of its box and width in mm, its size in points."""

    words: str
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    size_pt: float
    face: str = SANS
    colour: str = INK
    tracking_em: float = 0.0


@dataclass(frozen=True)
class Rule:
    """A line across, `thick_mm` high."""

    x_mm: float
    y_mm: float
    width_mm: float
    thick_mm: float = 0.3
    colour: str = ACCENT


@dataclass(frozen=True)
class Code:
    """A QR code: its upper left corner and its side with the quiet zone, in mm."""

    name: str
    code: qr.Qr
    x_mm: float
    y_mm: float
    side_mm: float
    alt: str


@dataclass
class Laid:
    """A label laid out. `cut` names what was cut for want of room; `smallest_pt` is its smallest type."""

    form: LabelForm
    texts: list[Text] = field(default_factory=list)
    rules: list[Rule] = field(default_factory=list)
    codes: list[Code] = field(default_factory=list)
    cut: list[str] = field(default_factory=list)

    @property
    def smallest_pt(self) -> float:
        """Size of its smallest type, in points."""
        return min(text.size_pt for text in self.texts)


@dataclass(frozen=True)
class Box:
    """Room on a label, in mm."""

    x: float
    y: float
    width: float
    height: float


def put_line(laid: Laid, words: str, x: float, y: float, size_pt: float, **look: object) -> float:
    """Put one line down; gives its height."""
    face = str(look.get("face", SANS))
    tracking = float(look.get("tracking_em", 0.0))  # type: ignore[arg-type] # a number, see Text
    wide = fitting.width_mm(words, face, size_pt, tracking)
    high = size_pt * MM_PER_PT * LEADING
    laid.texts.append(Text(words, x, y, wide, high, size_pt, **look))  # type: ignore[arg-type] # see Text
    return high
