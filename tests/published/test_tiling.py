"""Tiles against plain geometry: what sheets cover together and share, worked out by shapely and by hand."""

from __future__ import annotations

import pytest
import shapely
from shapely.geometry import box

from siteapp.trade.tiling import Tile, layout, tiles

# ISO 216 sizes in mm, from memory; Letter is 8.5 × 11 in, exactly.
A4, A3, LETTER = (210, 297), (297, 420), (215.9, 279.4)


def rectangle(tile: Tile) -> shapely.Polygon:
    return box(tile.x_mm, tile.y_mm, tile.x_mm + tile.width_mm, tile.y_mm + tile.height_mm)


@pytest.mark.parametrize(
    ("size", "page", "margin", "overlap"),
    [
        ((1480, 620), A4, 10, 15),
        ((400, 2400), A3, 12, 20),
        ((190, 277), A4, 10, 15),
        ((190.001, 277), A4, 10, 15),
        ((2413, 1237), LETTER, 12.7, 10),
        ((900, 900), A4, 0, 0),
        ((3, 3), A4, 10, 15),
    ],
)
def test_together_they_cover_the_drawing_and_neighbours_share_what_was_asked(
    size: tuple[float, float], page: tuple[float, float], margin: float, overlap: float
) -> None:
    laid = layout(*size, page=page, margin_mm=margin, overlap_mm=overlap)
    shapes = {(tile.column, tile.row): rectangle(tile) for tile in laid.tiles}
    # Computed with shapely: the union is the drawing, and neighbours' common part is a band as wide as the overlap.
    assert shapely.union_all(list(shapes.values())).symmetric_difference(box(0, 0, *size)).area < 1e-6
    for (column, row), shape in shapes.items():
        for beside, place in (((column + 1, row), 0), ((column, row + 1), 1)):
            if beside in shapes:
                left, bottom, right, top = shape.intersection(shapes[beside]).bounds
                assert (right - left, top - bottom)[place] == pytest.approx(overlap, abs=1e-6)
        left, bottom, right, top = shape.bounds
        assert right - left <= laid.page[0] - 2 * margin + 1e-6
        assert top - bottom <= laid.page[1] - 2 * margin + 1e-6


def test_as_many_sheets_as_by_hand() -> None:
    # By hand: A4 prints 190 × 277, so a further sheet brings 175 × 262. Upright 1480 × 620 takes 1 + ⌈1290/175⌉ = 9 by
    # 1 + ⌈343/262⌉ = 3, which is 27; turned 1 + ⌈1203/262⌉ = 6 by 1 + ⌈430/175⌉ = 4, which is 24.
    assert len(tiles(1480, 620)) == 24
    assert layout(1480, 620).turned
    assert layout(1480, 620).page == (297, 210)
    # 190 + 175 is 365: exactly two sheets; a tenth of a millimetre more takes a third.
    assert len(tiles(365, 277)) == 2
    assert len(tiles(365.1, 277)) == 3
    assert len(tiles(190, 277)) == 1
    assert len(tiles(277, 190)) == 1
