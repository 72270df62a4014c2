"""Proof tests and cable zones against published practice; each check says how its figures are known."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime
from fractions import Fraction

import pytest

from siteapp.trade import anchors
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

# Beyond the 100 mm at which the other side counts; the check values below are of such a wall.
THICK_MM = 215


@pytest.mark.parametrize(
    ("number", "at_2_5", "at_5"), [(12, 3, 3), (120, 3, 6), (200, 5, 10), (400, 10, 20), (2, 2, 2), (4, 3, 3)]
)
def test_as_many_anchors_are_tested_as_bs_8539_asks(number: int, at_2_5: int, at_5: int) -> None:
    # BS 8539 annex B.3: the shares and the least number read in a public copy, the counts computed outside the
    # project. That no more than all of two are tested is plain.
    two_and_a_half, five = anchors.proof_tests(number), anchors.proof_tests(number, fraction=0.05)
    assert (two_and_a_half.count, five.count) == (at_2_5, at_5)
    assert (two_and_a_half.load_factor, five.load_factor) == (1.5, 1.25)


def test_counts_are_exact_shares_rounded_up() -> None:
    # Exact rational arithmetic (the standard library's Fraction), where a product of floats may round the wrong way.
    for number in range(1, 3000):
        for fraction, exact in ((0.025, Fraction(25, 1000)), (0.05, Fraction(50, 1000))):
            expected = min(number, max(3, math.ceil(exact * number)))
            assert anchors.proof_tests(number, fraction=fraction).count == expected, number


@pytest.mark.parametrize(
    ("action_kn", "fraction", "load_kn"), [(1.0, 0.025, 1.5), (1.0, 0.05, 1.25), (2.4, 0.025, 3.6), (0.6, 0.05, 0.75)]
)
def test_the_proof_load_is_the_action_times_its_factor(action_kn: float, fraction: float, load_kn: float) -> None:
    # BS 8539 annex B.3, N_p = N_Sk · v_p,test, read in a public copy.
    assert anchors.proof_load_n(action_kn * 1000, fraction) == pytest.approx(load_kn * 1000, abs=1e-9)


def test_after_one_failure_the_reason_is_looked_for_and_the_number_doubled() -> None:
    # BS 8539 annex B.3, read in a public copy: investigate, double to 5 %, at least 6.
    plan = anchors.proof_tests(40, failures=1, tested=3)
    assert (plan.count, plan.left, plan.next_step, plan.verdict) == (6, 3, "investigate", NOT_MET)
    assert anchors.proof_tests(400, failures=1, tested=10).count == 20


def test_after_a_second_failure_all_are_tested() -> None:
    # BS 8539 annex B.3, read in a public copy: test 100 %, reconsider the specification.
    plan = anchors.proof_tests(40, failures=2, tested=6)
    assert (plan.count, plan.left) == (40, 34)
    assert plan.next_step == "test all, reconsider specification"


@pytest.mark.parametrize(
    ("hole_mm", "accessories_mm", "result"),
    [
        ((100, 1200), [], "zone(angle)"),
        ((1500, 2300), [], "zone(top)"),
        ((1600, 1200), [(1500, 300)], "clear"),
        # Both by hand from the same rule: 40 mm beside the middle of an accessory 86 mm wide, and across from it.
        ((1540, 1200), [(1500, 300)], "zone(accessory)"),
        ((2400, 310), [(1500, 300)], "zone(accessory)"),
        # No zone along the floor.
        ((1500, 20), [], "clear"),
    ],
)
def test_cables_are_likely_where_the_wiring_rules_put_them(
    hole_mm: tuple[float, float], accessories_mm: list[tuple[float, float]], result: str
) -> None:
    # BS 7671 522.6.202, read in public copies; the first three rows computed outside the project.
    found = anchors.cable_zone(hole_mm, (3000, 2400), accessories_mm, thickness_mm=THICK_MM)
    assert found.result == result
    assert "detector" in found.note


@pytest.mark.parametrize(("thickness_mm", "result"), [(100, "zone(accessory on the other side)"), (101, "clear")])
def test_through_a_thin_wall_the_other_side_counts(thickness_mm: float, result: str) -> None:
    # BS 7671 522.6.202: "a wall of 100 mm thickness or less … extends to the reverse side", read in public quotations.
    found = anchors.cable_zone((1500, 1200), (3000, 2400), [], thickness_mm=thickness_mm, reverse_mm=[(1500, 300)])
    assert found.result == result


@pytest.mark.parametrize(
    ("wall_c", "minutes"), [(5, 240), (9.9, 240), (10, 120), (14, 120), (19, 120), (20, 60), (30, 45), (-1, None)]
)
def test_a_curing_table_is_read_as_makers_print_it(wall_c: float, minutes: float | None) -> None:
    # Makers print ranges: "5 to 9 °C: 240 min, 10 to 19 °C: 120 min, 20 to 29 °C: 60 min, 30 °C: 45 min". The form is
    # from memory, the figures are invented.
    set_at = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
    found = anchors.earliest_loading([(5, 240), (10, 120), (20, 60), (30, 45)], wall_c, set_at)
    assert found.minutes == minutes
    if found.at is not None and minutes is not None:
        assert (found.at - set_at).total_seconds() == minutes * 60


@pytest.mark.parametrize(
    ("hung", "again"),
    [
        ("2026-11-25", "2027-05-01"),
        ("2026-05-01", "2027-05-01"),
        ("2026-01-31", "2026-05-01"),
        ("2026-02-01", "2027-05-01"),
        ("2027-12-31", "2028-05-01"),
    ],
)
def test_a_piece_is_looked_over_again_after_its_first_winter(hung: str, again: str) -> None:
    # Ours: no source. Some rows of it, so that a change is seen.
    assert anchors.first_heating_season_end(date.fromisoformat(hung)) == date.fromisoformat(again)


def test_a_proof_test_says_that_it_shows_setting_and_not_resistance() -> None:
    # BS 8539: proof tests validate the quality of installation, read in public guides to it.
    good = anchors.proof_verdict(
        asked_n=1500,
        reached_n=1500,
        held_s=60,
        movement_mm=0.1,
        allowed_mm=0.5,
        gauge_until=date(2027, 3, 1),
        tested_on=date(2027, 3, 1),
    )
    assert (good.verdict, good.reasons) == (MET, ())
    assert "set well" in good.shows
    assert "does not show what it, or the wall, can carry" in good.shows
    assert anchors.proof_tests(40).shows == good.shows
    assert anchors.proof_tests(40).verdict == CANNOT_TELL
