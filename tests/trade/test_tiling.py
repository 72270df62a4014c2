"""Tiles of a full-size drawing: what must always hold of them."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.trade.errors import TradeError
from siteapp.trade.tiling import Layout, layout, tiles

sizes = st.floats(0.5, 3000)
pages = st.sampled_from([(210, 297), (297, 420), (215.9, 279.4), (420, 297)])
margins = st.floats(0, 25)
overlaps = st.floats(0, 40)


def laid_out(width: float, height: float, page: tuple[float, float], margin: float, overlap: float) -> Layout:
    return layout(width, height, page=page, margin_mm=margin, overlap_mm=overlap)


@settings(max_examples=80)
@given(sizes, sizes, pages, margins, overlaps, st.floats(0, 1), st.floats(0, 1))
def test_every_place_of_the_drawing_is_on_a_sheet(
    width: float, height: float, page: tuple[float, float], margin: float, overlap: float, across: float, up: float
) -> None:
    x, y = width * across, height * up
    found = [
        tile
        for tile in laid_out(width, height, page, margin, overlap).tiles
        if tile.x_mm - 1e-6 <= x <= tile.x_mm + tile.width_mm + 1e-6
        and tile.y_mm - 1e-6 <= y <= tile.y_mm + tile.height_mm + 1e-6
    ]
    assert 1 <= len(found) <= 4


@settings(max_examples=80)
@given(sizes, sizes, pages, margins, overlaps)
def test_every_sheet_fits_its_page_and_brings_something_new(
    width: float, height: float, page: tuple[float, float], margin: float, overlap: float
) -> None:
    laid = laid_out(width, height, page, margin, overlap)
    assert len(laid.tiles) == laid.columns * laid.rows
    for tile in laid.tiles:
        assert 0 < tile.width_mm <= laid.page[0] - 2 * margin + 1e-5
        assert 0 < tile.height_mm <= laid.page[1] - 2 * margin + 1e-5
        assert tile.x_mm + tile.width_mm <= width + 1e-6
        assert tile.y_mm + tile.height_mm <= height + 1e-6
        assert tile.column == 0 or tile.width_mm > overlap
        assert tile.row == 0 or tile.height_mm > overlap


@settings(max_examples=80)
@given(sizes, sizes, pages, margins, overlaps)
def test_a_turned_page_never_needs_more_and_a_turned_drawing_needs_as_many(
    width: float, height: float, page: tuple[float, float], margin: float, overlap: float
) -> None:
    count = len(laid_out(width, height, page, margin, overlap).tiles)
    assert len(laid_out(height, width, page, margin, overlap).tiles) == count
    assert len(laid_out(width, height, (page[1], page[0]), margin, overlap).tiles) == count


@settings(max_examples=50)
@given(sizes, sizes, st.floats(0, 500))
def test_a_larger_drawing_never_needs_fewer(width: float, height: float, more: float) -> None:
    assert len(tiles(width + more, height)) >= len(tiles(width, height))


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ({"width_mm": 0}, r"width of the drawing is 0 mm; allowed is a number above 0 to 20000 mm"),
        ({"width_mm": math.nan}, "width of the drawing is nan mm"),
        ({"height_mm": math.inf}, "height of the drawing is inf mm"),
        ({"height_mm": -3}, "height of the drawing is -3 mm"),
        ({"page": (10, 297)}, "width of the page is 10 mm"),
        ({"page": (210, math.nan)}, "height of the page is nan mm"),
        ({"margin_mm": 100.5}, "margin of the page is 100.5 mm; allowed is a number from 0 to 100 mm"),
        ({"margin_mm": -1}, "margin of the page is -1 mm"),
        ({"overlap_mm": 181}, "overlap of the sheets is 181 mm; allowed is a number from 0 to 180 mm"),
        ({"overlap_mm": math.nan}, "overlap of the sheets is nan mm"),
        ({"width_mm": "5"}, "width of the drawing is '5' mm"),
    ],
)
def test_what_cannot_be_cut_is_named_with_its_range(arguments: dict[str, Any], said: str) -> None:
    with pytest.raises(TradeError, match=said):
        tiles(**{"width_mm": 500, "height_mm": 500, **arguments})
