"""A box through openings, round corners and stood up, against textbook formulas, scans and sweeps made here."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import box as rectangle

from siteapp.trade.access import Box, Stairs, round_corner, route, stand_up, through_opening
from siteapp.trade.access.passing import longest_pole_mm

M = 1000.0


@pytest.mark.parametrize(
    ("one", "other", "longest"), [(1, 1, 2.82842712475), (1, 1.5, 3.51174118961), (0.9, 0.9, 2.54558441227)]
)
def test_a_ladder_round_a_corner_is_as_long_as_calculus_says(one: float, other: float, longest: float) -> None:
    # L = (a^⅔ + b^⅔)^(3/2): the ladder of calculus textbooks (Stewart's exercise, from memory); the figures were
    # computed outside the project with SciPy 1.17's minimize_scalar.
    found = round_corner(longest * M, 0, one * M, other * M, room_mm=0)
    assert found.longest_mm == pytest.approx(longest * M, rel=1e-9)
    assert longest_pole_mm(one * M, other * M) == pytest.approx(longest * M, rel=1e-9)


def test_a_thin_pole_tipped_up_is_as_long_as_pythagoras_says() -> None:
    # Computed outside the project: √(2.82842712475² + 2.4²).
    assert longest_pole_mm(M, M, 2.4 * M) == pytest.approx(3.7094473982 * M, rel=1e-9)


# Computed outside the project with SciPy 1.17's minimize_scalar, and there held against a shapely sweep of 721 poses.
BOXES = [(1.0, 1.0, 0.3, 2.22842712475), (1.2, 0.9, 0.2, 2.55744734264), (1.0, 1.5, 0.4, 2.70110070856)]
BOXES += [(0.9, 0.9, 0.15, 2.24558441227), (0.86, 1.2, 0.25, 2.39593997102), (1.0, 1.5, 0.9, 1.65290361335)]


@pytest.mark.parametrize(("one", "other", "wide", "longest"), BOXES)
def test_a_box_round_a_corner_is_as_long_as_was_minimised_elsewhere(one, other, wide, longest) -> None:
    found = round_corner(longest * M, wide * M, one * M, other * M, room_mm=0)
    assert found.longest_mm == pytest.approx(longest * M, abs=1e-2)


def sweeps_round(length: float, wide: float, one: float, other: float, poses: int = 121) -> bool:
    """Whether a box turns round a corner of corridors `one` and `other` without running into a wall, by shapely.

    At each angle both its outer corners lie on the outer walls. The inner walls meet at (other, one).
    """
    far = 10 * (length + wide)
    inside = rectangle(other + 1e-6, one + 1e-6, far, far)
    for angle in np.linspace(0, math.pi / 2, poses):
        lying = affinity.rotate(rectangle(0, 0, length, wide), -math.degrees(angle), origin=(0, 0))
        # Its outer long edge runs from (0, length·sin) on one wall to (length·cos, 0) on the other.
        posed = affinity.translate(lying, 0, length * math.sin(angle))
        if posed.intersects(inside):
            return False
    return True


@pytest.mark.parametrize(
    ("one", "other", "wide"), [(1.0, 1.0, 0.3), (1.2, 0.9, 0.2), (1.0, 1.5, 0.4), (0.86, 1.2, 0.25)]
)
def test_a_box_in_corridors_passes_where_a_sweep_with_shapely_passes(one, other, wide) -> None:
    # shapely is the outside world here; the sweep is written anew, without the formula.
    longest = (round_corner(9000, wide * M, one * M, other * M, room_mm=0).longest_mm or 0) / M
    assert sweeps_round(longest * 0.998, wide, one, other)
    assert not sweeps_round(longest * 1.004, wide, one, other)


def test_a_short_box_slides_round_without_turning() -> None:
    # By hand: 1.4 m long lies across the corridor of 1.5 m, 0.9 m wide within that of 1.0 m.
    found = round_corner(1400, 900, 1000, 1500, room_mm=0)
    assert (found.verdict, found.how) == ("met", "slid round without turning")


# Carver 1957 and Wetzel 2000, from memory; the answers were computed outside the project by a scan of 200 001 angles.
@pytest.mark.parametrize(
    ("section", "opening", "fits"),
    [
        ((2000, 100), (1981, 775), True),
        ((2100, 150), (1981, 775), False),
        ((1900, 800), (1981, 775), False),
        ((2150, 30), (1981, 838), False),
        ((1320, 100), (1000, 1000), False),
        ((1314.2, 100), (1000, 1000), True),
    ],
)
def test_a_section_goes_through_an_opening_as_a_published_rule_has_it(section, opening, fits: bool) -> None:
    assert (through_opening(section, opening, room_mm=0).verdict == "met") == fits


def widest_slack(p: float, q: float, a: float, b: float, angles: int = 20001) -> float:
    """The most room, of both sides the lesser, that a section p × q has in a × b at any of many angles: brute force."""
    turn = np.linspace(0, math.pi / 2, angles)
    across = p * np.cos(turn) + q * np.sin(turn)
    up = p * np.sin(turn) + q * np.cos(turn)
    return float(np.max(np.minimum(a - across, b - up)))


def test_the_rule_for_openings_agrees_with_a_scan_of_angles() -> None:
    random = np.random.default_rng(20261126)
    told = {"met": 0, "not met": 0}
    for _ in range(400):
        a, b = random.uniform(500, 2200, 2)
        p, q = random.uniform(0.5, 1.25) * max(a, b), random.uniform(0.02, 1.0) * min(a, b)
        slack = widest_slack(p, q, a, b)
        if abs(slack) < 0.1:
            continue  # nearer than the scan's angles lie apart
        verdict = through_opening((p, q), (a, b), room_mm=0).verdict
        assert (verdict == "met") == (slack > 0), (p, q, a, b)
        told[verdict] += 1
    assert min(told.values()) > 50


@pytest.mark.parametrize(
    ("height", "depth", "ceiling", "diagonal"),
    [(2300, 300, 2400, 2319.48270095), (2380, 350, 2400, 2405.59763884), (2000, 1200, 2350, 2332.38075794)],
)
def test_what_is_stood_up_is_as_tall_as_its_diagonal(height, depth, ceiling, diagonal) -> None:
    # Pythagoras; computed outside the project.
    found = stand_up(height, depth, ceiling, room_mm=0)
    assert found.spare_mm == pytest.approx(ceiling - diagonal, abs=1e-6)
    assert (found.verdict == "met") == (diagonal <= ceiling)


@pytest.mark.parametrize(("long", "verdict"), [(1719, "met"), (1721, "cannot tell")])
def test_a_half_landing_takes_what_the_derived_rule_lets_through_and_beyond_nobody_can_tell(long, verdict) -> None:
    # Derived outside the project and computed there: flights of 860 mm, landing of 860 mm, 100 mm thick: at most
    # min(2232, 2 × 860) = 1720 mm. Enough to pass, not needed: hence *cannot tell* beyond.
    crate = Box(width_mm=long, height_mm=800, depth_mm=100, ways_up=("height",), may_tilt=False)
    stairs = Stairs("stairs", 860, 2400, "half", landing_mm=860, measured=True)
    assert route(crate, [stairs], room_mm=0).verdict == verdict
