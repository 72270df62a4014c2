"""The hole survey: what must always hold of it, what it says of slips, and what bad input gets."""

from __future__ import annotations

import math
import random
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.trade.errors import TradeError
from siteapp.trade.survey import (
    Adjustment,
    HeightReading,
    Hole,
    LevelPair,
    TapeReading,
    adjust,
    best_fit,
    offer_up,
    suggest_readings,
    what_is_missing,
)
from tests.trade.surveyed import (
    LOPSIDED,
    ORDER,
    ROW,
    SQUARE,
    Points,
    all_heights,
    all_tapes,
    drilled,
    holes_of,
    moved,
    read,
    scattered,
)

nan, inf = math.nan, math.inf
wild = st.floats(-1e5, 1e5) | st.sampled_from([0.0, 1.0, 1e5])


def test_a_slip_of_15_mm_is_named_wherever_it_is_in_what_was_asked_for() -> None:
    # Ten networks, ten slips each, a hundred in all; the readings scatter as much as they are taken to.
    chance = random.Random(20)
    networks = [scattered(chance, number) for number in (2, 3, 4, 4, 4, 5, 6, 8)] + [ROW, SQUARE]
    missed = []
    for planned in networks:
        asked = suggest_readings(planned)
        for _ in range(10):
            true = drilled(chance, planned, 4.0)
            readings = [read(one, true, chance.gauss(0, one.sigma_mm)) for one in asked]
            number = chance.randrange(len(asked))
            slip = chance.choice([-15.0, 15.0])
            readings[number] = read(asked[number], true, chance.gauss(0, asked[number].sigma_mm) + slip)
            result = adjust(readings, planned)
            if not any(suspect is readings[number] for suspect in result.set_aside):
                missed.append(result.findable_mm[readings[number].key])
    assert len(missed) <= 1
    assert all(findable > 15 for findable in missed)


def test_four_holes_with_six_tapes_are_not_enough_and_it_says_what_is_missing() -> None:
    tapes = all_tapes(SQUARE)
    missing = what_is_missing(tapes, SQUARE)
    assert missing
    assert all(reading.why for reading in missing)
    wrong = [TapeReading("A", "B", 1215), *tapes[1:]]
    result = adjust(wrong, SQUARE)
    # It is found, and not named: each of the six explains it as well.
    assert result.set_aside == ()
    assert len(result.unnamed) == 6
    assert "nothing tells which" in result.notes[0]
    assert not what_is_missing([*tapes, *missing], SQUARE)


def test_holes_in_one_row_are_told_that_tapes_say_nothing_about_height() -> None:
    asked = suggest_readings(ROW)
    assert any("say nothing about height" in reading.why for reading in asked)
    result = adjust(all_tapes(ROW), ROW)
    assert "say nothing about height" in " ".join(result.loose.values())
    whole = adjust([*all_tapes(ROW), *all_heights(ROW)], ROW)
    assert not whole.loose
    assert set(whole.points) == set(ROW)


@pytest.mark.parametrize("number", [2, 3, 5, 8, 12, 30])
def test_what_is_asked_for_is_enough_and_in_the_order_of_places_on_the_ladder(number: int) -> None:
    planned = scattered(random.Random(number), number)
    asked = suggest_readings(planned)
    assert not what_is_missing(asked, planned)
    firsts = [min(planned[label][0] for label in reading.holes) for reading in asked]
    assert firsts == sorted(firsts)
    again = [reading for reading in asked if isinstance(reading, TapeReading) and reading.from_100]
    plain = {reading.key for reading in asked if isinstance(reading, TapeReading) and not reading.from_100}
    assert all(reading.key in plain for reading in again)


@given(st.integers(0, 10_000), st.integers(0, 5))
@settings(max_examples=20, deadline=None)
def test_taking_a_reading_away_never_makes_enough_of_too_few(seed: int, dropped: int) -> None:
    chance = random.Random(seed)
    planned = scattered(chance, chance.randint(2, 5))
    readings = [reading for reading in suggest_readings(planned) if chance.random() < 0.93]
    fewer = readings[:dropped] + readings[dropped + 1 :]
    if what_is_missing(readings, planned):
        assert what_is_missing(fewer, planned)


@given(st.integers(0, 10_000))
@settings(max_examples=8, deadline=None)
def test_taking_a_reading_away_never_moves_towards_met(seed: int) -> None:
    # Readings that agree exactly: what is left of them puts the holes in the same places, known less well.
    chance = random.Random(seed)
    planned = scattered(chance, chance.randint(3, 6))
    true = drilled(chance, planned, 1.0)
    readings = [read(one, true) for one in suggest_readings(planned)]
    fewer = list(readings)
    fewer.pop(chance.randrange(len(fewer)))
    holes = holes_of(planned, hole_mm=chance.uniform(10.5, 16))
    before, after = adjust(readings, planned), adjust(fewer, planned)
    first = offer_up(holes, before.points, covariance=before.covariance)
    then = offer_up(holes, after.points, covariance=after.covariance)
    assert first.least_slack_low_mm is not None
    if then.least_slack_low_mm is not None:
        assert then.least_slack_low_mm <= first.least_slack_low_mm + 1e-5
    if first.verdict != "met":
        assert then.verdict != "met"
    for a in range(0, 2 * len(before.points), 2):
        assert not after.loose or set(after.points) < set(before.points)
        if not after.loose:
            assert after.covariance[a][a] >= before.covariance[a][a] - 1e-9


def test_taking_a_scattered_reading_away_never_turns_not_met_into_met() -> None:
    # With errors the places move too, within what they are known to; so this is a count, not a proof.
    chance = random.Random(8)
    planned = LOPSIDED
    asked = suggest_readings(planned)
    for _ in range(6):
        true = drilled(chance, planned, 2.0)
        readings = [read(one, true, chance.gauss(0, one.sigma_mm)) for one in asked]
        holes = holes_of(planned, hole_mm=chance.uniform(12, 16))
        whole = adjust(readings, planned)
        if offer_up(holes, whole.points, covariance=whole.covariance).verdict != "not met":
            continue
        for number in range(0, len(readings), 4):
            part = adjust(readings[:number] + readings[number + 1 :], planned)
            assert offer_up(holes, part.points, covariance=part.covariance).verdict != "met"


def test_ten_metres_for_one_is_named_with_the_slip_that_explains_it() -> None:
    readings = [*all_tapes(SQUARE), *all_heights(SQUARE)]
    result = adjust([TapeReading("A", "B", 12_000), *readings[1:]], SQUARE)
    assert [suspect.key for suspect in result.set_aside] == [("A", "B")]
    assert "a nought too many" in result.notes[0]
    left_on = adjust([TapeReading("A", "B", 1300, from_100=True), *readings[1:]], SQUARE)
    assert "held at 100" in left_on.notes[0]


def test_a_hole_planned_ten_metres_off_is_named_and_spoils_nothing() -> None:
    five = {**SQUARE, "E": (600.0, 500.0)}
    readings = [*all_tapes(five), *all_heights(five)]
    result = adjust(readings, {**five, "E": (6000.0, 500.0)})
    assert result.misplaced == ("E",)
    assert result.points["E"] == pytest.approx(five["E"], abs=1)
    assert not result.suspects


def test_a_loose_hole_is_named_and_the_others_are_placed() -> None:
    far = {**SQUARE, "E": (2500.0, 300.0)}
    one_tape = adjust([*all_tapes(SQUARE), TapeReading("C", "E", 1400)], far)
    assert set(one_tape.points) == set(SQUARE)
    assert "in another direction" in one_tape.loose["E"]
    assert adjust(all_tapes(SQUARE), far).loose == {"E": "no reading reaches it"}


def test_three_readings_of_one_pair_that_disagree_are_all_to_be_read_again() -> None:
    two = {"A": (0.0, 0.0), "B": (1000.0, 0.0)}
    result = adjust([TapeReading("A", "B", distance) for distance in (1000, 1040, 1090)], two)
    assert len(result.suspects) == 3
    assert result.unnamed
    one_off = adjust([TapeReading("A", "B", distance) for distance in (1000, 1000.3, 1090)], two)
    assert [suspect.observed_mm for suspect in one_off.set_aside] == [1090]


def test_a_level_pair_says_what_is_level_and_can_be_contradicted() -> None:
    tapes = all_tapes(SQUARE)
    assert not adjust(tapes, SQUARE).level_known
    turned = moved(SQUARE, 0.02, 0, 0)
    levelled = adjust(tapes, turned, level=("A", "B"))
    assert levelled.level_known
    assert levelled.points["A"][1] == pytest.approx(levelled.points["B"][1], abs=1e-6)
    contradicted = adjust([*tapes, *all_heights(moved(SQUARE, 0.05, 0, 0))], SQUARE, level=("A", "B"))
    assert any(isinstance(suspect, LevelPair) for suspect in contradicted.suspects)


def test_no_redundancy_finds_nothing_and_says_so() -> None:
    result = adjust([TapeReading("A", "B", 1000)], {"A": (0.0, 0.0), "B": (1000.0, 0.0)})
    assert result.reference_sd is None
    assert result.findable_mm == {("A", "B"): math.inf}
    assert result.findable_mm[("B", "A")] == math.inf
    with pytest.raises(KeyError):
        result.findable_mm[("A", "C")]


@pytest.mark.parametrize(
    ("attempt", "says"),
    [
        (lambda: TapeReading("A", "A", 100), "to itself"),
        (lambda: TapeReading("A", "B", nan), "tape A to B is nan mm"),
        (lambda: TapeReading("A", "B", inf), "tape A to B is inf mm"),
        (lambda: TapeReading("A", "B", 0), "from 1 to 50000 mm"),
        (lambda: TapeReading("A", "B", 100, 0.0), "standard deviation"),
        (lambda: TapeReading("A", "B", "12"), "tape A to B is '12' mm"),  # type: ignore[arg-type]
        (lambda: TapeReading("", "B", 100), "name of 1 to 40"),
        (lambda: HeightReading("A", nan), "height of A is nan mm"),
        (lambda: LevelPair("A", "A"), "to itself"),
        (lambda: Hole("A", 0, 0, 10, 9), "no narrower than its bolt"),
        (lambda: Hole("A", 0, 0, 10, 12, -1), "slot"),
        (lambda: Hole("A", nan, 0, 10, 12), "hole A: across is nan"),
        (lambda: adjust([TapeReading("A", "B", 100)], {"A": (0, 0)}), "1 in number; allowed is from 2"),
        (lambda: adjust([TapeReading("A", "B", 100)], {"A": (0, 0), "B": (0, 0.5)}), "A and B are at one place"),
        (lambda: adjust([TapeReading("A", "C", 100)], {"A": (0, 0), "B": (90, 0)}), "there is no hole C"),
        (lambda: adjust([], SQUARE), "0 tapes"),
        (lambda: adjust(all_heights(SQUARE), SQUARE), "0 tapes"),
        (lambda: adjust(all_tapes(SQUARE) * 101, SQUARE), "readings are 606"),
        (lambda: adjust(all_tapes(SQUARE), {**SQUARE, "E": (nan, 0)}), "holes: E across is nan"),
        (lambda: adjust(all_tapes(SQUARE), {**SQUARE, "E": 5}), "two numbers in mm"),  # type: ignore[dict-item]
        (lambda: adjust(all_tapes(SQUARE), SQUARE, fixed=["Z"]), "there is no hole Z"),
        (
            lambda: suggest_readings({str(n): (100.0 * n, 0.0) for n in range(200)}),
            "200 in number; allowed is from 2 to 60",
        ),
        (lambda: best_fit(SQUARE, {"X": (0, 0), "A": (9, 0)}), "both have: 1"),
        (lambda: offer_up(holes_of(SQUARE), SQUARE, max_rotation_deg=nan), "most rotation is nan"),
        (lambda: offer_up(holes_of({"A": (0.0, 0.0)}), SQUARE), "1 in number"),
        (lambda: offer_up([*holes_of(SQUARE), Hole("A", 5, 5, 10, 12)], SQUARE), "hole A is there twice"),
        (lambda: offer_up(holes_of(SQUARE), SQUARE, covariance=[[1.0]]), "covariance is 1 × 1; allowed is 8 × 8"),
        (lambda: offer_up(holes_of(SQUARE), SQUARE, covariance=(-np.eye(8)).tolist()), "negative"),
        (lambda: offer_up(holes_of(SQUARE), SQUARE, covariance=np.full((8, 8), nan).tolist()), "not finite"),
        (lambda: offer_up(holes_of(SQUARE), SQUARE, covariance=[["a"]]), "not a number"),  # type: ignore[list-item]
        (lambda: offer_up(holes_of(SQUARE), {"A": (0, 0), "B": (inf, 0)}), "measured holes: B across is inf"),
    ],
)
def test_bad_input_gets_words(attempt: object, says: str) -> None:
    with pytest.raises(TradeError, match=says.replace("(", r"\(")):
        attempt()  # type: ignore[operator]


@given(
    st.dictionaries(st.sampled_from("ABCDEF"), st.tuples(wild, wild), min_size=1, max_size=6),
    st.lists(st.tuples(st.sampled_from("ABCDEF"), st.sampled_from("ABCDEF"), st.floats(1, 5e4)), max_size=12),
    st.lists(st.tuples(st.sampled_from("ABCDEF"), st.floats(-2e4, 2e4)), max_size=6),
)
@settings(max_examples=40, deadline=None)
def test_nonsense_gets_words_or_numbers_and_is_quick(
    near: Points, tapes: list[tuple[str, str, float]], heights: list[tuple[str, float]]
) -> None:
    began = time.monotonic()
    try:
        readings = [TapeReading(*tape) for tape in tapes] + [HeightReading(*height) for height in heights]
        result = adjust(readings, near)
        assert all(math.isfinite(value) for place in result.points.values() for value in place)
        assert all(math.isfinite(value) for row in result.covariance for value in row)
        offered = offer_up(holes_of(near), result.points, covariance=result.covariance)
        assert offered.verdict in ORDER
    except TradeError:
        return
    assert time.monotonic() - began < 5


def test_twelve_holes_and_sixty_readings_are_quick() -> None:
    chance = random.Random(12)
    planned = scattered(chance, 12)
    true = drilled(chance, planned, 1.5)
    readings = [
        read(one, true, chance.gauss(0, one.sigma_mm)) for one in all_tapes(planned)[:48] + all_heights(planned)
    ]
    holes = holes_of(planned)

    def once() -> float:
        began = time.process_time()
        found: Adjustment = adjust(readings, planned)
        offer_up(holes, found.points, covariance=found.covariance)
        return time.process_time() - began

    once()
    assert min(once() for _ in range(5)) < 0.2


def test_sixty_holes_are_worked_out_all_the_same() -> None:
    chance = random.Random(60)
    planned = scattered(chance, 60, 40.0)
    true = drilled(chance, planned, 1.5)
    found = adjust([read(one, true, chance.gauss(0, one.sigma_mm)) for one in suggest_readings(planned)], planned)
    assert len(found.points) == 60
    assert offer_up(holes_of(planned), found.points, covariance=found.covariance).verdict in ORDER
