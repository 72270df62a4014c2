"""What always holds of a heat test, whatever was read."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from siteapp.trade.errors import TradeError
from siteapp.trade.heat import combustible_trim, fit_exponential, heat_test, heat_verdict, heat_verdicts

ROOM = {"room_now_c": 20.0, "hottest_room_c": 26.0}


def warmed(final_c: float, tau: float, minutes: float, spacing: float = 5.0, start_c: float = 20.0):
    count = int(minutes / spacing) + 1
    return [(at * spacing, final_c - (final_c - start_c) * math.exp(-at * spacing / tau)) for at in range(count)]


def faults_of(readings, **told):
    return " ".join(heat_test(readings, **told).faults)


def test_nothing_and_one_reading_are_answers_with_their_fault() -> None:
    assert heat_test([]).faults == ("no reading",)
    one = heat_test([(5, 31.0)])
    assert "one reading alone" in one.note
    assert (one.peak_c, one.final_c, one.plateau_c) == (31.0, None, None)
    for found in (heat_test([]), one):
        told = heat_verdict(found, {"laminate": 60.0}, **ROOM)
        assert told.verdict == "cannot tell"
        assert not told.stop


@pytest.mark.parametrize(
    "reading", [(-1, 20.0), (20_161, 20.0), (float("nan"), 20.0), (1, -41.0), (1, 1001.0), (1, float("inf"))]
)
def test_a_reading_that_cannot_be_is_refused_with_its_range(reading: tuple[float, float]) -> None:
    with pytest.raises(TradeError, match="allowed is a number"):
        heat_test([(0, 20.0), reading])


def test_readings_count_in_whatever_order_they_come() -> None:
    readings = warmed(60, 30, 90)
    assert heat_test(reversed(readings)) == heat_test(readings)


def test_cooling_is_named() -> None:
    readings = [*warmed(60, 30, 60), *((60 + 5 * at, 55 - 3 * at) for at in range(1, 8))]
    assert "cooling" in faults_of(readings)
    assert "cooling" not in faults_of(readings, shut_down_min=60)


def test_a_gap_is_named_with_its_times() -> None:
    readings = [one for one in warmed(60, 30, 120, 2.0) if not 40 < one[0] < 80]
    assert "gap: nothing was read from 40 to 80 min" in faults_of(readings)


def test_a_probe_that_slips_is_named_and_a_door_opened_for_fuel_is_not() -> None:
    readings = warmed(70, 30, 120, 2.0)
    slipped = [(t, c if t < 80 else 24.0) for t, c in readings]
    assert "slipped probe" in faults_of(slipped)
    opened = [(t, c - (8 if t in {60.0, 62.0} else 0)) for t, c in readings]
    assert faults_of(opened) == ""


def test_two_fires_are_named() -> None:
    first = warmed(60, 20, 60)
    down = [(60 + 5 * at, 58 - 4 * at) for at in range(1, 8)]
    second = [(95 + 5 * at, 30 + 5 * at) for at in range(1, 8)]
    assert "two fires" in faults_of([*first, *down, *second])


def test_a_probe_that_does_not_warm_is_named() -> None:
    assert "not rising" in faults_of([(5.0 * at, 20.2) for at in range(10)])


def test_met_comes_only_from_a_plateau_that_was_measured() -> None:
    limits = {"laminate": 80.0, "bond": 75.0}
    early = heat_verdict(heat_test(warmed(50, 20, 60)), limits, **ROOM)
    late = heat_verdict(heat_test(warmed(50, 20, 180)), limits, **ROOM)
    assert (early.verdict, late.verdict) == ("cannot tell", "met")
    assert late.weakest == "bond"
    assert late.expected_c == pytest.approx(50 + 6, abs=1)
    assert late.spare_c == pytest.approx(75 - 10 - late.expected_c)
    assert "rated output" in " ".join(late.assumptions)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"room_now_c": None}, "room now is not known"),
        ({"hottest_room_c": None}, "hottest room is not known"),
        ({"rated_output": None}, "rated output is not known"),
        ({"rated_output": False}, "not at its rated output"),
        ({"needs_shut_down": True}, "not logged through shut-down"),
    ],
)
def test_what_is_missing_is_never_met(change: dict[str, object], reason: str) -> None:
    told = heat_verdict(heat_test(warmed(50, 20, 180)), {"laminate": 80.0}, **(ROOM | change))
    assert told.verdict == "cannot tell"
    assert reason in " ".join(told.reasons)


@pytest.mark.parametrize("limits", [{}, {"laminate": 80.0, "bond": None}])
def test_a_limit_that_is_not_known_is_never_met(limits: dict[str, float | None]) -> None:
    assert heat_verdict(heat_test(warmed(50, 20, 180)), limits, **ROOM).verdict == "cannot tell"


def test_a_reading_past_the_weakest_limit_stops_the_fire() -> None:
    told = heat_verdict(heat_test([(0, 20.0), (5, 62.0)]), {"laminate": 90.0, "foam": 60.0}, **ROOM)
    assert (told.verdict, told.stop, told.weakest) == ("not met", True, "foam")
    told = heat_verdict(heat_test([(0, 20.0), (5, 59.0)]), {"foam": 60.0}, error_c=1.5, **ROOM)
    assert told.stop


def test_the_upper_end_of_the_fit_stops_the_fire_before_a_reading_does() -> None:
    readings = warmed(75, 30, 45, 3.0)
    assert max(c for _, c in readings) < 65
    told = heat_verdict(heat_test(readings), {"bond": 70.0}, **ROOM)
    assert (told.verdict, told.stop) == ("not met", True)
    assert "upper end of the fit" in " ".join(told.reasons)


def test_the_room_the_error_and_the_margin_are_added_to_what_was_measured() -> None:
    test = heat_test(warmed(50, 20, 240))
    assert heat_verdict(test, {"bond": 67.0}, **ROOM).verdict == "met"
    assert heat_verdict(test, {"bond": 65.0}, **ROOM).verdict == "not met"
    assert heat_verdict(test, {"bond": 67.0}, error_c=2.0, **ROOM).verdict == "not met"
    assert not heat_verdict(test, {"bond": 65.0}, **ROOM).stop


def test_fuel_put_on_by_hand_asks_for_two_cycles_that_stand_still() -> None:
    fire = [(t, c + 3 * math.sin(t / 45 * 2 * math.pi)) for t, c in warmed(50, 25, 225, 5.0)]
    cycles = [45.0 * at for at in range(1, 5)]
    assert not heat_test(fire, refuelled_min=()).long_enough
    assert not heat_test(fire, refuelled_min=cycles[:1]).long_enough
    found = heat_test(fire, refuelled_min=cycles)
    assert found.long_enough
    assert found.plateau_c == pytest.approx(53, abs=0.6)


def test_after_shut_down_the_peak_must_be_seen_to_pass() -> None:
    fire = warmed(50, 20, 180)
    soaking = [(185.0, 52.0), (190.0, 54.0), (195.0, 55.0)]
    passed = [*soaking, (200.0, 53.5), (210.0, 51.0)]
    for after, seen in (([], False), (soaking, False), (passed, True)):
        found = heat_test([*fire, *after], shut_down_min=180)
        assert found.peak_passed is seen
        told = heat_verdict(found, {"bond": 90.0}, needs_shut_down=True, **ROOM)
        assert told.verdict == ("met" if seen else "cannot tell")
    assert told.expected_c == pytest.approx(55 + 6, abs=1)


def test_each_probe_answers_for_its_parts_and_the_hottest_for_those_without_one() -> None:
    tests = {"P1": heat_test(warmed(58, 20, 200)), "P2": heat_test(warmed(35, 20, 200))}
    limits: dict[str, float | None] = {"laminate": 80.0, "anchor resin": 55.0, "foam": 76.0}
    overall, told, stands_in = heat_verdicts(tests, {"P1": ["laminate"], "P2": ["anchor resin"]}, limits, **ROOM)
    assert (overall, stands_in) == ("met", {"foam": "P1"})
    assert told["P1"].weakest == "foam"
    overall, *_ = heat_verdicts(tests, {"P1": ["laminate"], "P2": []}, limits, **ROOM)
    assert overall == "not met"
    assert heat_verdicts({}, {}, limits, **ROOM)[0] == "cannot tell"


def test_twenty_thousand_readings_are_fitted_by_their_means() -> None:
    readings = [(at / 100, 60 - 40 * math.exp(-at / 100 / 30) + 0.2 * math.sin(at)) for at in range(20_000)]
    found = heat_test(readings)
    assert found.count == 20_000
    assert found.final_c == pytest.approx(60, abs=0.1)


heat = st.floats(30, 120)


@settings(deadline=None, max_examples=60)
@given(
    fast=st.floats(5, 40), slow=st.floats(60, 300), rise_fast=st.floats(5, 60), rise_slow=st.floats(2, 40),
    hours=st.floats(0.5, 12),
)  # fmt: skip
def test_a_slow_wall_behind_a_fast_face_is_never_met_by_where_it_seems_to_lead(
    fast: float, slow: float, rise_fast: float, rise_slow: float, hours: float
) -> None:
    """Whatever was logged: if the wall in the end passes the limit less room and margin, no log is met."""
    minutes = [5.0 * at for at in range(int(hours * 12) + 1)]
    law = [20 + rise_fast * (1 - math.exp(-t / fast)) + rise_slow * (1 - math.exp(-t / slow)) for t in minutes]
    true_end = 20 + rise_fast + rise_slow
    limit = true_end + 6 + 10 - 0.01  # a hundredth short of what the truth asks for
    assume(20 < limit < 1000)
    found = heat_test(zip(minutes, law, strict=True))
    assert heat_verdict(found, {"bond": limit}, **ROOM).verdict != "met"


@settings(deadline=None, max_examples=60)
@given(final_c=heat, hotter=st.floats(0, 30), limit=st.floats(40, 140), lower=st.floats(0, 40))
def test_a_hotter_piece_or_a_lower_limit_never_turns_not_met_into_met(
    final_c: float, hotter: float, limit: float, lower: float
) -> None:
    cool, hot = heat_test(warmed(final_c, 20, 200)), heat_test(warmed(final_c + hotter, 20, 200))
    if heat_verdict(cool, {"bond": limit}, **ROOM).verdict == "not met":
        assert heat_verdict(hot, {"bond": limit}, **ROOM).verdict == "not met"
        assert heat_verdict(cool, {"bond": max(20, limit - lower)}, **ROOM).verdict == "not met"


@given(near=st.floats(0, 20_000), further=st.floats(0, 20_000), projection=st.floats(0, 500))
def test_nothing_nearer_to_the_fire_may_project_further(near: float, further: float, projection: float) -> None:
    near, further = sorted((near, further))
    one, other = combustible_trim(near, projection), combustible_trim(further, projection)
    if one.allowed_projection_mm is not None and other.allowed_projection_mm is not None:
        assert one.allowed_projection_mm <= other.allowed_projection_mm


def test_readings_without_noise_leave_no_interval() -> None:
    fit = fit_exponential(*zip(*warmed(60, 30, 90), strict=True))
    assert fit.final_c_low <= fit.final_c <= fit.final_c_high
    assert fit.final_c_high - fit.final_c_low < 1e-3


@pytest.mark.parametrize(
    "told", [([0, 1], [20.0, 21.0, 22.0]), ([0, 1, 2], [20.0, 21.0, 22.0]), ([0, 1, 2, 3], [5.0] * 4)]
)
def test_what_cannot_be_fitted_is_refused(told: tuple[list[float], list[float]]) -> None:
    with pytest.raises(TradeError):
        fit_exponential(*told)


def test_a_probe_without_a_part_is_not_asked() -> None:
    test = heat_test(warmed(50, 20, 200))
    _overall, told, _ = heat_verdicts(
        {"P1": test, "P2": replace(test, peak_c=40.0)}, {"P1": ["bond"]}, {"bond": 90}, **ROOM
    )
    assert list(told) == ["P1"]
