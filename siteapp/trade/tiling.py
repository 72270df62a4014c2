"""A full-size drawing cut into sheets of paper that overlap, so that they can be joined on the wall."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siteapp.trade.errors import in_range

A4 = (210.0, 297.0)
# Ours, no source: no piece is larger, no printer's sheet smaller or larger, and a slipped decimal point still shows.
LARGEST_MM = 20_000.0
SMALLEST_PAGE_MM = 50.0
LARGEST_PAGE_MM = 2_000.0
# Below this a sheet brings so little of the drawing that joining loses more than it gives.
LEAST_STEP_MM = 10.0
# A thousand-millionth of a sheet is the rounding of floats, not another sheet.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Tile:
    """The part of a drawing on one sheet: `x_mm`, `y_mm` is its lower left corner, y up, from the drawing's own.

    Columns are counted from 0 at the left, rows from 0 at the bottom.
    """

    column: int
    row: int
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Layout:
    """All tiles of a drawing, row by row from the lower left, and the page as it lies: (width, height) in mm."""

    page: tuple[float, float]
    turned: bool
    columns: int
    rows: int
    tiles: tuple[Tile, ...]


def tiles(
    width_mm: float,
    height_mm: float,
    *,
    page: tuple[float, float] = A4,
    margin_mm: float = 10.0,
    overlap_mm: float = 15.0,
) -> tuple[Tile, ...]:
    """Cut a drawing of `width_mm` × `height_mm` (above 0 to 20 000 mm) into tiles, as `layout` does."""
    return layout(width_mm, height_mm, page=page, margin_mm=margin_mm, overlap_mm=overlap_mm).tiles


def layout(
    width_mm: float,
    height_mm: float,
    *,
    page: tuple[float, float] = A4,
    margin_mm: float = 10.0,
    overlap_mm: float = 15.0,
) -> Layout:
    """Cut a drawing of `width_mm` × `height_mm` (above 0 to 20 000 mm) into tiles that fit a page, row by row.

    `page` (width, height), 50…2000 mm each, is turned when that needs fewer tiles. `margin_mm` all round is not
    printed on; neighbours share `overlap_mm` exactly, and together the tiles cover the drawing and nothing beside it,
    so that the last of a row or column may be narrower. Along one edge: 1 tile when it fits, else
    ⌈(edge − overlap) / (printed − overlap)⌉. What is printed must be at least 10 mm more than the overlap. Source:
    plain geometry. Assumes the printer prints at true size, which a square on the sheet is there to show. Raises
    TradeError outside the ranges.
    """
    in_range("width of the drawing", width_mm, 0, LARGEST_MM, "mm", above_low=True)
    in_range("height of the drawing", height_mm, 0, LARGEST_MM, "mm", above_low=True)
    in_range("width of the page", page[0], SMALLEST_PAGE_MM, LARGEST_PAGE_MM, "mm")
    in_range("height of the page", page[1], SMALLEST_PAGE_MM, LARGEST_PAGE_MM, "mm")
    narrow = min(page)
    in_range("margin of the page", margin_mm, 0, (narrow - LEAST_STEP_MM) / 2, "mm")
    in_range("overlap of the sheets", overlap_mm, 0, narrow - 2 * margin_mm - LEAST_STEP_MM, "mm")
    as_given, turned = (
        (
            _count(width_mm, lying[0] - 2 * margin_mm, overlap_mm),
            _count(height_mm, lying[1] - 2 * margin_mm, overlap_mm),
        )
        for lying in (page, page[::-1])
    )
    turn = math.prod(turned) < math.prod(as_given)
    wide, high = page[::-1] if turn else page
    columns, rows = turned if turn else as_given
    across = _cut(width_mm, wide - 2 * margin_mm, overlap_mm, columns)
    up = _cut(height_mm, high - 2 * margin_mm, overlap_mm, rows)
    laid = tuple(
        Tile(column, row, x, y, tile_width, tile_height)
        for row, (y, tile_height) in enumerate(up)
        for column, (x, tile_width) in enumerate(across)
    )
    return Layout((float(wide), float(high)), turn, columns, rows, laid)


def _count(edge_mm: float, printed_mm: float, overlap_mm: float) -> int:
    return max(1, math.ceil((edge_mm - overlap_mm) / (printed_mm - overlap_mm) - ROUNDING))


def _cut(edge_mm: float, printed_mm: float, overlap_mm: float, count: int) -> list[tuple[float, float]]:
    """Where each tile begins along one edge, and how long it is; the last one ends where the drawing does."""
    step = printed_mm - overlap_mm
    return [(place * step, printed_mm if place < count - 1 else edge_mm - place * step) for place in range(count)]
