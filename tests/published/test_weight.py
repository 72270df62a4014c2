"""Laminates, films, solids, shells and balance points against figures from outside the project, each named beside its
check.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
import trimesh

from siteapp.trade import by_size, weight
from siteapp.trade.weight import Part, assemble

CLOSE = 1e-9

# NIST Special Publication 811 (2008), Appendix B, exact: ounce 28.349523125 g, foot 0.3048 m.
OUNCE_PER_FOOT2_G_M2 = 28.349523125 / 0.3048**2

# Rows: glass g/m², fraction, then laminate and resin kg/m², thickness mm, fibre share of volume. Computed outside the
# project by carrying the units through the formula (pint 0.25.3). The formula's symbols were read in Geerts,
# "Calculating Laminate Thickness", Epoxyworks; fibre 2.56 and resin 1.2 g/cm³.
LAMINATES = [
    (450, 0.30, 1.5, 1.05, 1.05078125, 0.167286245353),
    (450, 0.33, 1.36363636364, 0.913636363636, 0.937144886364, 0.18757104964),
    (1000, 0.50, 2.0, 1.0, 1.22395833333, 0.31914893617),
    (1350, 0.30, 4.5, 3.15, 3.15234375, 0.167286245353),
]


@pytest.mark.parametrize(("glass", "fraction", "mass", "resin", "thickness", "volume"), LAMINATES)
def test_laminates_computed_with_another_library(
    glass: float, fraction: float, mass: float, resin: float, thickness: float, volume: float
) -> None:
    found = weight.laminate(glass, fraction)
    got = (found.mass_kg_m2, found.resin_kg_m2, found.thickness_mm, found.fibre_volume_fraction)
    assert got == pytest.approx((mass, resin, thickness, volume), rel=1e-9)


@pytest.mark.parametrize("fraction", [0.25, 0.3, 0.333, 0.5, 0.65])
def test_thickness_in_the_form_of_the_small_craft_rules(fraction: float) -> None:
    # t/w = (2.56/ψ − 1.36)/3.072 mm per kg/m² of glass: ISO 12215-5 and class rules for E-glass and polyester, from
    # memory.
    found = weight.laminate(1000, fraction)
    assert found.thickness_mm == pytest.approx((2.56 / fraction - 1.36) / 3.072, rel=CLOSE)


@pytest.mark.parametrize(("resin_to_glass", "fraction"), [(2.0, 1 / 3), (2.5, 2 / 7), (3.0, 0.25)])
def test_resin_to_glass_ratios_of_chopped_mat(resin_to_glass: float, fraction: float) -> None:
    # 2 : 1 read in a public calculator's table for chopped mat and polyester; 2.5 : 1 common guidance, from memory;
    # 3 : 1 by hand. A fraction of 1/(1 + ratio) must take that much resin.
    found = weight.laminate(450, fraction)
    assert found.resin_kg_m2 / 0.45 == pytest.approx(resin_to_glass, rel=CLOSE)


def test_chopped_mat_by_the_ounce_is_the_metric_mat() -> None:
    # 1.5 oz/ft² is sold as 450 g/m²; 457.727590911 g/m² computed with pint 0.25.3.
    assert pytest.approx(457.727590911, rel=1e-4) == 1.5 * OUNCE_PER_FOOT2_G_M2
    heavier = weight.laminate(1.5 * OUNCE_PER_FOOT2_G_M2, 0.3).mass_kg_m2 / weight.laminate(450, 0.3).mass_kg_m2
    assert heavier == pytest.approx(1.01717, abs=1e-4)


def test_a_schedule_of_plies_and_its_gelcoat() -> None:
    # Sum of plies 300 + 450 + 450 g/m² at 0.30 with 500 µm of gelcoat of 1.2 g/cm³, computed outside the project:
    # 4.0 and 4.6 kg/m², 2.80208333333 and 3.30208333333 mm.
    plies = [weight.laminate(glass, 0.3) for glass in (300, 450, 450)]
    whole = weight.laminate(1200, 0.3)
    assert sum(ply.mass_kg_m2 for ply in plies) == pytest.approx(whole.mass_kg_m2) == pytest.approx(4.0, rel=CLOSE)
    assert sum(ply.thickness_mm for ply in plies) == pytest.approx(whole.thickness_mm, rel=CLOSE)
    assert whole.thickness_mm == pytest.approx(2.80208333333, rel=CLOSE)
    assert whole.mass_kg_m2 + weight.film_mass_kg_m2(500, 1200) == pytest.approx(4.6, rel=CLOSE)
    assert whole.thickness_mm + 0.5 == pytest.approx(3.30208333333, rel=CLOSE)


def test_a_gelcoat_by_the_wet_film_gauge() -> None:
    # 1 µm of 1 g/cm³ is 1 g/m², an identity: 400 µm of 1.25 g/cm³ are 500 g/m².
    assert weight.film_mass_kg_m2(400, 1250) == pytest.approx(0.5, rel=CLOSE)


def test_a_foam_block_in_exact_numbers() -> None:
    # Mass is density by volume: 1.2 · 0.6 · 0.1 m of 30 kg/m³ is 2.16 kg, by exact fractions (standard library).
    expected = Fraction(12, 10) * Fraction(6, 10) * Fraction(1, 10) * 30
    assert by_size.block_mass_kg(1200, 600, 100, 30) == pytest.approx(float(expected), rel=CLOSE)


@pytest.mark.parametrize(
    ("kg_per_m", "mass_kg"),
    [
        # Masses per metre as steel merchants' tables and EN 10060, EN 10058 and EN 10219 print them, from memory:
        # round 10, 12, 20; flat 50 × 5 and 100 × 10; round tube 48.3 × 3.2; square tube 40 × 3 (with round corners,
        # hence its wider tolerance).
        (0.617, by_size.round_bar_mass_kg(10, 1000)),
        (0.888, by_size.round_bar_mass_kg(12, 1000)),
        (2.47, by_size.round_bar_mass_kg(20, 1000)),
        (1.96, by_size.block_mass_kg(1000, 50, 5, by_size.STEEL_KG_M3)),
        (7.85, by_size.block_mass_kg(1000, 100, 10, by_size.STEEL_KG_M3)),
        (3.56, by_size.tube_mass_kg(48.3, 3.2, 1000)),
    ],
)
def test_steel_by_the_metre_as_tables_print_it(kg_per_m: float, mass_kg: float) -> None:
    assert mass_kg == pytest.approx(kg_per_m, abs=0.006)


def test_a_square_tube_is_a_little_lighter_in_tables_for_its_round_corners() -> None:
    # 40 × 40 × 3: 3.30 kg/m in EN 10219 tables, from memory; sharp corners weigh up to 8 % more.
    sharp = by_size.square_tube_mass_kg(40, 40, 3, 1000)
    assert 1.03 * 3.30 < sharp < 1.08 * 3.30


def meshed(shape: trimesh.Trimesh, keep) -> tuple[float, np.ndarray]:
    """Area in mm² and middle of the faces that `keep` takes by their normals and centres, by trimesh."""
    chosen = keep(shape.face_normals, shape.triangles_center)
    areas = shape.area_faces[chosen]
    part = shape.submesh([np.flatnonzero(chosen)], append=True, repair=False)
    assert part.area == pytest.approx(areas.sum())
    return float(part.area), np.asarray(part.centroid)


def test_a_half_cylinder_sits_where_a_mesh_of_it_does() -> None:
    # trimesh builds the whole cylinder (720 sections), the half in front is kept, its ends left out. The closed form
    # 2R/π from the chord is the middle of a semicircular arc: 127.323954474 mm for R 200, by hand.
    whole = trimesh.creation.cylinder(radius=200, height=1000, sections=720)
    area, middle = meshed(whole, lambda normals, centres: (np.abs(normals[:, 2]) < 0.5) & (centres[:, 0] > 0))
    shell = by_size.half_cylinder(200, 1000)
    assert shell.out_mm == pytest.approx(127.323954474, rel=1e-9)
    assert shell.out_mm == pytest.approx(middle[0], rel=1e-3)
    assert shell.area_m2 == pytest.approx(area / 1e6, rel=1e-3)


def test_strips_put_together_are_a_half_cylinder() -> None:
    # 720 flat strips of one weight along the arc; the limit of finer and finer strips is 2R/π.
    angles = (np.arange(720) + 0.5) * math.pi / 720
    strips = [Part(f"strip {at}", 0.01, 500, 200 * math.cos(a), 200 * math.sin(a)) for at, a in enumerate(angles)]
    whole = assemble(strips)
    assert (whole.x_mm, whole.y_mm) == (pytest.approx(500), pytest.approx(0, abs=1e-9))
    assert whole.z_mm == pytest.approx(by_size.half_cylinder(200, 1000).out_mm, rel=1e-5)


def test_a_cone_sits_where_a_mesh_of_it_does() -> None:
    # trimesh's cone without its base: 0.894112943922 m² and 300 mm from the base for R 300, depth 900, by hand.
    whole = trimesh.creation.cone(radius=300, height=900, sections=720)
    area, middle = meshed(whole, lambda normals, centres: normals[:, 2] > -0.5)
    shell = by_size.cone(300, 900)
    assert (shell.area_m2, shell.out_mm) == pytest.approx((0.894112943922, 300.0), rel=1e-9)
    assert (area / 1e6, middle[2]) == pytest.approx((shell.area_m2, shell.out_mm), rel=1e-3)


def test_a_dome_sits_where_a_mesh_of_it_does() -> None:
    # A cap cut from trimesh's ball of 500 mm at 300 mm from its middle: rim 400, depth 200. Archimedes: the area of
    # a zone is that of the cylinder round it, so its middle is half way.
    ball = trimesh.creation.icosphere(subdivisions=5, radius=500)
    cap = trimesh.intersections.slice_mesh_plane(ball, [0, 0, 1], [0, 0, 300])
    shell = by_size.dome(400, 200)
    assert shell.area_m2 == pytest.approx(2 * math.pi * 0.5 * 0.2, rel=CLOSE)
    assert (cap.area / 1e6, cap.centroid[2] - 300) == pytest.approx((shell.area_m2, shell.out_mm), rel=2e-3)


def test_an_open_box_is_its_five_flat_parts_and_its_mesh() -> None:
    # 1200 × 800 × 150 open at the back: 1.56 m², 121.153846154 mm from the back, by hand; by trimesh's box without
    # the face that looks back; and as five flat parts of one laminate put together.
    whole = trimesh.creation.box(extents=(1200, 800, 150))
    area, middle = meshed(whole, lambda normals, centres: normals[:, 2] > -0.5)
    shell = by_size.open_box(1200, 800, 150)
    assert (shell.area_m2, shell.out_mm) == pytest.approx((1.56, 121.153846154), rel=1e-9)
    assert (area / 1e6, middle[2] + 75) == pytest.approx((shell.area_m2, shell.out_mm), rel=1e-9)
    each_m2 = weight.laminate(1350, 0.3).mass_kg_m2
    flat = [
        Part("front", 1.2 * 0.8 * each_m2, 600, 400, 150),
        Part("lower side", 1.2 * 0.15 * each_m2, 600, 0, 75),
        Part("upper side", 1.2 * 0.15 * each_m2, 600, 800, 75),
        Part("left side", 0.8 * 0.15 * each_m2, 0, 400, 75),
        Part("right side", 0.8 * 0.15 * each_m2, 1200, 400, 75),
    ]
    found = assemble(flat)
    assert found.mass_kg == pytest.approx(1.56 * 4.5, rel=CLOSE)
    assert (found.x_mm, found.y_mm, found.z_mm) == pytest.approx((600, 400, shell.out_mm), rel=CLOSE)


def test_a_shell_with_its_steel_and_a_plate() -> None:
    # r = Σ m·r / Σ m in numpy outside the project: 21.084 kg at 601.138303927, 421.200910643, 87.2424587365 mm.
    found = assemble(
        [
            Part("shell", 18.0, 600, 400, 95),
            Part("left plate", 0.942, 300, 650, 5),
            Part("right plate", 0.942, 900, 650, 5),
            Part("filler", 1.2, 620, 380, 100),
        ]
    )
    assert found.mass_kg == pytest.approx(21.084, rel=CLOSE)
    assert (found.x_mm, found.y_mm, found.z_mm) == pytest.approx((601.138303927, 421.200910643, 87.2424587365))


def test_scales_under_a_beam_read_what_its_reactions_are() -> None:
    # A textbook's beam on two supports with one load: reactions P·b/L and P·a/L (statics, from memory). 24 kg at 250
    # of 1000 mm rests with 18 and 6 kg.
    found = weight.centre_from_scales([(0, 0, 18), (1000, 0, 6)])
    assert (found.mass_kg, found.x_mm, found.y_mm, found.z_mm) == (24, 250, None, None)


def test_three_scales_read_the_weights_of_a_triangle() -> None:
    # Barycentric coordinates (Möbius): trimesh gives the weights of a point in a triangle, each the share that the
    # corner carries.
    corners = np.array([[50.0, 40.0, 0.0], [1150.0, 60.0, 0.0], [500.0, 780.0, 0.0]])
    point = np.array([[560.0, 300.0, 0.0]])
    shares = trimesh.triangles.points_to_barycentric(corners[None], point)[0]
    found = weight.centre_from_scales([(x, y, 21.084 * s) for (x, y, _), s in zip(corners, shares, strict=True)])
    assert found.mass_kg == pytest.approx(21.084, rel=CLOSE)
    assert (found.x_mm, found.y_mm) == pytest.approx((560, 300), rel=CLOSE)
    assert found.z_mm is None
