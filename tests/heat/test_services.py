"""Appliance, distances, limits and heat tests, as they are kept and as they stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from siteapp.heat.appliance.services import appliance_now, distances_now
from siteapp.heat.condition import near_fire, untested
from siteapp.heat.evidence.services import evidence, limits_now, record_evidence
from siteapp.heat.testing import services as testing
from siteapp.heat.testing.state import fire_state, heat_test_now, heat_tests, judged
from siteapp.pieces.conditions import conditions
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.heat import fires

if TYPE_CHECKING:
    from siteapp.store.db import Store

REPORT = {
    "tested": "coupon", "tested_words": None, "report": "IV-1", "laboratory": None, "standard": "EN 13501-1",
    "result": "B-s1,d0", "reported_on": "2026-02-11", "covers": "the shell", "covers_not": "joints and edges of it",
    "note": None, "dropped": False,
}  # fmt: skip


def test_the_plate_decides_and_the_worst_thing_counts(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        fires.appliance(session, piece)
        fires.distances(
            session,
            piece,
            {"thing": "the piece", "place": "above", "distance_mm": 640.0, "projection_mm": 90.0, "combustible": True},
            {"thing": "batten", "place": "left", "distance_mm": 280.0, "combustible": True},
        )
    with database.read() as session:
        now = distances_now(session, piece)
        assert [one.verdict for one in now.held] == ["met", "not met"]
        assert now.worked.verdict == "not met"
        assert now.worked.outcome["spare_mm"] == -20
        assert any("batten" in why for why in now.worked.outcome["why"])


def test_without_appliance_or_distances_nobody_can_tell(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        assert distances_now(session, piece).worked.verdict == "cannot tell"
        fires.appliance(session, piece)
        assert distances_now(session, piece).worked.verdict == "cannot tell"


def test_one_description_of_the_appliance_stands(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        first = fires.appliance(session, piece)
    with pytest.raises(Superseded), store.write() as session:
        fires.appliance(session, piece)
    with pytest.raises(FieldProblem, match="is not an answer"), store.write() as session:
        fires.appliance(session, piece, revises=first, kind="bonfire")
    with store.write() as session:
        fires.appliance(session, piece, revises=first, model="Ember 7 (invented)")
        found = appliance_now(session, piece.piece_id)
        assert found
        assert (found.said.model, len(found.earlier)) == ("Ember 7 (invented)", 1)


def test_a_report_is_corrected_and_dropped(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        told = {"piece": piece, "facts": REPORT}
        first = record_evidence(session, factories.a_writer(session), **told)
        assert [one.said.report for one in evidence(session, piece.piece_id)] == ["IV-1"]
        told["facts"] = REPORT | {"dropped": True}
        record_evidence(session, factories.a_writer(session), corrects=[first], **told)
        assert evidence(session, piece.piece_id) == []
    with store.write() as session:
        other = factories.a_piece(session)
    with pytest.raises(StoreError, match="no evidence of this piece"), store.write() as session:
        record_evidence(session, factories.a_writer(session), piece=other, facts=REPORT, corrects=[first])


def test_limits_that_nobody_gave_are_known_to_be_missing(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        assert limits_now(session, piece.piece_id).known == {}
        fires.limits(session, piece, foam=None)
        assert limits_now(session, piece.piece_id).known["foam"] is None


def test_a_whole_test_is_met_and_ends_the_condition(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        assert untested(session, piece)
        assert conditions(session, piece) == ("No fire until tested",)
        test_id = fires.tested(session, piece)
    with database.read() as session:
        state = fire_state(session, piece)
        assert (state.verdict, state.reasons) == ("met", ())
        assert state.test
        assert state.test.test_id == test_id
        assert state.test.end
        assert state.test.end.said.verdict == "met"
        assert conditions(session, piece) == ()


@pytest.mark.parametrize(
    ("facts", "reason"),
    [
        ({"output": "less than rated"}, "not at its rated output"),
        ({"output": None}, "rated output is not known"),
        ({"hottest_room_c": None}, "hottest room is not known"),
        ({"by_hand": True}, "no plateau was measured"),
        ({"by_hand": None}, "Whether somebody puts fuel on"),
    ],
)
def test_what_is_not_known_of_the_fire_is_never_met(store: Store, facts: dict[str, object], reason: str) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        fires.limits(session, piece)
        fires.ended(session, piece, fires.burnt(session, piece, **facts))
        state = fire_state(session, piece)
        assert state.verdict == "cannot tell"
        assert reason in " ".join(state.reasons)


def test_a_limit_from_an_estimate_lets_no_fire_be_lit(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        fires.limits(session, piece)
        test_id = fires.burnt(session, piece)
        test = heat_test_now(session, piece.piece_id, test_id)
        now = limits_now(session, piece.piece_id)
        assert judged(test, now).verdict == "met"
        now.rows[0].known_from = "estimate"
        found = judged(test, now)
        assert found.verdict == "cannot tell"
        assert "is an estimate" in " ".join(found.reasons)
        session.expunge_all()


def test_a_test_that_has_not_ended_lets_nothing_go_on(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        fires.limits(session, piece)
        fires.burnt(session, piece)
        assert fire_state(session, piece).verdict == "cannot tell"


def test_an_appliance_described_after_the_test_may_be_another_fire(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        fires.tested(session, piece)
    with store.write() as session:
        fires.appliance(session, piece)
        state = fire_state(session, piece)
        assert state.verdict == "cannot tell"
        assert "described again" in state.reasons[0]


def test_a_reading_past_a_limit_stops_the_fire_and_a_correction_takes_it_back(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        fires.limits(session, piece)
        test_id = fires.lit(session, piece)
        fires.read(session, piece, test_id, 0, P1=20, P2=20)
        wrong = fires.read(session, piece, test_id, 10, P1=25, P2=310)

        def found():
            return judged(heat_test_now(session, piece.piece_id, test_id), limits_now(session, piece.piece_id))

        assert (found().verdict, found().stop) == ("not met", True)
        told = {"piece": piece, "test_id": test_id, "minutes": 10.0, "celsius": {"P1": 25.0, "P2": 31.0}}
        testing.record_readings(session, factories.a_writer(session), corrects=[wrong], **told)
        assert not found().stop


def test_what_a_probe_read_after_it_slipped_does_not_count(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        test_id = fires.lit(session, piece)
        for at in (0, 10, 20):
            fires.read(session, piece, test_id, at, P1=20 + at)
        fires.happened(session, piece, test_id, "probe slipped", 15, probe="P1")
        test = heat_test_now(session, piece.piece_id, test_id)
        assert test.points()["P1"] == [(0, 20), (10, 30)]


def test_a_log_counts_beside_what_was_typed(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        test_id = fires.lit(session, piece)
        fires.read(session, piece, test_id, 5, P1=22)
        told = {"file_name": "a.csv", "text": "0;20", "points": {"P1": [(0.0, 20.0)]}, "left_out": None, "reader": "r"}
        testing.record_log(session, factories.a_writer(session), piece=piece, test_id=test_id, **told)
        assert heat_test_now(session, piece.piece_id, test_id).points()["P1"] == [(0, 20), (5, 22)]


def test_a_test_that_has_ended_takes_corrections_alone(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        test_id = fires.lit(session, piece)
        first = fires.read(session, piece, test_id, 5, P1=22)
        fires.ended(session, piece, test_id)
    for again in (
        lambda session: fires.read(session, piece, test_id, 6, P1=22),
        lambda session: fires.happened(session, piece, test_id, "refuelled", 6),
        lambda session: fires.ended(session, piece, test_id),
    ):
        with pytest.raises(StoreError, match="has ended"), store.write() as session:
            again(session)
    with store.write() as session:
        told = {"piece": piece, "test_id": test_id, "minutes": 5.0, "celsius": {"P1": 23.0}}
        testing.record_readings(session, factories.a_writer(session), corrects=[first], **told)


@pytest.mark.parametrize(
    ("what", "more", "words"),
    [
        ("exploded", {}, "is not an answer"),
        ("probe slipped", {}, "say which one slipped"),
        ("refuelled", {"probe": "P1"}, "say which one slipped"),
        ("shut down", {}, "shut down already"),
    ],
)
def test_what_cannot_have_happened_is_refused(store: Store, what: str, more: dict[str, str], words: str) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        test_id = fires.lit(session, piece)
        fires.happened(session, piece, test_id, "shut down", 30)
    with pytest.raises(FieldProblem, match=words), store.write() as session:
        fires.happened(session, piece, test_id, what, 40, **more)


def test_probes_have_labels_of_their_own_and_are_known(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    twice = [fires.PROBES[0], fires.PROBES[0] | {"spot": "back"}]
    with pytest.raises(FieldProblem, match="same label"), store.write() as session:
        fires.lit(session, piece, probes=twice)
    with store.write() as session:
        test_id = fires.lit(session, piece)
    with pytest.raises(StoreError, match="no probe “P9”"), store.write() as session:
        fires.read(session, piece, test_id, 5, P9=22)


def test_the_beginning_is_put_right_and_the_test_stays_the_same(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        test_id = fires.lit(session, piece)
        fires.read(session, piece, test_id, 5, P1=22)
        before = heat_tests(session, piece.piece_id)[0]
        facts = fires.FACTS | {"lit_at": before.begun.said.lit_at, "room_c": 18.0}
        writer = factories.a_writer(session)
        told = {"piece": piece, "facts": facts, "probes": fires.PROBES, "corrects": [test_id]}
        testing.begin(session, writer, **told)
        (now,) = heat_tests(session, piece.piece_id)
        assert (now.test_id, now.begun.said.room_c, len(now.taken)) == (test_id, 18.0, 1)


def test_near_a_fire_by_the_particulars_by_words_or_by_an_appliance_on_record(store: Store) -> None:
    with store.write() as session:
        assert near_fire(session, factories.a_piece(session, near_heat=True))
        assert not near_fire(session, factories.a_piece(session, near_heat=False, description="Over the stove."))
        assert near_fire(session, factories.a_piece(session, near_heat=None, description="Over the stove."))
        piece = factories.a_piece(session, near_heat=None)
        assert not near_fire(session, piece)
        fires.appliance(session, piece)
        assert near_fire(session, piece)
