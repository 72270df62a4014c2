"""What always holds of colour differences and matches."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.trade.colour import Lab, Reading, between_zones, delta_e_2000, gloss_match, lab_to_srgb, match, srgb_to_lab
from siteapp.trade.errors import TradeError

axis = st.floats(-128, 128)
labs = st.builds(Lab, st.floats(0, 100), axis, axis)
EYES = {"instrument": "meter", "illuminant": "D65", "observer": "10°"}
SAMPLE = Reading(Lab(52.3, -1.2, 4.6), **EYES)


def read(*offsets: float, **other: str) -> list[Reading]:
    return [Reading(Lab(52.3 + off, -1.2, 4.6), **(EYES | other), label=f"{at}") for at, off in enumerate(offsets, 1)]


@given(labs, labs)
def test_a_difference_is_the_same_both_ways_and_never_negative(one: Lab, other: Lab) -> None:
    assert delta_e_2000(one, other) == pytest.approx(delta_e_2000(other, one), abs=1e-9)
    assert delta_e_2000(one, other) >= 0


@given(labs)
def test_a_colour_is_no_distance_from_itself(one: Lab) -> None:
    assert delta_e_2000(one, one) == 0


@given(labs, st.floats(1e-3, 20))
def test_other_colours_are_some_distance_apart(one: Lab, off: float) -> None:
    other = Lab(one.l, one.a + (off if one.a < 0 else -off), one.b)
    assert delta_e_2000(one, other) > 0


@given(st.integers(0, 255), st.integers(0, 255), st.integers(0, 255))
def test_every_colour_of_a_screen_comes_back(r: int, g: int, b: int) -> None:
    found = lab_to_srgb(srgb_to_lab(r, g, b))
    assert (found.r, found.g, found.b, found.out_of_gamut) == (r, g, b, False)


@pytest.mark.parametrize("bad", [(-0.1, 0, 0), (100.1, 0, 0), (50, -129, 0), (50, 0, 129), (float("nan"), 0, 0)])
def test_a_lab_outside_its_range_is_refused_with_the_range(bad: tuple[float, float, float]) -> None:
    with pytest.raises(TradeError, match=r"[Lab]\* is .*allowed is a number from"):
        Lab(*bad)


def test_a_zone_is_met_when_its_worst_reading_is_near_enough() -> None:
    found = match(SAMPLE, read(0.4, 0.6, 0.9), 1.0)
    assert (found.verdict, found.odd_one_out, found.reasons) == ("met", None, ())
    assert found.worst == pytest.approx(delta_e_2000(SAMPLE.lab, Lab(53.2, -1.2, 4.6)))
    found = match(SAMPLE, read(0.4, 0.6, 1.4), 1.0)
    assert found.verdict == "not met"
    assert found.delta_e < 1.0


@pytest.mark.parametrize(
    ("readings", "reason"),
    [
        (read(0.1, 0.2), "2 of at least 3"),
        ([], "0 of at least 3"),
        ([*read(0.1, 0.2), *read(0.3, observer="2°")], "more than one observer"),
        (read(0.1, 0.2, 0.3, illuminant="A"), "more than one illuminant"),
        ([Reading(SAMPLE.lab, None, "D65", "10°")] * 3, "which instrument a reading is of is not said"),
    ],
)
def test_what_cannot_be_compared_is_never_met(readings: list[Reading], reason: str) -> None:
    found = match(SAMPLE, readings, 1.0)
    assert found.verdict == "cannot tell"
    assert reason in " ".join(found.reasons)


def test_mixed_instruments_say_nothing_however_far_they_read() -> None:
    assert match(SAMPLE, read(30, 30, 30, instrument="another"), 1.0).verdict == "cannot tell"


def test_without_a_sample_or_a_tolerance_nobody_can_tell() -> None:
    assert match(None, read(0.1, 0.2, 0.3), 1.0).verdict == "cannot tell"
    assert match(SAMPLE, read(0.1, 0.2, 0.3), None).verdict == "cannot tell"


def test_the_odd_reading_is_named_and_still_counts() -> None:
    found = match(SAMPLE, read(0.1, 0.15, 0.2, 6.0), 10.0)
    assert (found.odd_one_out, found.verdict) == ("4", "cannot tell")
    assert match(SAMPLE, read(0.1, 0.15, 0.2, 6.0), 1.0).verdict == "not met"
    assert match(SAMPLE, read(0.1, 0.5, 0.9, 1.3), 10.0).odd_one_out is None
    assert match(SAMPLE, read(0.1, 0.1, 6.0), 10.0).odd_one_out is None


@given(st.lists(st.floats(-5, 5), min_size=3, max_size=6), st.floats(0.1, 10), st.floats(0, 10))
def test_a_wider_tolerance_never_turns_met_into_not_met(offsets: list[float], tolerance: float, wider: float) -> None:
    if match(SAMPLE, read(*offsets), tolerance).verdict == "met":
        assert match(SAMPLE, read(*offsets), tolerance + wider).verdict == "met"


def test_zones_are_held_against_each_other_in_pairs() -> None:
    zones = {"left": read(0, 0.1, 0.2), "right": read(2, 2.1, 2.2), "edge": read(0.1)}
    told = {(one.zone, one.other): one for one in between_zones(zones, 1.0)}
    assert {names: one.verdict for names, one in told.items()} == {
        ("left", "right"): "not met",
        ("left", "edge"): "cannot tell",
        ("right", "edge"): "not met",
    }
    assert told["left", "right"].delta_e == pytest.approx(
        delta_e_2000(Lab(52.4, -1.2, 4.6), Lab(54.4, -1.2, 4.6)), abs=1e-6
    )


def test_sheen_is_compared_at_one_angle_alone() -> None:
    assert gloss_match((8.0, 60), [(8.5, 60), (9, 60), (7.5, 60)], 2.0).verdict == "met"
    assert gloss_match((8.0, 60), [(8.5, 60), (11, 60), (7.5, 60)], 2.0).verdict == "not met"
    assert gloss_match((8.0, 60), [(8.5, 85), (9, 60), (7.5, 60)], 2.0).verdict == "cannot tell"
    assert gloss_match(None, [(8.5, 60)] * 3, 2.0).verdict == "cannot tell"
    assert gloss_match((8.0, 60), [(8.5, 60)] * 2, 2.0).verdict == "cannot tell"
    with pytest.raises(TradeError, match="gloss is -1"):
        gloss_match((-1, 60), [], 2.0)
