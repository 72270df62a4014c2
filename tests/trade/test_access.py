"""What always holds of a crate's way, how orientation is carried along it, and what is refused."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.trade.access import (
    Box,
    Corner,
    Lift,
    Opening,
    Slope,
    Stairs,
    Stand,
    round_corner,
    route,
    stand_up,
    through_opening,
)
from siteapp.trade.access.steps import TURNS, WAYS
from siteapp.trade.errors import TradeError

RANK = {"not met": 0, "cannot tell": 1, "met": 2}
CRATE = Box(1400, 1200, 300, gross_kg=80, weighed=True, ways_up=("height",), may_tilt=False)
DOOR = Opening("front door", 900, 2000, measured=True)

sizes = st.none() | st.floats(300, 3000)
flags = st.booleans()
boxes = st.builds(
    Box,
    width_mm=st.floats(100, 2500),
    height_mm=st.floats(100, 2500),
    depth_mm=st.floats(50, 900),
    gross_kg=st.none() | st.floats(5, 400),
    weighed=flags,
    ways_up=st.none() | st.sets(st.sampled_from(WAYS), min_size=1).map(lambda ways: tuple(sorted(ways))),
    may_tilt=st.none() | flags,
)
steps = st.one_of(
    st.builds(Opening, st.just("opening"), sizes, sizes, measured=flags),
    st.builds(Corner, st.just("corner"), sizes, sizes, sizes, measured=flags),
    st.builds(Stand, st.just("hall"), sizes, st.none() | st.sampled_from(WAYS), measured=flags),
    st.builds(
        Stairs, st.just("stairs"), sizes, sizes, st.none() | st.sampled_from(TURNS), sizes, sizes, measured=flags
    ),
    st.builds(
        Lift,
        st.just("lift"),
        *(sizes,) * 5,
        rated_kg=st.none() | st.floats(50, 1000),
        riders=st.none() | st.integers(0, 4),
        measured=flags,
    ),
    st.builds(Slope, st.just("ramp"), sizes, st.none() | st.floats(0, 20), measured=flags),
)
ways = st.lists(steps, min_size=1, max_size=4)
rooms = st.floats(0, 100)


def rank(box, way, room_mm=50.0):
    return RANK[route(box, way, room_mm=room_mm).verdict]


def test_a_crate_that_passes_every_measured_step_is_met() -> None:
    found = route(
        CRATE, [DOOR, Corner("hall", 1100, 1200, 2400, measured=True), Slope("path", 1200, 2.0, measured=True)]
    )
    assert (found.verdict, found.first_obstacle, found.reasons) == ("met", None, ())
    assert found.source
    assert found.assumptions


def test_the_first_obstacle_and_what_is_short_there_are_named() -> None:
    found = route(CRATE, [DOOR, Opening("cupboard door", 350, 2000, measured=True), Opening("hatch", 300, 400)])
    assert (found.verdict, found.first_obstacle) == ("not met", "cupboard door")
    # 300 + 2 × 50 against 350.
    assert found.shortfall_mm == pytest.approx(50)
    assert [one.verdict for one in found.steps] == ["met", "not met", "not met"]


def test_no_step_and_no_word_on_which_way_up_cannot_be_told() -> None:
    assert route(CRATE, []).verdict == "cannot tell"
    found = route(replace(CRATE, ways_up=None), [DOOR])
    assert (found.verdict, found.first_obstacle) == ("cannot tell", "front door")


def test_sizes_that_were_told_may_stop_it_and_let_it_on_nowhere() -> None:
    assert route(CRATE, [replace(DOOR, measured=False)]).verdict == "cannot tell"
    assert route(CRATE, [Opening("hatch", 350, 2000)]).verdict == "not met"


def test_which_way_up_it_travels_is_carried_from_step_to_step() -> None:
    low = Corner("low cellar", 3000, 3000, 1000, measured=True)
    tall = Corner("slit", 500, 3000, 2500, measured=True)
    either = replace(CRATE, ways_up=("height", "depth"), may_tilt=True)
    level = Box(1400, 1200, 300, ways_up=("height", "depth"), may_tilt=False)
    # Flat through the low cellar, on its edge round into the slit: only where it can be turned over between.
    assert route(level, [low, tall]).verdict == "not met"
    assert route(level, [low, tall]).first_obstacle == "slit"
    assert route(either, [low, Stand("yard", 3000, measured=True), tall]).verdict == "met"
    assert route(either, [low, Stand("porch", 1300, measured=True), tall]).verdict != "met"
    assert route(either, [low, Stand("yard", 3000, measured=True)]).steps[-1].ways_up == ("height", "depth")


def test_a_tilt_counts_only_where_it_may_be_tilted() -> None:
    long = Opening("door", 775, 1981, measured=True)
    crate = Box(600, 2000, 100, ways_up=("height",), may_tilt=True)
    flat = replace(crate, width_mm=2500, depth_mm=20)
    assert route(flat, [long], room_mm=0).verdict == "met"
    assert "tilted" in route(flat, [long], room_mm=0).steps[0].how
    assert route(replace(flat, may_tilt=False), [long], room_mm=0).verdict == "not met"
    assert route(replace(flat, may_tilt=None), [long], room_mm=0).verdict == "cannot tell"


@pytest.mark.parametrize(
    ("changes", "riders", "verdict"),
    [
        ({}, 2, "met"),
        ({"gross_kg": 171.0}, 2, "not met"),
        ({"gross_kg": None}, 2, "cannot tell"),
        ({"weighed": False}, 2, "cannot tell"),
        ({}, None, "cannot tell"),
    ],
)
def test_a_lift_takes_what_its_plate_says_with_those_who_ride(changes, riders, verdict) -> None:
    car = Lift("lift", 1100, 1600, 2200, 900, 2000, rated_kg=320, riders=riders, measured=True)
    found = route(replace(CRATE, **changes), [car])
    assert found.verdict == verdict
    if verdict == "not met":
        assert found.shortfall_kg == pytest.approx(1.0)


def test_a_crate_longer_than_the_car_is_not_met_and_one_askew_cannot_be_told() -> None:
    car = Lift("lift", 1100, 1300, 2200, 900, 2000, rated_kg=320, riders=1, measured=True)
    assert route(CRATE, [car], room_mm=50).verdict == "not met"
    assert route(replace(CRATE, depth_mm=100), [car], room_mm=0).verdict == "cannot tell"


def test_a_steep_slope_wants_somebody_competent_and_says_what_pulls() -> None:
    found = route(CRATE, [Slope("drive", 3000, 10, measured=True)])
    assert found.verdict == "cannot tell"
    # By hand: 80 kg × 9.80665 m/s² × sin 10°.
    assert f"{80 * 9.80665 * math.sin(math.radians(10)):.0f} N" in found.reasons[0]


@settings(max_examples=80, deadline=None)
@given(box=boxes, way=ways, less=st.tuples(*[st.floats(0.2, 1)] * 4))
def test_a_smaller_or_lighter_crate_never_does_worse(box, way, less) -> None:
    smaller = replace(
        box,
        width_mm=box.width_mm * less[0],
        height_mm=box.height_mm * less[1],
        depth_mm=box.depth_mm * less[2],
        gross_kg=None if box.gross_kg is None else box.gross_kg * less[3],
    )
    assert rank(smaller, way) >= rank(box, way)


@settings(max_examples=80, deadline=None)
@given(box=boxes, way=ways, room=rooms, more=st.floats(0, 100))
def test_more_room_for_hands_never_helps(box, way, room, more) -> None:
    assert rank(box, way, room + more) <= rank(box, way, room)


@settings(max_examples=80, deadline=None)
@given(box=boxes, way=ways)
def test_a_figure_left_out_never_makes_a_way_met(box, way) -> None:
    if route(box, way).verdict == "met":
        return
    for field in fields(box):
        assert route(replace(box, **{field.name: False if field.name == "weighed" else None}), way).verdict != "met"
    for place, step in enumerate(way):
        for field in fields(step):
            # Leaving out what it is to be turned to asks for less: that is another step, not a figure less.
            if field.name in {"name", "to"}:
                continue
            without = replace(step, **{field.name: False if field.name == "measured" else None})
            assert route(box, [*way[:place], without, *way[place + 1 :]]).verdict != "met", field.name


@settings(max_examples=60, deadline=None)
@given(box=boxes, way=ways)
def test_whatever_is_not_met_says_where_and_why(box, way) -> None:
    found = route(box, way)
    assert (found.verdict == "met") == (not found.reasons) == (found.first_obstacle is None)
    assert len(found.steps) == len(way)


@settings(max_examples=100, deadline=None)
@given(
    section=st.tuples(st.floats(1, 2500), st.floats(1, 2500)),
    opening=st.tuples(st.floats(300, 2500), st.floats(300, 2500)),
    room=rooms,
)
def test_what_is_to_spare_is_what_a_section_can_grow_by(section, opening, room) -> None:
    found = through_opening(section, opening, room_mm=room)
    assert (found.verdict == "met") == (found.spare_mm >= 0)
    just_less, just_more = found.spare_mm - 0.01, found.spare_mm + 0.01
    if min(section) + found.spare_mm > 1:
        grown = [tuple(size + by for size in section) for by in (just_less, just_more)]
        assert through_opening(grown[0], opening, room_mm=room).verdict == "met"
        assert through_opening(grown[1], opening, room_mm=room).verdict == "not met"


@settings(max_examples=60, deadline=None)
@given(sides=st.tuples(*[st.floats(1, 3000)] * 2), corridors=st.tuples(*[st.floats(300, 3000)] * 2))
def test_a_corner_is_the_same_either_way_round(sides, corridors) -> None:
    there = round_corner(*sides, *corridors)
    back = round_corner(*sides[::-1], *corridors[::-1])
    assert there.verdict == back.verdict
    assert there.longest_mm == pytest.approx(back.longest_mm, rel=1e-9, abs=1e-6)


def test_a_size_that_is_missing_cannot_be_told() -> None:
    assert through_opening((100, None), (900, 2000)).verdict == "cannot tell"
    assert round_corner(100, 100, None, 900).verdict == "cannot tell"
    assert stand_up(100, 100, None).verdict == "cannot tell"


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0, 60_000.0, True, "900"])
@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda bad: through_opening((bad, 100), (900, 2000)), "size of the box"),
        (lambda bad: through_opening((100, 100), (900, bad)), "size of the opening"),
        (lambda bad: through_opening((100, 100), (900, 2000), room_mm=bad), "room for hands"),
        (lambda bad: round_corner(bad, 100, 900, 900), "length of the box"),
        (lambda bad: round_corner(100, 100, 900, bad), "width of the other corridor"),
        (lambda bad: stand_up(100, bad, 2400), "depth of the box"),
        (lambda bad: route(CRATE, [DOOR], room_mm=bad), "room for hands"),
        (lambda bad: Box(bad, 1, 1), "width of the crate"),
        (lambda bad: Box(1, 1, 1, gross_kg=bad), "gross weight of the crate"),
        (lambda bad: Opening("door", bad, 2000), "door: width"),
        (lambda bad: Corner("hall", 900, bad, 2000), "hall: width into"),
        (lambda bad: Stand("yard", bad), "yard: ceiling"),
        (lambda bad: Stairs("stairs", 900, 2000, "half", landing_mm=bad), "stairs: landing"),
        (lambda bad: Lift("lift", 1, 1, 1, 1, 1, bad, 0), "lift: load on the plate"),
        (lambda bad: Lift("lift", 1, 1, 1, 1, 1, 1, bad), "lift: people riding"),
        (lambda bad: Slope("path", 900, bad), "path: slope"),
    ],
)
def test_what_cannot_be_is_refused_by_name_with_its_range(call, quantity: str, bad: object) -> None:
    with pytest.raises(TradeError, match=f"{quantity} is .*; allowed is a number"):
        call(bad)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Box(1, 1, 1, ways_up=("corner",)), "size upright is 'corner'; allowed is one of height, width, depth"),
        (lambda: Box(1, 1, 1, ways_up=()), "ways up it may travel are none"),
        (lambda: Stairs("stairs", 900, 2000, "spiral"), "stairs: turn of the landing is 'spiral'"),
        (lambda: Stand("yard", 900, "length"), "yard: size upright is 'length'"),
        (lambda: route(CRATE, [DOOR] * 61), "number of steps on the way is 61 steps"),
    ],
)
def test_a_slip_is_named(call, words: str) -> None:
    with pytest.raises(TradeError, match=words):
        call()
