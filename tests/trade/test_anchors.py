"""Anchors set, proved and loaded: what must always hold."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.trade import anchors
from siteapp.trade.anchors import Asked, AsSet
from siteapp.trade.errors import TradeError
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

SET_AT = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
ASKED = Asked("Resin R M10 (invented)", 12.0, 90.0)
GOOD = AsSet(
    product="resin r  M10 (invented)",
    cures=True,
    drilled_mm=12.0,
    embedment_mm=92.0,
    cleaned=True,
    expires_on=date(2026, 11, 25),
    wall_c=12.0,
    set_at=SET_AT,
    curing=((5.0, 240.0), (10.0, 120.0), (20.0, 60.0)),
)
PROVED: dict[str, Any] = {
    "asked_n": 1500.0,
    "reached_n": 1520.0,
    "held_s": 60.0,
    "movement_mm": 0.2,
    "allowed_mm": 0.5,
    "gauge_until": date(2027, 1, 1),
    "tested_on": date(2026, 11, 26),
}

numbers = st.integers(1, 5000)
lengths = st.one_of(st.none(), st.floats(1, 200))
tables = st.lists(
    st.tuples(st.integers(-20, 40), st.integers(1, 2000)), min_size=1, max_size=6, unique_by=lambda row: row[0]
).map(
    lambda rows: tuple(
        (float(row_c), float(minutes))
        for (row_c, _), minutes in zip(sorted(rows), sorted((row[1] for row in rows), reverse=True), strict=True)
    )
)
set_anchors = st.builds(
    AsSet,
    product=st.sampled_from(("Resin R M10 (invented)", "Another", "")),
    cures=st.sampled_from((True, False, None)),
    drilled_mm=st.one_of(st.none(), st.sampled_from((10.0, 12.0, 14.0))),
    embedment_mm=lengths,
    cleaned=st.sampled_from((True, False, None)),
    expires_on=st.one_of(st.none(), st.dates(date(2026, 10, 1), date(2027, 1, 1))),
    wall_c=st.one_of(st.none(), st.floats(-40, 80)),
    set_at=st.just(SET_AT),
    curing=st.one_of(st.just(()), tables),
)


def test_an_anchor_set_as_asked_is_met_and_says_when_it_may_carry() -> None:
    found = anchors.setting_verdict(ASKED, GOOD)
    assert (found.verdict, found.reasons) == (MET, ())
    assert found.loading is not None
    assert found.loading.at == SET_AT + timedelta(minutes=120)
    assert found.loading.row_c == 10
    assert found.source
    assert found.assumptions


@pytest.mark.parametrize(
    ("changed", "verdict", "words"),
    [
        ({"product": "Another"}, NOT_MET, "“Another” was set"),
        ({"product": " "}, CANNOT_TELL, "which product was set"),
        ({"drilled_mm": 14.0}, NOT_MET, "14 mm was used"),
        ({"drilled_mm": None}, CANNOT_TELL, "diameter was not written down"),
        ({"embedment_mm": 89.9}, NOT_MET, "89.9 mm was reached"),
        ({"embedment_mm": None}, CANNOT_TELL, "embedment was not measured"),
        ({"cleaned": False}, NOT_MET, "was not cleaned"),
        ({"cleaned": None}, CANNOT_TELL, "cleaned as the product's sheet asks is not known"),
        ({"expires_on": date(2026, 11, 24)}, NOT_MET, "to be used by 2026-11-24"),
        ({"expires_on": None}, CANNOT_TELL, "date to which the resin may be used"),
        ({"wall_c": None}, CANNOT_TELL, "temperature of the wall was not read"),
        ({"wall_c": 4.9}, NOT_MET, "covers 5 to 20 °C"),
        ({"wall_c": 20.1}, NOT_MET, "covers 5 to 20 °C"),
        ({"curing": ()}, CANNOT_TELL, "curing table of the resin's sheet is not given"),
        ({"cures": None}, CANNOT_TELL, "whether anything has to cure"),
        ({"loaded_at": SET_AT + timedelta(minutes=119)}, NOT_MET, "turned up 1 min before it had cured"),
    ],
)
def test_what_is_wrong_or_missing_about_an_anchor_is_named(changed: dict[str, Any], verdict: str, words: str) -> None:
    found = anchors.setting_verdict(ASKED, replace(GOOD, **changed))
    assert found.verdict == verdict
    assert any(words in reason for reason in found.reasons), found.reasons


def test_an_anchor_that_nothing_holds_back_may_carry_at_once() -> None:
    plain = replace(GOOD, cures=False, expires_on=None, wall_c=None, curing=())
    found = anchors.setting_verdict(ASKED, plain)
    assert (found.verdict, found.loading) == (MET, None)
    assert anchors.loading_verdict(found.loading, SET_AT) == MET


def test_without_a_time_nobody_can_tell_whether_it_may_carry() -> None:
    unknown = anchors.earliest_loading((), 12, SET_AT)
    assert unknown.at is None
    assert anchors.loading_verdict(unknown, SET_AT + timedelta(days=300)) == CANNOT_TELL
    known = anchors.earliest_loading(GOOD.curing, 12, SET_AT)
    assert anchors.loading_verdict(known, SET_AT + timedelta(minutes=119, seconds=59)) == NOT_MET
    assert anchors.loading_verdict(known, SET_AT + timedelta(minutes=120)) == MET


def test_an_anchor_loaded_once_it_had_cured_was_not_loaded_early() -> None:
    assert anchors.setting_verdict(ASKED, replace(GOOD, loaded_at=SET_AT + timedelta(minutes=120))).verdict == MET
    never_early = replace(GOOD, cures=False, loaded_at=SET_AT)
    assert anchors.setting_verdict(ASKED, never_early).verdict == MET


@pytest.mark.parametrize(
    ("asked_nm", "torque_nm", "marked", "locked", "verdict", "words"),
    [
        (20, 20, True, True, MET, ""),
        (20, 21, True, True, MET, ""),
        (20, 21.1, True, True, NOT_MET, "20 N m was asked for; 21.1 N m was turned"),
        (20, 18.9, True, True, NOT_MET, "18.9 N m was turned"),
        (None, 20, True, True, CANNOT_TELL, "torque asked for is not said"),
        (20, None, True, True, CANNOT_TELL, "not read on a torque wrench"),
        (20, 20, False, True, NOT_MET, "not marked"),
        (20, 20, True, None, CANNOT_TELL, "locked against lifting off is not known"),
        (20, 20, True, False, NOT_MET, "not locked"),
    ],
)
def test_nuts_are_turned_up_marked_and_locked(asked_nm, torque_nm, marked, locked, verdict, words) -> None:
    found = anchors.tightening_verdict(asked_nm, torque_nm, marked=marked, locked=locked)
    assert found.verdict == verdict
    assert words in " ".join(found.reasons)
    assert (found.verdict == MET) == (not found.reasons)


@settings(max_examples=80)
@given(
    set_anchors, st.sampled_from(("drilled_mm", "embedment_mm", "cleaned", "expires_on", "wall_c", "curing", "cures"))
)
def test_leaving_something_out_never_makes_a_setting_met(as_set: AsSet, left_out: str) -> None:
    nothing: Any = () if left_out == "curing" else None
    found = anchors.setting_verdict(ASKED, replace(as_set, **{left_out: nothing}))
    if anchors.setting_verdict(ASKED, as_set).verdict != MET and left_out != "cures":
        assert found.verdict != MET
    if left_out == "cures":
        assert found.verdict != MET
    assert (found.verdict == MET) == (not found.reasons)


@settings(max_examples=50)
@given(set_anchors, st.sampled_from(("product", "drill_mm", "embedment_mm")))
def test_without_what_was_asked_a_setting_is_never_met(as_set: AsSet, left_out: str) -> None:
    assert anchors.setting_verdict(replace(ASKED, **{left_out: None}), as_set).verdict != MET


@settings(max_examples=80)
@given(tables, st.floats(-40, 80), st.floats(0.01, 30))
def test_a_colder_wall_never_carries_sooner(
    table: tuple[tuple[float, float], ...], wall_c: float, colder: float
) -> None:
    warm = anchors.earliest_loading(table[::-1], wall_c, SET_AT)
    cold = anchors.earliest_loading(table, max(-40.0, wall_c - colder), SET_AT)
    assert (warm.minutes is None) == (not table[0][0] <= wall_c <= table[-1][0])
    if warm.minutes is not None:
        # Never less than the row below asks, which is never less than a line between two rows.
        assert warm.minutes in {minutes for row_c, minutes in table if row_c <= wall_c}
        assert cold.minutes is None or cold.minutes >= warm.minutes


@settings(max_examples=80)
@given(numbers, st.integers(0, 3), st.sampled_from((0.025, 0.05)))
def test_more_failures_never_ask_for_fewer_tests(number: int, failures: int, fraction: float) -> None:
    failures = min(failures, number)
    plan = anchors.proof_tests(number, failures=failures, tested=failures, fraction=fraction)
    assert failures <= plan.count <= number
    assert plan.count >= min(number, 3)
    assert plan.left == plan.count - failures
    if failures:
        fewer = anchors.proof_tests(number, failures=failures - 1, tested=failures, fraction=fraction)
        assert plan.count >= fewer.count
        assert plan.verdict == NOT_MET
    assert anchors.proof_tests(number, tested=number, fraction=fraction).verdict == MET
    assert anchors.proof_tests(number, fraction=fraction).verdict == CANNOT_TELL


@pytest.mark.parametrize(
    ("changed", "verdict", "words"),
    [
        ({"asked_n": None}, CANNOT_TELL, "load asked for is not said"),
        ({"reached_n": None}, CANNOT_TELL, "load reached was not written down"),
        ({"reached_n": 1499.0}, NOT_MET, "1.5 kN was asked for; 1.499 kN was reached"),
        ({"held_s": None}, CANNOT_TELL, "how long the load was held"),
        ({"held_s": 59.0}, NOT_MET, "held for 59 s"),
        ({"movement_mm": None}, CANNOT_TELL, "how far the anchor moved"),
        ({"movement_mm": 0.6}, NOT_MET, "moved 0.6 mm; at most 0.5 mm"),
        ({"allowed_mm": None}, CANNOT_TELL, "how far the anchor may move"),
        ({"gauge_until": None}, CANNOT_TELL, "until when the gauge is calibrated"),
        ({"gauge_until": date(2026, 11, 25)}, CANNOT_TELL, "calibrated until 2026-11-25; the test was on 2026-11-26"),
    ],
)
def test_what_is_wrong_or_missing_about_a_proof_test_is_named(
    changed: dict[str, Any], verdict: str, words: str
) -> None:
    assert anchors.proof_verdict(**PROVED).verdict == MET
    found = anchors.proof_verdict(**PROVED | changed)
    assert found.verdict == verdict
    assert any(words in reason for reason in found.reasons), found.reasons
    assert found.shows == anchors.proof_tests(4).shows


def test_a_gauge_past_its_date_does_not_excuse_an_anchor_that_moved() -> None:
    found = anchors.proof_verdict(**PROVED | {"gauge_until": None, "movement_mm": 3.0})
    assert found.verdict == NOT_MET


@settings(max_examples=60)
@given(
    st.fixed_dictionaries(
        {
            "asked_n": st.one_of(st.none(), st.floats(1, 9000)),
            "reached_n": st.one_of(st.none(), st.floats(1, 9000)),
            "held_s": st.one_of(st.none(), st.floats(0, 200)),
            "movement_mm": st.one_of(st.none(), st.floats(0, 3)),
            "allowed_mm": st.one_of(st.none(), st.floats(0, 3)),
            "gauge_until": st.one_of(st.none(), st.dates(date(2026, 11, 1), date(2026, 12, 31))),
        }
    ),
    st.sampled_from(("asked_n", "reached_n", "held_s", "movement_mm", "allowed_mm", "gauge_until")),
)
def test_leaving_something_out_of_a_proof_test_is_never_met(typed: dict[str, Any], left_out: str) -> None:
    found = anchors.proof_verdict(**typed | {left_out: None}, tested_on=date(2026, 12, 1))
    assert found.verdict != MET
    assert found.reasons


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)))
def test_three_months_of_heating_pass_before_a_piece_is_looked_over_again(day: date) -> None:
    again = anchors.first_heating_season_end(day)
    assert (again.month, again.day) == (5, 1)
    # By the calendar: 31 January to 1 May is 90 days (91 in a leap year), 1 February to the next 1 May 454 or 455.
    assert 90 <= (again - day).days <= 455


BAD = [math.nan, math.inf, -1, "3", True, 10**400]


@pytest.mark.parametrize("bad", BAD)
@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (anchors.proof_tests, "anchors"),
        (lambda bad: anchors.proof_tests(10, failures=bad), "failures"),
        (lambda bad: anchors.proof_tests(10, tested=bad), "anchors tested"),
        (anchors.proof_load_n, "characteristic action"),
        (lambda bad: anchors.proof_verdict(**PROVED | {"asked_n": bad}), "load asked for"),
        (lambda bad: anchors.proof_verdict(**PROVED | {"reached_n": bad}), "load reached"),
        (lambda bad: anchors.proof_verdict(**PROVED | {"held_s": bad}), "time held"),
        (lambda bad: anchors.proof_verdict(**PROVED | {"movement_mm": bad}), "movement"),
        (lambda bad: anchors.proof_verdict(**PROVED | {"allowed_mm": bad}), "movement allowed"),
        (lambda bad: anchors.setting_verdict(replace(ASKED, drill_mm=bad), GOOD), "drill asked for"),
        (lambda bad: anchors.setting_verdict(replace(ASKED, embedment_mm=bad), GOOD), "embedment asked for"),
        (lambda bad: anchors.setting_verdict(ASKED, replace(GOOD, drilled_mm=bad)), "drill"),
        (lambda bad: anchors.setting_verdict(ASKED, replace(GOOD, embedment_mm=bad)), "embedment"),
        (lambda bad: anchors.earliest_loading([(5, bad)], 6, SET_AT), "curing table: time"),
        (lambda bad: anchors.tightening_verdict(bad, 20, marked=True, locked=True), "torque asked for"),
        (lambda bad: anchors.tightening_verdict(20, bad, marked=True, locked=True), "torque"),
    ],
)
def test_what_cannot_be_is_refused_by_name_with_its_range(call, quantity: str, bad: object) -> None:
    with pytest.raises(TradeError, match=f"^{quantity} is .*; allowed is a number") as refused:
        call(bad)
    assert quantity in str(refused.value)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: anchors.proof_tests(0), "anchors is 0 anchors"),
        (lambda: anchors.proof_tests(2.5), "anchors is 2.5; allowed is a whole number"),
        (lambda: anchors.proof_tests(5, failures=6), "failures is 6 failures; allowed is a number from 0 to 5"),
        (lambda: anchors.proof_tests(5, failures=2, tested=1), "anchors tested is 1 .* from 2 to 5"),
        (lambda: anchors.proof_tests(5, tested=6), "anchors tested is 6 .* from 0 to 5"),
        (lambda: anchors.proof_tests(5, fraction=0.1), "fraction tested is 0.1; allowed is 0.025 or 0.05"),
        (lambda: anchors.proof_load_n(1000, math.nan), "fraction tested is nan; allowed is 0.025 or 0.05"),
        (lambda: anchors.earliest_loading([(5, 60), (5, 30)], 6, SET_AT), "5 °C in two rows"),
        (lambda: anchors.earliest_loading([(5, 60), (10, 90)], 6, SET_AT), "time is 90 min at 10 °C; allowed is at"),
        (lambda: anchors.earliest_loading([(5, 60)], math.nan, SET_AT), "temperature of the wall is nan"),
        (lambda: anchors.earliest_loading([(500, 60)], 6, SET_AT), "curing table: temperature is 500 °C"),
        (lambda: anchors.earliest_loading([(5, 60)], 5, SET_AT.replace(tzinfo=None)), "without a time zone"),
        (lambda: anchors.earliest_loading([(5, 60)], 5, datetime.max.replace(tzinfo=UTC)), "the calendar has"),
        (lambda: anchors.first_heating_season_end(date.max), "past the year 9999"),
    ],
)
def test_a_slip_is_named(call, words: str) -> None:
    with pytest.raises(TradeError, match=words):
        call()
