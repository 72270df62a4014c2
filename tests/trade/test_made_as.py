"""What a line of a build-up weighs by its sizes: what must always hold of it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.trade import by_size, weight
from siteapp.trade.errors import TradeError
from siteapp.trade.made_as import NEEDED, USUAL_KG_M3, made

SIZES = {
    "area_m2": st.floats(0.01, 1000),
    "glass_g_m2": st.floats(1, 50_000),
    "glass_fraction": st.floats(0.05, 0.95),
    "film_um": st.floats(0.1, 50_000),
    "density_kg_m3": st.floats(100, 25_000),
    "length_mm": st.floats(1, 20_000),
    "width_mm": st.floats(20, 20_000),
    "height_mm": st.floats(20, 20_000),
    "thickness_mm": st.floats(0.1, 10),
}
whole = st.fixed_dictionaries(SIZES)


@given(st.sampled_from(list(NEEDED)), whole)
def test_every_making_weighs_something_and_each_of_its_sizes_counts(kind: str, sizes: dict[str, float]) -> None:
    found = made(kind, sizes)
    assert found is not None
    assert found.mass_kg > 0
    for name in SIZES:
        without = made(kind, sizes | {name: None})
        if name == "density_kg_m3" and kind in USUAL_KG_M3:
            assert without == made(kind, sizes | {name: by_size.STEEL_KG_M3})
        elif name in NEEDED[kind]:
            assert without is None
        else:
            assert without == found


@given(whole)
def test_a_line_weighs_what_its_formula_says(sizes: dict[str, float]) -> None:
    laid = weight.laminate(sizes["glass_g_m2"], sizes["glass_fraction"])
    found = made("laminate", sizes)
    assert found is not None
    assert (found.mass_kg, found.thickness_mm) == (
        pytest.approx(sizes["area_m2"] * laid.mass_kg_m2),
        laid.thickness_mm,
    )
    film = made("film", sizes)
    assert film is not None
    assert film.mass_kg * 1e6 == pytest.approx(sizes["area_m2"] * sizes["film_um"] * sizes["density_kg_m3"])
    # A square tube is two plates of its height and two that fit between them.
    square, high = made("square tube", sizes), made("plate", sizes | {"width_mm": sizes["height_mm"]})
    between = made("plate", sizes | {"width_mm": sizes["width_mm"] - 2 * sizes["thickness_mm"] or 1e-9})
    assert square is not None
    assert high is not None
    assert between is not None
    assert square.mass_kg == pytest.approx(2 * high.mass_kg + 2 * between.mass_kg, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("kind", "sizes", "words"),
    [
        ("magic", {}, "made as is 'magic'; allowed is one of laminate, film, block"),
        (
            "laminate",
            {"area_m2": 0, "glass_g_m2": 450, "glass_fraction": 0.3},
            "area is 0 m²; allowed is a number above 0",
        ),
        ("laminate", {"area_m2": math.nan, "glass_g_m2": 450, "glass_fraction": 0.3}, "area is nan m²"),
        ("film", {"area_m2": 1, "film_um": "x", "density_kg_m3": 1200}, "film is 'x' µm"),
        ("round bar", {"length_mm": 1e9, "width_mm": 12}, "length is 1000000000.0 mm; allowed is a number above 0 to"),
        ("round tube", {"length_mm": 100, "width_mm": 20, "thickness_mm": 10.1}, "wall is 10.1 mm; allowed"),
        ("block", {"length_mm": 1, "width_mm": 1, "height_mm": 1, "density_kg_m3": 1.2}, "density is 1.2 kg/m³"),
    ],
)
def test_a_slip_is_named(kind: str, sizes: dict, words: str) -> None:
    with pytest.raises(TradeError) as refused:
        made(kind, sizes)
    assert words in str(refused.value)
