"""The piece's own strength against what stands outside the project. Each check says how its figures are known."""

from __future__ import annotations

import math

import pytest

from siteapp.trade import strength


@pytest.mark.parametrize(
    ("slotted", "times"),
    [(False, 1.2), (True, 1.5)],
)
def test_edge_distances_are_those_of_en_1993_1_8(slotted: bool, times: float) -> None:
    # EN 1993-1-8:2005 table 3.3, least end and edge distance 1.2 d0, e3 and e4 of slotted holes 1.5 d0: read in a
    # public copy.
    for hole in (5.5, 9.0, 11.0, 13.5):  # ISO 273's medium holes for M5, M8, M10, M12
        assert strength.edge_needed_mm(hole, slotted=slotted) == pytest.approx(times * hole, rel=1e-12)


def test_a_20_mm_dolly_of_iso_4624_has_314_square_millimetres() -> None:
    # ISO 4624, 20 mm dollies: strength in MPa = force in N / 314; the size was read in a public extract, the divisor is
    # from memory and π · 20² / 4.
    area = math.pi * 20**2 / 4
    assert strength.bond_strength_n_mm2(3140, area) == pytest.approx(10.0, rel=1e-3)


def test_a_bond_carries_its_coupon_strength_over_its_area_by_the_factor() -> None:
    # By hand: 1570 N on 314 mm² are 5 N/mm²; 60 mm × 200 mm carry 60 000 N; a factor of 8 leaves 7500 N.
    assert strength.bond_allowed_n(1570, 314, 60 * 200, 8) == pytest.approx(7500, rel=1e-12)


@pytest.mark.parametrize(("pull", "shear", "together"), [(300.0, 400.0, 500.0), (0.0, 477.0, 477.0)])
def test_pull_and_shear_are_taken_together_by_pythagoras(pull: float, shear: float, together: float) -> None:
    found = strength.point_strength(pull_n=pull, shear_n=shear, proof=strength.PROOF_LOAD, proof_n=1000)
    assert found.demand_n == pytest.approx(together)
    assert found.share == pytest.approx(together / 1000)
