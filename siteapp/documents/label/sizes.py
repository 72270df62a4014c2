"""Forms and sizes of labels: limits of each form, the grid of a sheet, and where each label lands. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, replace

BACK, EDGE, CARD, SET = "back", "edge", "card", "set"
SHEETS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
SHEET_MARGIN_MM = 4.0  # what most printers cannot print on, common practice without a source
MARGINS_MM = (0.0, 40.0)
GAPS_MM = (0.0, 30.0)
COPIES = (1, 100)
MOST_LABELS = 120  # in one PDF: more take longer than somebody waits
# A label this much higher than wide, or this narrow, has its codes under its words.
TALL = 1.3
NARROW_MM = 80.0


class LabelError(ValueError):
    """A label that cannot be made so. The message names what, its value and what is allowed; `field` is its name."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field


def _within(field: str, name: str, value: float, allowed: tuple[float, float], unit: str = "") -> None:
    low, high = allowed
    if not low <= value <= high:
        with_unit = f" {unit}" if unit else ""
        message = f"{name}: is {value:g}{with_unit}; allowed is {low:g} to {high:g}{with_unit}"
        raise LabelError(field, message)


@dataclass(frozen=True)
class Limits:
    """Size of a form when none is said, and the least and most of its width and height in mm.

    `tall_from` is the least height of one whose codes stand under its words.
    """

    usual: tuple[float, float]
    widths: tuple[float, float]
    heights: tuple[float, float]
    tall_from: float | None = None


LIMITS = {
    BACK: Limits((100.0, 70.0), (54.0, 300.0), (60.0, 300.0), 105.0),
    EDGE: Limits((90.0, 26.0), (60.0, 300.0), (24.0, 80.0)),
    # A6, which lies in a house file or a pocket.
    CARD: Limits((148.0, 105.0), (90.0, 300.0), (90.0, 300.0), 140.0),
}


@dataclass(frozen=True)
class LabelForm:
    """One form of label in a size, alone on its page (a roll) or on a grid of a sheet (`A4`, `Letter`).

    `margin_mm` is kept free on every side of a sheet, `gap_mm` between labels; the grid stands in the middle.
    `copies` None fills the sheet from `start` on (one on a roll); `start` is a place of the grid, counted from 1 along
    its rows, from the upper left.
    """

    width_mm: float = LIMITS[BACK].usual[0]
    height_mm: float = LIMITS[BACK].usual[1]
    sheet: str | None = None
    kind: str = BACK
    margin_mm: float = SHEET_MARGIN_MM
    gap_mm: float = 0.0
    copies: int | None = None
    start: int = 1

    def __post_init__(self) -> None:
        """Refuse what is outside the limits. Raises LabelError."""
        if self.kind not in LIMITS:
            raise LabelError("form", f"label form: is {self.kind!r}; allowed are {', '.join(LIMITS)}")
        limits = LIMITS[self.kind]
        _within("width", "label width", self.width_mm, limits.widths, "mm")
        _within("height", "label height", self.height_mm, limits.heights, "mm")
        if self.tall and limits.tall_from is not None and self.height_mm < limits.tall_from:
            message = (
                f"label height: is {self.height_mm:g} mm; allowed is {limits.tall_from:g} to {limits.heights[1]:g} mm "
                f"for one {self.width_mm:g} mm wide, whose codes stand under its words"
            )
            raise LabelError("height", message)
        _within("margin", "sheet margin", self.margin_mm, MARGINS_MM, "mm")
        _within("gap", "gap between labels", self.gap_mm, GAPS_MM, "mm")
        if self.copies is not None:
            _within("copies", "copies", self.copies, COPIES)
        if self.sheet is not None and (self.sheet not in SHEETS_MM or not all(self.grid)):
            message = f"label sheet: no label of {self.width_mm:g} × {self.height_mm:g} mm goes on {self.sheet!r}"
            raise LabelError("sheet", f"{message} with a margin of {self.margin_mm:g} mm")
        _within("start", "start", self.start, (1, self.places))

    @property
    def tall(self) -> bool:
        """Whether its codes stand under its words."""
        return self.kind != EDGE and (self.width_mm < NARROW_MM or self.height_mm > TALL * self.width_mm)

    @property
    def grid(self) -> tuple[int, int]:
        """How many labels go across and down a sheet; (1, 1) on a roll."""
        if self.sheet is None:
            return 1, 1
        across, down = (side - 2 * self.margin_mm + self.gap_mm for side in SHEETS_MM[self.sheet])
        # A hair more, so that three of 70 mm go on 210 mm whatever the last bit of the division says.
        return (
            int((across + 1e-6) // (self.width_mm + self.gap_mm)),
            int((down + 1e-6) // (self.height_mm + self.gap_mm)),
        )

    @property
    def places(self) -> int:
        """How many labels go on one page."""
        across, down = self.grid
        return across * down

    @property
    def page_mm(self) -> tuple[float, float]:
        """Size of a page."""
        return SHEETS_MM[self.sheet] if self.sheet else (self.width_mm, self.height_mm)

    def place(self, number: int) -> tuple[int, float, float]:
        """Where the label `number` (from 0) of a run lands: its page from 0, and its upper left corner in mm."""
        page, cell = divmod(self.start - 1 + number, self.places)
        across, down = self.grid
        row, column = divmod(cell, across)
        left, top = (
            (whole - count * side - (count - 1) * self.gap_mm) / 2
            for whole, count, side in zip(self.page_mm, (across, down), (self.width_mm, self.height_mm), strict=True)
        )
        return page, left + column * (self.width_mm + self.gap_mm), top + row * (self.height_mm + self.gap_mm)


BACK_LABEL = LabelForm()
EDGE_LABEL = LabelForm(*LIMITS[EDGE].usual, kind=EDGE)
CARD_FORM = LabelForm(*LIMITS[CARD].usual, kind=CARD)
FORMS = {BACK: BACK_LABEL, EDGE: EDGE_LABEL, CARD: CARD_FORM}


def on_sheet(form: LabelForm, sheet: str) -> LabelForm:
    """Give the same label, as many as go on a sheet (`A4` or `Letter`). Raises LabelError."""
    return replace(form, sheet=sheet)


def refuse_too_many(count: int) -> None:
    """Refuse more labels than go into one PDF. Raises LabelError."""
    if count > MOST_LABELS:
        message = (
            f"copies: they come to {count} labels; allowed is {MOST_LABELS} in one PDF, so print it more than once"
        )
        raise LabelError("copies", message)
