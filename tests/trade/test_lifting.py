"""What always holds of a lift that is planned, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.trade.errors import TradeError
from siteapp.trade.lifting import filter_kg, lift_plan, team_capacity_kg
from siteapp.trade.lifting.steps import CARRIES, KINDS, REACHES, STANDINGS, ZONES, LiftStep

EASY = {"zones": ("knuckle_to_elbow",), "reach": "close", "standing": "floor", "lifting": 2, "guiding": 1}
WHOLE = tuple(LiftStep(kind, carry_m=8.0 if kind == "carry" else None, **EASY) for kind in KINDS)
RANK = {"not met": 0, "cannot tell": 1, "met": 2}

people = st.integers(0, 5)
weights = st.floats(0.1, 120)
zone_sets = st.sets(st.sampled_from(ZONES), max_size=3).map(tuple)


@st.composite
def lift_steps(draw, kind=None):
    kind = kind or draw(st.sampled_from(KINDS))
    lifting = draw(st.none() | people)
    aids = [aid for aid, kinds in CARRIES.items() if kind in kinds]
    return LiftStep(
        kind,
        lifting=lifting,
        guiding=draw(st.none() | people),
        zones=draw(zone_sets),
        reach=draw(st.none() | st.sampled_from(REACHES)),
        standing=draw(st.none() | st.sampled_from(STANDINGS)),
        lower=draw(st.none() | st.integers(0, 5 if lifting is None else lifting)),
        carry_m=draw(st.none() | st.floats(0, 30)),
        aid=draw(st.none() | st.sampled_from(aids)),
        aid_rated_kg=draw(st.none() | st.floats(1, 200)),
        in_crate=draw(st.booleans()),
    )


def the_step(kind, weight_kg, **changes):
    return lift_plan(weight_kg, [LiftStep(kind, **{**EASY, **changes})], weighed=True).steps[0]


def test_a_light_weighed_piece_with_every_step_described_is_met() -> None:
    plan = lift_plan(10.0, WHOLE, weighed=True)
    assert (plan.verdict, plan.people, plan.reasons, plan.aids) == ("met", 3, (), ())
    assert plan.source
    assert plan.assumptions


@pytest.mark.parametrize("kind", KINDS)
def test_a_plan_that_leaves_a_kind_of_step_out_cannot_be_told(kind) -> None:
    plan = lift_plan(10.0, [step for step in WHOLE if step.kind != kind], weighed=True)
    assert plan.verdict == "cannot tell"
    assert f"no step says how it goes: {kind}" in plan.reasons


def test_an_estimate_may_stop_a_lift_and_lets_none_go_on() -> None:
    assert lift_plan(10.0, WHOLE).verdict == "cannot tell"
    assert lift_plan(40.0, WHOLE).verdict == "not met"
    assert lift_plan(None, WHOLE, weighed=True).verdict == "cannot tell"


@pytest.mark.parametrize("aid", [None, "hoist"])
def test_nobody_lifts_from_a_ladder_whatever_it_weighs(aid) -> None:
    found = the_step("raise", 0.5, standing="ladder", aid=aid, aid_rated_kg=500.0 if aid else None)
    assert found.verdict == "not met"
    assert "ladder" in found.reasons[0]


def test_whoever_guides_does_not_lift() -> None:
    assert the_step("raise", 20.0).verdict == "met"
    assert the_step("raise", 20.0, guiding=0).verdict == "not met"
    assert the_step("raise", 20.0, guiding=None).verdict == "cannot tell"
    assert the_step("raise", 10.0, guiding=None, lifting=1).verdict == "met"


def test_the_smallest_zone_on_the_way_counts() -> None:
    # Two at 7 kg: 9.3 kg.
    assert the_step("raise", 9.3, zones=("knuckle_to_elbow", "above_shoulder")).verdict == "met"
    assert the_step("raise", 9.4, zones=("knuckle_to_elbow", "above_shoulder")).verdict == "not met"


def test_more_than_three_lifting_cannot_be_told_and_never_lift_more_than_their_sum() -> None:
    assert the_step("raise", 30.0, lifting=4).verdict == "cannot tell"
    assert the_step("raise", 65.0, lifting=4).verdict == "not met"


def test_on_stairs_those_below_must_be_able_to_carry_it_alone() -> None:
    stairs = {"standing": "stairs", "carry_m": 6.0}
    assert the_step("carry", 16.0, lower=1, **stairs).verdict == "met"
    assert the_step("carry", 17.0, lower=1, **stairs).verdict == "cannot tell"
    assert the_step("carry", 21.4, lower=1, **stairs).verdict == "not met"
    assert the_step("carry", 10.0, lower=None, **stairs).verdict == "cannot tell"


def test_the_figures_end_at_ten_metres_and_at_the_knuckles() -> None:
    assert the_step("carry", 5.0, carry_m=10.0).verdict == "met"
    assert the_step("carry", 5.0, carry_m=10.1).verdict == "cannot tell"
    assert the_step("carry", 5.0, carry_m=None).verdict == "cannot tell"
    assert the_step("carry", 5.0, carry_m=5.0, zones=("lower_leg_to_knuckle",)).verdict == "cannot tell"


def test_holding_still_counts_half() -> None:
    assert the_step("hold", 10.6).verdict == "met"
    assert the_step("hold", 10.7).verdict == "not met"


def test_an_aid_carries_what_its_plate_says_and_no_more() -> None:
    hoist = {"aid": "hoist", "lifting": 0}
    assert the_step("raise", 90.0, aid_rated_kg=100.0, **hoist).verdict == "met"
    assert the_step("raise", 101.0, aid_rated_kg=100.0, **hoist).verdict == "not met"
    assert the_step("raise", 90.0, **hoist).verdict == "cannot tell"


def test_a_crate_of_unknown_weight_weighs_at_least_what_is_in_it() -> None:
    step = LiftStep("unload", in_crate=True, **EASY)
    assert lift_plan(10.0, [step], weighed=True).steps[0].verdict == "cannot tell"
    assert lift_plan(40.0, [step], weighed=True).steps[0].verdict == "not met"
    assert lift_plan(10.0, [step], weighed=True, crate_kg=15.0, crate_weighed=True).steps[0].verdict == "met"


def test_what_three_may_not_lift_wants_an_aid() -> None:
    plan = lift_plan(30.0, WHOLE, weighed=True)
    assert "raise: more than three people may lift; take a hoist" in plan.aids
    assert the_step("raise", 24.0, lifting=3).fewest == 3


@settings(max_examples=80, deadline=None)
@given(weight=weights, lighter=st.floats(0.01, 1), step=lift_steps())
def test_a_lighter_piece_never_does_worse(weight, lighter, step) -> None:
    def verdict(kg):
        return RANK[lift_plan(kg, [step], weighed=True, crate_kg=kg * 1.2, crate_weighed=True).steps[0].verdict]

    assert verdict(weight * lighter) >= verdict(weight)


@settings(max_examples=100, deadline=None)
@given(weight=weights, step=lift_steps(), crate=st.none() | st.floats(0.1, 200))
def test_a_figure_left_out_never_makes_a_step_met(weight, step, crate) -> None:
    def verdict(one, kg=weight, crate_kg=crate, weighed=True):
        found = lift_plan(kg, [one], weighed=weighed, crate_kg=crate_kg, crate_weighed=weighed)
        return found.steps[0].verdict

    if verdict(step) == "met":
        return
    blank = {"lifting": None, "guiding": None, "zones": (), "reach": None, "standing": None, "lower": None}
    for name, nothing in {**blank, "carry_m": None, "aid_rated_kg": None}.items():
        assert verdict(replace(step, **{name: nothing})) != "met", name
    assert verdict(step, kg=None) != "met"
    assert verdict(step, crate_kg=None) != "met"
    assert verdict(step, weighed=False) != "met"


@settings(max_examples=60, deadline=None)
@given(weight=weights, step=lift_steps())
def test_every_verdict_but_met_says_why(weight, step) -> None:
    found = lift_plan(weight, [step], weighed=True).steps[0]
    assert (found.verdict == "met") == (not found.reasons)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0, 6000.0, True, "12"])
@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda bad: lift_plan(bad, WHOLE), "weight of the piece"),
        (lambda bad: lift_plan(10, WHOLE, crate_kg=bad), "gross weight of the crate"),
        (lambda bad: team_capacity_kg([16, bad]), "what one person lifts"),
        (lambda bad: LiftStep("raise", lifting=bad), "people lifting"),
        (lambda bad: LiftStep("raise", guiding=bad), "people guiding"),
        (lambda bad: LiftStep("carry", lower=bad), "people below on the stairs"),
        (lambda bad: LiftStep("carry", carry_m=bad), "carry without a rest"),
        (lambda bad: LiftStep("raise", aid="hoist", aid_rated_kg=bad), "load on the aid's plate"),
    ],
)
def test_what_cannot_be_is_refused_by_name_with_its_range(call, quantity: str, bad: object) -> None:
    with pytest.raises(TradeError, match=f"{quantity} is .*; allowed is a number"):
        call(bad)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: filter_kg("waist", "close"), "zone is 'waist'; allowed is one of above_shoulder"),
        (lambda: filter_kg("above_shoulder", "near"), "reach is 'near'; allowed is one of close, far"),
        (lambda: LiftStep("throw"), "step is 'throw'"),
        (lambda: LiftStep("raise", aid="prop"), "aid to raise is 'prop'; allowed is one of hoist"),
        (lambda: LiftStep("raise", standing="chair"), "standing on is 'chair'"),
        (lambda: LiftStep("raise", lifting=1.5), "people lifting is 1.5 people; allowed is a whole number"),
        (lambda: LiftStep("carry", lifting=2, lower=3), "people below on the stairs is 3 people"),
        (lambda: lift_plan(10, WHOLE * 20), "number of steps is 100 steps"),
    ],
)
def test_a_slip_is_named(call, words: str) -> None:
    with pytest.raises(TradeError, match=words):
        call()
