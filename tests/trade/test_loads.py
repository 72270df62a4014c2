"""Loads on supports: what must always hold. Small problems are worked out a second time with scipy's own solvers."""

from __future__ import annotations

import math
import time
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.trade import loads
from siteapp.trade.errors import TradeError
from siteapp.trade.loads import (
    Action,
    Pad,
    Resistance,
    Support,
    SupportForce,
    design_cases,
    lose_each,
    losing,
    rail,
    resistance,
    share_of_allowed,
    support_forces,
    weight_action,
)
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

TIGHT = 1e-8
RANK = {NOT_MET: 0, CANNOT_TELL: 1, MET: 2}
CORNERS = (Pad(0, 0), Pad(1200, 0), Pad(0, 800), Pad(1200, 800))

places = st.tuples(st.integers(0, 24).map(lambda n: n * 50.0), st.integers(0, 16).map(lambda n: n * 50.0))
flags = st.booleans()
held = st.lists(st.tuples(places, flags, flags, flags, flags), min_size=0, max_size=6)
pads = st.lists(places.map(lambda at: Pad(*at)), max_size=5)
newtons = st.floats(-2000, 2000, allow_subnormal=False).map(lambda force: round(force, 3))
acting = st.lists(
    st.tuples(newtons, newtons, newtons, places, st.floats(0, 300).map(lambda z: round(z, 1))), min_size=1, max_size=3
)


def supports_of(drawn: list[Any]) -> list[Support]:
    return [Support(f"F{row}", *at, *ways) for row, (at, *ways) in enumerate(drawn)]


def actions_of(drawn: list[Any]) -> list[Action]:
    return [Action(fx, fy, fz, *at, z) for fx, fy, fz, at, z in drawn]


def six(supports: list[Support], pads: list[Pad], actions: list[Action], found: loads.Forces) -> list[float]:
    """The three sums of forces and the three of moments about the origin, of everything that acts on the piece."""
    forces = [((one.fx_n, one.fy_n, one.fz_n), (one.x_mm, one.y_mm, one.z_mm)) for one in actions]
    for one in supports:
        got = found.by_support[one.label]
        forces.append(((got.across_n, got.up_n, -got.pull_n), (one.x_mm, one.y_mm, 0.0)))
    forces += [((0.0, 0.0, push), (pad.x_mm, pad.y_mm, 0.0)) for pad, push in zip(pads, found.by_pad_n, strict=True)]
    return [
        math.fsum(parts)
        for parts in zip(
            *((fx, fy, fz, y * fz - z * fy, z * fx - x * fz, x * fy - y * fx) for (fx, fy, fz), (x, y, z) in forces),
            strict=True,
        )
    ]


def columns(supports: list[Support], pads: list[Pad]) -> tuple[list[list[float]], list[tuple[float | None, None]]]:
    """Every force that may act, as a column of the six equations with moments in metres, and its lower bound."""
    found: list[list[float]] = []
    bounds: list[tuple[float | None, None]] = []
    for one in supports:
        x, y = one.x_mm / 1000, one.y_mm / 1000
        if one.across:
            found.append([1, 0, 0, 0, 0, -y])
            bounds.append((None, None))
        if one.up or one.down:
            sign = 1 if one.up else -1
            found.append([0, sign, 0, 0, 0, sign * x])
            bounds.append((None if one.up and one.down else 0, None))
        if one.pull:
            found.append([0, 0, -1, -y, x, 0])
            bounds.append((0, None))
    for pad in pads:
        found.append([0, 0, 1, pad.y_mm / 1000, -pad.x_mm / 1000, 0])
        bounds.append((0, None))
    return found, bounds


def needed(actions: list[Action]) -> list[float]:
    rows = []
    for one in actions:
        x, y, z = one.x_mm / 1000, one.y_mm / 1000, one.z_mm / 1000
        fx, fy, fz = one.fx_n, one.fy_n, one.fz_n
        rows.append((fx, fy, fz, y * fz - z * fy, z * fx - x * fz, x * fy - y * fx))
    return [-math.fsum(parts) for parts in zip(*rows, strict=True)]


@settings(max_examples=60, deadline=None)
@given(held, pads, acting)
def test_forces_balance_in_all_six_ways_and_every_one_way_rule_holds(
    drawn: list[Any], pads: list[Pad], acts: list[Any]
) -> None:
    supports, actions = supports_of(drawn), actions_of(acts)
    found = support_forces(supports, pads, actions)
    if found.moves is not None:
        assert found.moves
        assert not found.by_support
        assert not found.by_pad_n
        return
    largest = max([abs(part) for one in actions for part in (one.fx_n, one.fy_n, one.fz_n)] + [1e-9])
    every = [*found.by_pad_n, *(part for one in found.by_support.values() for part in (one.shear_n, one.pull_n))]
    largest = max([largest, *every])
    sums = six(supports, pads, actions, found)
    assert all(abs(force) <= TIGHT * largest for force in sums[:3]), sums
    assert all(abs(moment) <= TIGHT * largest * 1000 for moment in sums[3:]), sums
    assert all(push >= 0 for push in found.by_pad_n)
    for one in supports:
        got = found.by_support[one.label]
        assert got.pull_n >= 0
        assert one.pull or got.pull_n == 0
        assert one.across or got.across_n == 0
        assert one.up or got.up_n <= 0
        assert one.down or got.up_n >= 0
        assert got.shear_n == pytest.approx(math.hypot(got.across_n, got.up_n))
        assert found.worst[one.label].pull_n >= got.pull_n


@settings(max_examples=40, deadline=None)
@given(held, pads, acting)
def test_a_piece_moves_just_where_a_linear_programme_finds_no_forces(
    drawn: list[Any], pads: list[Pad], acts: list[Any]
) -> None:
    from scipy.optimize import linprog

    supports, actions = supports_of(drawn), actions_of(acts)
    found, (every, bounds) = support_forces(supports, pads, actions), columns(supports, pads)
    wanted = needed(actions)
    if max(abs(part) for part in wanted) < 1:
        return
    if not every:
        assert found.moves is not None
        return
    answer = linprog([0.0] * len(every), A_eq=list(zip(*every, strict=True)), b_eq=wanted, bounds=bounds)
    assert answer.status in {0, 2}
    if "turns over" not in (found.moves or ""):
        assert (found.moves is not None) == (answer.status == 2)


@settings(max_examples=25, deadline=None)
@given(held, pads, acting)
def test_no_other_forces_that_balance_have_less_elastic_energy(
    drawn: list[Any], pads: list[Pad], acts: list[Any]
) -> None:
    # Kuhn and Tucker: the forces are the least exactly when one small movement of the piece gives each support its
    # force as its stretch. The least misfit of such a movement is a linear programme (HiGHS).
    from scipy.optimize import linprog

    supports, actions = supports_of(drawn), actions_of(acts)
    found = support_forces(supports, pads, actions)
    if found.moves is not None:
        return
    forces: list[float] = []
    for one in supports:
        got = found.by_support[one.label]
        forces += [got.across_n] * one.across
        forces += [got.up_n if one.up else -got.up_n] * (one.up or one.down)
        forces += [got.pull_n] * one.pull
    every, bounds = columns(supports, pads)
    largest = max([abs(force) for force in [*forces, *found.by_pad_n]], default=0.0)
    if largest < 1:
        return
    above, limits = [], []
    for number, (column, (low, _high)) in enumerate(zip(every, bounds, strict=True)):
        stretch = forces[number] / largest if number < len(forces) else 0.0
        force = (forces + list(found.by_pad_n))[number]
        above.append([*column, -1.0])
        limits.append(stretch)
        if low is None or force > 1e-7 * largest:
            above.append([-part for part in column] + [-1.0])
            limits.append(-stretch)
    free = [(None, None)] * 6
    answer = linprog([0.0] * 6 + [1.0], A_ub=above, b_ub=limits, bounds=[*free, (0, None)])
    assert answer.status == 0
    assert answer.fun < 1e-5


@settings(max_examples=40, deadline=None)
@given(held, pads, acting, st.floats(-5000, 5000), st.floats(-5000, 5000), st.floats(0.01, 100))
def test_moving_everything_together_changes_nothing_and_forces_grow_with_what_acts(
    drawn: list[Any], pads: list[Pad], acts: list[Any], right: float, up: float, times: float
) -> None:
    supports, actions = supports_of(drawn), actions_of(acts)
    if max(abs(part) for one in actions for part in (one.fx_n, one.fy_n, one.fz_n)) < 1:
        return
    found = support_forces(supports, pads, actions)
    moved = support_forces(
        [replace(one, x_mm=one.x_mm + right, y_mm=one.y_mm + up) for one in supports],
        [Pad(pad.x_mm + right, pad.y_mm + up) for pad in pads],
        [
            replace(
                one,
                x_mm=one.x_mm + right,
                y_mm=one.y_mm + up,
                fx_n=one.fx_n * times,
                fy_n=one.fy_n * times,
                fz_n=one.fz_n * times,
            )
            for one in actions
        ],
    )
    assert (moved.moves is None) == (found.moves is None)
    largest = max([1.0, *(part for one in found.by_support.values() for part in (one.shear_n, one.pull_n))])
    for label, got in found.by_support.items():
        other = moved.by_support[label]
        assert other.shear_n == pytest.approx(got.shear_n * times, rel=1e-6, abs=1e-6 * largest * times)
        assert other.pull_n == pytest.approx(got.pull_n * times, rel=1e-6, abs=1e-6 * largest * times)


HOOKS = (Support("F1", 100, 700), Support("F2", 1100, 700))
HUNG = weight_action(20, (600, 400, 60))


@pytest.mark.parametrize(
    ("supports", "pads", "actions", "words"),
    [
        ((), CORNERS, (HUNG,), "falls: nothing holds it up"),
        (HOOKS, CORNERS, (HUNG, Action(0, 900, 0, 600, 0, 60)), "lifts off its hooks"),
        (HOOKS, CORNERS, (replace(HUNG, x_mm=1190),), "swings about F2 (clockwise, as seen from the front)"),
        (HOOKS, CORNERS, (replace(HUNG, x_mm=10),), "swings about F1 (anticlockwise, as seen from the front)"),
        (HOOKS[:1], CORNERS, (HUNG,), "swings about F1"),
        ((*HOOKS[:1], Support("F3", 100, 700)), CORNERS, (HUNG,), "swings about F1"),
        (HOOKS[:1], CORNERS, (replace(HUNG, x_mm=100, y_mm=750),), "turns over about F1"),
        (HOOKS, CORNERS[:2], (HUNG, Action(0, 0, 400, 600, 0, 60)), "comes away at the bottom"),
        (tuple(replace(one, pull=False) for one in HOOKS), CORNERS, (HUNG,), "comes away at the top"),
        ((Support("F1", 100, 0), Support("F2", 1100, 0)), CORNERS[:2], (HUNG,), "comes away at the top"),
        (HOOKS, (), (HUNG,), "goes in at the bottom: nothing there bears on the wall"),
        (
            tuple(replace(one, across=False) for one in HOOKS),
            CORNERS,
            (HUNG, Action(50, 0, 0, 600, 0, 0)),
            "slides to the right",
        ),
    ],
)
def test_where_nothing_balances_it_is_said_how_the_piece_would_move(
    supports: tuple[Support, ...], pads: tuple[Pad, ...], actions: tuple[Action, ...], words: str
) -> None:
    found = support_forces(supports, pads, actions)
    assert found.moves is not None
    assert words in found.moves
    assert (found.by_support, found.by_pad_n) == ({}, ())


def test_a_piece_on_one_hook_hangs_straight_below_it() -> None:
    found = support_forces([Support("F1", 600, 700)], CORNERS[:2], [HUNG])
    assert found.moves is None
    assert found.by_support["F1"].up_n == pytest.approx(20 * 9.80665)


def test_the_worst_of_two_lines_of_pads_is_reported() -> None:
    # Statics: about the lower edge W·e/700, about the pads at 400 mm W·e/300.
    found = support_forces(HOOKS, [Pad(0, 0), Pad(1200, 0), Pad(0, 400), Pad(1200, 400)], [HUNG])
    tilts = -HUNG.fy_n * 60
    assert found.by_support["F1"].pull_n == pytest.approx(tilts / 700 / 2)
    assert found.worst["F1"].pull_n == pytest.approx(tilts / 300 / 2)
    assert found.worst["F1"].shear_n == found.by_support["F1"].shear_n


def test_two_hundred_supports_and_pads_are_worked_out_in_a_fifth_of_a_second() -> None:
    supports = [
        Support(f"F{row}", 37.0 * (row * 17 % 131), 29.0 * (row * 23 % 97), across=row % 2 == 0, down=row % 3 == 0)
        for row in range(200)
    ]
    pads = [Pad(41.0 * (row * 29 % 119), 31.0 * (row * 13 % 89)) for row in range(200)]
    actions = [weight_action(80, (2400, 1400, 300)), Action(0, 0, 500, 0, 0, 300)]
    support_forces(supports, pads, actions)  # the libraries are loaded once
    before = time.process_time()
    found = support_forces(supports, pads, actions)
    assert time.process_time() - before < 0.2
    assert found.moves is None
    largest = max(*found.by_pad_n, 500.0)
    assert all(abs(part) < TIGHT * largest * 1000 for part in six(supports, pads, actions, found))


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, "12", None, 1e9, True])
def test_what_is_no_number_or_far_outside_is_refused_in_words(value: Any) -> None:
    for make in (
        lambda: Support("F1", value, 0),
        lambda: Pad(0, value),
        lambda: Action(0, value, 0, 0, 0, 0),
        lambda: weight_action(value, (0, 0, 0)),
        lambda: weight_action(20, (0, value, 0)),
        lambda: Resistance(value, 100, "steel", "x") if value is not None else Support("", 0, 0),
        lambda: design_cases(20, (0, 0, 0), lean_n=value, lean_at=(0, 0, 0)),
        lambda: design_cases(20, (0, 0, 0), lean_n=100, lean_at=(0, value, 0)),
        lambda: lose_each(HOOKS, CORNERS, [loads.Case("x", (HUNG,))], {}, sudden=value if value is not True else 0),
        lambda: loads.rail_thrust_n(value if value != 1e9 else -1, 45),
        lambda: share_of_allowed(SupportForce(0, 0, 0, value if value != 1e9 else -1), None),
    ):
        with pytest.raises(TradeError, match="allowed"):
            make()


def test_labels_and_numbers_of_supports_are_looked_at() -> None:
    for refused in (
        lambda: support_forces([HOOKS[0], HOOKS[0]], CORNERS, [HUNG]),
        lambda: support_forces([Support(str(row), row, 0) for row in range(501)], CORNERS, [HUNG]),
        lambda: lose_each(HOOKS, CORNERS, [], {}),
        lambda: lose_each(HOOKS, CORNERS, [loads.Case("x", (HUNG,))], {}, groups=[("batten", ("F9",))]),
        lambda: lose_each(HOOKS, CORNERS, [loads.Case("x", (HUNG,))], {}, groups=[("F1", ("F1", "F2"))]),
        lambda: lose_each(HOOKS, CORNERS, [loads.Case("x", (HUNG,))], {}, groups=[("batten", ())]),
        lambda: design_cases(20, (0, 0, 0), lean_n=1, lean_at=()),
        lambda: weight_action(20, "here"),  # type: ignore[arg-type]
        lambda: Resistance(1, 1, "glue", "x"),  # type: ignore[arg-type]
        lambda: Support("F1", 0, 0, up="yes"),  # type: ignore[arg-type]
    ):
        with pytest.raises(TradeError, match="allowed"):
            refused()


kinds = st.sampled_from(resistance.KINDS)
allowed = st.builds(
    Resistance,
    pull_n=st.none() | st.floats(50, 5000),
    shear_n=st.none() | st.floats(50, 5000),
    kind=kinds,
    source=st.sampled_from(["approval", ""]),
    solid=flags,
    gap=flags,
    outside_approval=flags,
)


@given(allowed, st.floats(0, 4000), st.floats(0, 4000))
def test_taking_something_known_of_a_resistance_away_never_makes_it_met(
    given_one: Resistance, pull_n: float, shear_n: float
) -> None:
    force = SupportForce(0, shear_n, shear_n, pull_n)
    before = share_of_allowed(force, given_one)
    for less in (
        None,
        replace(given_one, pull_n=None),
        replace(given_one, shear_n=None),
        replace(given_one, source=" "),
        replace(given_one, gap=True),
        replace(given_one, outside_approval=True),
    ):
        after = share_of_allowed(force, less)
        assert after.verdict != MET
        assert before.verdict != MET or RANK[after.verdict] < RANK[MET]
    assert (before.verdict == MET) == (before.reason == "")
    if before.verdict == MET:
        assert max(before.pull or 0, before.shear or 0, before.combined or 0) <= 1 + 1e-9


ROW = [Support(f"F{row}", 300.0 * row, 700, down=True) for row in range(5)]
STRONG = Resistance(50_000, 50_000, "concrete", "approval")


@settings(max_examples=10, deadline=None)
@given(st.dictionaries(st.sampled_from([one.label for one in ROW]), allowed | st.none()), st.sampled_from(ROW))
def test_taking_a_resistance_away_never_moves_a_loss_towards_met(
    known: dict[str, Resistance | None], gone: Support
) -> None:
    cases = design_cases(60, (600, 400, 60), lean_n=300, lean_at=(600, 0, 60))[:2]
    less = {label: one for label, one in known.items() if label != gone.label}
    for before, after in zip(lose_each(ROW, CORNERS, cases, known), lose_each(ROW, CORNERS, cases, less), strict=True):
        assert after.verdict != MET or before.verdict == MET


def test_a_row_holds_when_any_one_is_lost_and_a_group_of_most_does_not() -> None:
    cases = design_cases(60, (600, 400, 60), lean_n=200, lean_at=(600, 0, 60))
    known = {one.label: STRONG for one in ROW}
    found = {
        loss.name: loss
        for loss in lose_each(
            ROW,
            CORNERS,
            cases,
            known,
            groups=[("left batten", ("F0", "F1", "F2")), ("all but one", ("F0", "F1", "F2", "F3"))],
        )
    }
    assert [found[one.label].verdict for one in ROW] == [MET] * 5
    assert found["F0"].sudden == losing.SUDDEN
    assert found["left batten"].verdict == NOT_MET
    assert "no support is left on the left of the balance line" in found["left batten"].reason
    assert "one support is left, F4" in found["all but one"].reason


def test_the_last_of_two_is_said_to_swing_and_the_only_one_to_leave_nothing() -> None:
    cases = [loads.Case("weight", (HUNG,))]
    assert [loss.reason for loss in lose_each(HOOKS, CORNERS, cases, {})] == [
        "does not hold: one support is left, F2, and it would swing about it",
        "does not hold: one support is left, F1, and it would swing about it",
    ]
    (only,) = lose_each([Support("F1", 600, 700)], CORNERS, cases, {})
    assert only.reason == "does not hold: nothing is left that holds it up"
    slots = [Support("F0", 0, 700), *(replace(one, across=False) for one in ROW[1:])]
    first = lose_each(slots, CORNERS, cases, {})[0]
    assert first.reason == "does not hold: nothing is left that holds it from sliding to the side"


def test_supports_past_what_is_allowed_are_followed_to_the_end() -> None:
    cases = [loads.Case("weight", (weight_action(60, (600, 400, 60)),))]
    weak = Resistance(50_000, 250, "steel", "approval")
    found = {one.name: one for one in lose_each(ROW, CORNERS, cases, {one.label: weak for one in ROW})}
    loss = found["F2"]
    assert (loss.verdict, loss.case) == (NOT_MET, "weight")
    assert set(loss.then) == {"F0", "F1", "F3", "F4"}
    assert "would be past what is allowed" in loss.reason
    assert "it does not hold: nothing is left that holds it up" in loss.reason
    unknown = {one.name: one for one in lose_each(ROW, CORNERS, cases, {"F0": STRONG})}["F0"]
    assert (unknown.verdict, unknown.reason) == (CANNOT_TELL, "F1, F2, F3, F4: what it may carry is not known")


def test_a_rails_anchor_gets_the_thrust_and_a_pull_that_would_ride_up_is_noticed() -> None:
    hung = Support("R", 0, 0, across=False, bevel_deg=45)
    gentle, hard = SupportForce(0, 300, 300, 100), SupportForce(0, 300, 300, 400)
    assert rail.on_anchor(hung, gentle).pull_n == pytest.approx(300)
    assert rail.on_anchor(hung, hard).pull_n == pytest.approx(400)
    assert rail.on_anchor(replace(hung, bevel_deg=None), gentle) == gentle
    assert [rail.rides_up(hung, one) for one in (gentle, hard)] == [False, True]
    rails = [replace(hung, label=f"R{row}", x_mm=300.0 * row, y_mm=700) for row in range(5)]
    loss = lose_each(rails, CORNERS, [loads.Case("weight", (HUNG,))], {one.label: STRONG for one in rails})[0]
    assert all(force.pull_n >= force.up_n * (1 - 1e-9) for force in loss.forces.values())


def test_the_worst_of_several_places_to_lean_each_has_its_cases() -> None:
    cases = design_cases(20, (600, 400, 60), lean_n=100, lean_at=[(0, 0, 60), (1200, 0, 60)])
    assert len(cases) == 1 + 2 * 3 * 2
    assert len({case.name for case in cases}) == len(cases)
    assert all(case.actions[0].name == "weight" for case in cases)
