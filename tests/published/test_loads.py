"""Loads on a group of supports against textbooks and standards. Each check says where its values are from.

Values of the shared check file `fixing_group` were computed apart from this program with numpy 2, or are from memory or
read where it says so; they stand here as numbers.
"""

from __future__ import annotations

import math

import pytest

from siteapp.trade.loads import (
    Action,
    Pad,
    Resistance,
    Support,
    SupportForce,
    design_cases,
    lose_each,
    rail_thrust_n,
    share_of_allowed,
    support_forces,
    weight_action,
)
from siteapp.trade.verdicts import MET, NOT_MET


def bolts(*places: tuple[float, float]) -> list[Support]:
    """Supports that hold every way, named A, B, C …"""
    return [Support(chr(ord("A") + row), x_mm, y_mm, down=True) for row, (x_mm, y_mm) in enumerate(places)]


def test_shigleys_eccentric_bolt_group_gives_the_printed_resultants() -> None:
    # Shigley's Mechanical Engineering Design, example 8-7 (from memory): a bar bolted to a channel by four M16 bolts at
    # the corners of 150 × 120 mm, 16 kN at 300 mm beyond the group, 425 mm from its centroid. Printed: V = 16 kN,
    # M = 6.8 kN·m, r = 96.0 mm, primary 4 kN, secondary 17.7 kN, resultants 21.0 and 14.8 kN.
    places = [(-75.0, -60.0), (75.0, -60.0), (75.0, 60.0), (-75.0, 60.0)]
    found = support_forces(bolts(*places), [], [Action(0, -16_000, 0, 425, 0, 0)])
    radius = math.hypot(75, 60)
    assert radius == pytest.approx(96.0, abs=0.1)
    moment = 16_000 * 425
    assert moment / (4 * radius) == pytest.approx(17_700, abs=50)
    shears = [found.by_support[label].shear_n for label in "ABCD"]
    assert shears[1] == pytest.approx(21_000, rel=0.01)
    assert shears[2] == pytest.approx(21_000, rel=0.01)
    assert shears[0] == pytest.approx(14_800, rel=0.01)
    assert shears[3] == pytest.approx(14_800, rel=0.01)
    assert all(force.pull_n == 0 for force in found.by_support.values())


def test_an_uneven_group_follows_the_form_of_nasa_rp_1228() -> None:
    # NASA RP-1228 (Barrett 1990), "Loads on fastener groups": P/n and M·r/Σr² at right angles to r, as read in a public
    # copy; the arithmetic is done here with plain numbers.
    places = [(0.0, 0.0), (300.0, 40.0), (250.0, 500.0), (-20.0, 610.0), (700.0, 300.0)]
    force_x, force_y, at = 350.0, -900.0, (820.0, 150.0)
    middle = (sum(x for x, _ in places) / 5, sum(y for _, y in places) / 5)
    arms = [(x - middle[0], y - middle[1]) for x, y in places]
    moment = (at[0] - middle[0]) * force_y - (at[1] - middle[1]) * force_x
    spread = sum(x * x + y * y for x, y in arms)
    found = support_forces(bolts(*places), [], [Action(force_x, force_y, 0, *at, 0)])
    for (x, y), force in zip(arms, found.by_support.values(), strict=True):
        # What the support does to the piece is the fastener's load the other way round.
        assert -force.across_n == pytest.approx(force_x / 5 - moment * y / spread, rel=1e-9, abs=1e-6)
        assert -force.up_n == pytest.approx(force_y / 5 + moment * x / spread, rel=1e-9, abs=1e-6)


ROW = {
    0: [312.5, 200.0, 87.5],
    1: [208.928571429, 198.214285714, 192.857142857],
    2: [150.0, 187.5, 262.5],
    3: [12.5, 200.0, 387.5],
}


@pytest.mark.parametrize("lost", ROW)
def test_a_row_of_four_with_one_lost_carries_what_was_computed_elsewhere(lost: int) -> None:
    # row4_lose_one of the check values (computed with numpy).
    places = [(x, 900.0) for row, x in enumerate((0.0, 400.0, 800.0, 1200.0)) if row != lost]
    found = support_forces(bolts(*places), [], [Action(0, -600, 0, 650, 0, 0)])
    carried = [force.up_n for force in found.by_support.values()]
    assert carried == pytest.approx(ROW[lost], rel=1e-6)


def test_losing_each_of_the_row_gives_the_same_forces_and_names_the_worst() -> None:
    row = bolts((0, 900), (400, 900), (800, 900), (1200, 900))
    case = design_cases(60, (650, 900, 0), lean_n=0, lean_at=(0, 0, 0))[0]
    weight_n = -case.actions[0].fy_n / 1.35
    allowed = {one.label: Resistance(1e5, 1e5, "steel", "ours") for one in row}
    for number, loss in enumerate(lose_each(row, [], [case], allowed, sudden=1.0)):
        carried = [force.up_n / weight_n * 600 for force in loss.forces.values()]
        assert carried == pytest.approx(ROW[number], rel=1e-6)
        assert loss.verdict == MET
    doubled = lose_each(row, [], [case], allowed)[3].forces["C"]
    assert doubled.up_n / weight_n * 600 == pytest.approx(2 * 387.5, rel=1e-6)


def test_the_bracket_of_khurmi_and_gupta_gives_the_printed_tensions() -> None:
    # khurmi_bracket: a crane's wall bracket, 12 kN at 400 mm, bolts in rows 50 and 375 mm above the edge it tilts
    # about; printed 3 kN of shear and 6.29 kN of tension a bolt (Khurmi & Gupta, A Textbook of Machine Design; memory).
    held = bolts((0, 50), (200, 50), (0, 375), (200, 375))
    found = support_forces(held, [Pad(0, 0), Pad(200, 0)], [Action(0, -12_000, 0, 100, 212.5, 400)]).by_support
    assert [force.shear_n for force in found.values()] == pytest.approx([3000.0] * 4)
    assert found["C"].pull_n == pytest.approx(6288.20960699, rel=1e-8)
    assert found["D"].pull_n == pytest.approx(6290, abs=10)
    assert found["A"].pull_n == pytest.approx(838.427947598, rel=1e-8)


@pytest.mark.parametrize(
    ("heights", "weight_n", "stands_off_mm", "pulls"),
    [
        ([900, 900, 100], 350, 95, [18.3588957055, 18.3588957055, 2.03987730061]),
        ([900, 900, 900], 600, 120, [26.6666666667] * 3),
    ],
)
def test_tilting_about_the_lower_edge_pulls_as_the_textbook_says(
    heights: list[float], weight_n: float, stands_off_mm: float, pulls: list[float]
) -> None:
    # tilt3 and tilt4row_lose1 of the check values: T = M·y/Σy² (computed); M = Σ T·y is checked there too.
    held = bolts(*zip((0.0, 600.0, 300.0), heights, strict=True))
    found = support_forces(held, [Pad(0, 0), Pad(600, 0)], [Action(0, -weight_n, 0, 300, 0, stands_off_mm)])
    assert [force.pull_n for force in found.by_support.values()] == pytest.approx(pulls, rel=1e-9)
    assert sum(found.by_pad_n) == pytest.approx(sum(pulls), rel=1e-9)
    assert found.by_pad_n[0] == pytest.approx(found.by_pad_n[1], rel=1e-9)


@pytest.mark.parametrize(
    ("pull", "shear", "steel", "concrete", "steel_met", "concrete_met"),
    [
        (0.3, 0.3, 0.18, 0.328633534503, True, True),
        (0.8, 0.4, 0.8, 0.968523965613, True, True),
        (0.7, 0.7, 0.98, 1.17132403715, True, False),
    ],
)
def test_pull_and_shear_together_follow_en_1992_4(
    pull: float, shear: float, steel: float, concrete: float, steel_met: bool, concrete_met: bool
) -> None:
    # EN 1992-4:2018, 7.2.3 (read in a public copy): exponent 2 for steel, 1.5 for other failures; values
    # int_30_30, int_80_40, int_70_70 of the check values (computed).
    force = SupportForce(0.0, shear * 1000, shear * 1000, pull * 1000)
    for kind, combined, met in (("steel", steel, steel_met), ("concrete", concrete, concrete_met)):
        found = share_of_allowed(force, Resistance(1000, 1000, kind, "check values"))  # type: ignore[arg-type]
        assert found.combined == pytest.approx(combined, abs=1e-9)
        assert (found.pull, found.shear) == pytest.approx((pull, shear))
        assert found.verdict == (MET if met else NOT_MET)


@pytest.mark.parametrize(
    ("solid", "pull", "shear", "verdict"),
    [(True, 0.6, 0.6, MET), (True, 0.61, 0.6, NOT_MET), (False, 0.5, 0.5, MET), (False, 0.51, 0.5, NOT_MET)],
)
def test_masonry_adds_up_to_one_point_two_when_solid_and_one_when_hollow(
    solid: bool, pull: float, shear: float, verdict: str
) -> None:
    # Linear sums of anchors' approval documents for masonry (from memory).
    force = SupportForce(0.0, shear * 1000, shear * 1000, pull * 1000)
    assert share_of_allowed(force, Resistance(1000, 1000, "masonry", "document", solid=solid)).verdict == verdict


def test_the_steel_of_an_m8_anchor_carries_what_en_1992_4_gives() -> None:
    # steel_rd_M8_8.8: As = 36.6 mm², fuk = 800, fyk = 640 MPa: 19.52 kN of pull, 11.712 kN of shear (γ 1.5 and 1.25
    # by EN 1992-4 table 4.1; k6 = 0.5 from memory).
    allowed = Resistance(36.6 * 800 / 1.5, 0.5 * 36.6 * 800 / 1.25, "steel", "EN 1992-4")
    full = share_of_allowed(SupportForce(0, 0, 0, 19_520), allowed)
    assert (full.combined, full.verdict) == (pytest.approx(1.0, abs=1e-9), MET)
    assert share_of_allowed(SupportForce(0, 11_712, 11_712, 0), allowed).shear == pytest.approx(1.0, abs=1e-9)
    assert share_of_allowed(SupportForce(0, 0, 0, 19_521), allowed).verdict == NOT_MET


def test_the_cases_take_the_factors_of_en_1990() -> None:
    # EN 1990 table A1.2: 1.35 and 1.5 against, 0.9 for a weight that helps (set A); accidental: 1.0 and ψ1 = 0.5 of
    # table A1.1 (all from memory). Weight with standard gravity, 9.80665 m/s² (ISO 80000-3).
    cases = {case.name: case for case in design_cases(100, (0, 0, 50), lean_n=400, lean_at=(600, 0, 80))}
    assert cases["weight alone"].actions[0].fy_n == pytest.approx(-1.35 * 980.665)
    weight, pull = cases["pulled outwards, weight at its least"].actions
    assert (weight.fy_n, pull.fz_n) == (pytest.approx(-0.9 * 980.665), pytest.approx(600))
    assert cases["leaning down"].actions[1].fy_n == pytest.approx(-600)
    assert cases["knocked from below"].actions[1].fy_n == pytest.approx(600)
    weight, pull = cases["pulled outwards"].accidental or ()
    assert (weight.fy_n, pull.fz_n) == (pytest.approx(-980.665), pytest.approx(200))


@pytest.mark.parametrize(("bevel_deg", "share"), [(0, 0.0), (30, 1 / math.sqrt(3)), (45, 1.0), (60, math.sqrt(3))])
def test_a_bevelled_rail_is_pushed_off_by_the_tangent_of_its_bevel(bevel_deg: float, share: float) -> None:
    # Statics of a wedge without friction: thrust = V·tan θ; at 45° it is the whole weight.
    assert rail_thrust_n(500, bevel_deg) == pytest.approx(500 * share, abs=1e-9)


def test_a_ladder_against_a_smooth_wall_is_the_same_statics() -> None:
    # Any engineering statics text: the push of the upper pad on a piece that stands on one support below and leans is
    # W·e/h; here with everything mirrored, the hook above pulls and the pad below pushes.
    found = support_forces([Support("hook", 0, 1000)], [Pad(0, 0)], [weight_action(10, (0, 500, 80))])
    assert found.by_support["hook"].pull_n == pytest.approx(10 * 9.80665 * 80 / 1000)
    assert found.by_pad_n[0] == pytest.approx(10 * 9.80665 * 80 / 1000)
