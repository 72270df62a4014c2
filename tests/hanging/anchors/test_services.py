"""Anchors recorded and judged by what is recorded now."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.checks import calculations
from siteapp.checks.lists import ANCHORS_PROVED, ANCHORS_SET
from siteapp.hanging.anchors import judging, services, state
from siteapp.store.errors import StoreError, Superseded
from siteapp.trade.anchors import first_heating_season_end
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.hanging.anchors import support
from tests.hanging.anchors.support import SET_AT

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


def verdicts(session: Session, piece: PieceNow) -> tuple[str, str]:
    """What the two calculations come to, as the checks ask them."""
    found = []
    for name in (ANCHORS_SET, ANCHORS_PROVED):
        calculation = calculations.known(name)
        assert calculation
        assert calculation.work_out
        found.append(calculation.work_out(session, piece).verdict)
    return found[0], found[1]


def why(session: Session, piece: PieceNow) -> tuple[str, str]:
    found = judging.judged(session, piece)
    return " ".join(found.set.outcome["why"]), " ".join(found.proved.outcome["why"])


def test_a_piece_whose_anchors_were_all_set_pulled_and_turned_up_is_met(database: Store) -> None:
    with database.write() as session:
        factories.a_piece(session)
        piece = support.a_piece(session)
        assert verdicts(session, piece) == ("cannot tell", "cannot tell")
        support.all_done(session, piece)
        assert verdicts(session, piece) == ("met", "met")
        assert why(session, piece) == ("", "")
        one, other = services.anchors_now(session, piece)
    assert (one.label, other.label, one.point) == ("A", "B", "A")
    assert one.earliest == SET_AT + timedelta(minutes=120)
    assert one.tightened is not None
    assert one.proof is not None
    assert one.proof.found.verdict == "met"


def test_a_point_without_an_anchor_and_a_piece_without_a_template_cannot_tell(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        support.set_anchor(session, piece)
        support.prove(session, piece)
        assert verdicts(session, piece) == ("cannot tell", "cannot tell")
        assert "B: no anchor is recorded." in why(session, piece)[0]
        bare = factories.a_piece(session)
        support.set_anchor(session, bare)
        assert "No fixing template says what was asked for." in why(session, bare)[0]


NOT_AS_ASKED: list[tuple[dict[str, Any], str, str]] = [
    ({"product": "Plug P 8 (invented)"}, "not met", "“Plug P 8 (invented)” was set"),
    ({"embedment_mm": 80.0}, "not met", "80 mm was reached"),
    ({"embedment_mm": None}, "cannot tell", "embedment was not measured"),
    ({"cleaned": None}, "cannot tell", "cleaned"),
    ({"expires_on": "2020-01-31"}, "not met", "to be used by 2020-01-31"),
    ({"wall_c": 2.0}, "not met", "covers 5 to 20 °C"),
    ({"curing": ()}, "cannot tell", "curing table"),
    ({"kind": "other", "curing": ()}, "cannot tell", "whether anything has to cure"),
]


def test_an_anchor_that_was_not_set_as_asked_is_named(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        support.set_anchor(session, piece, "A")
        stands = support.set_anchor(session, piece, "B")
        for changed, verdict, words in NOT_AS_ASKED:
            stands = support.set_anchor(session, piece, "B", corrects=[stands], **changed)
            assert verdicts(session, piece)[0] == verdict, changed
            told = why(session, piece)[0]
            assert words in told
            assert "B: " in told
            assert "A: " not in told


def test_a_mechanical_anchor_carries_at_once_and_needs_no_resins_date(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        for label in ("A", "B"):
            plain = {"kind": "expansion", "expires_on": None, "wall_c": None, "curing": ()}
            support.set_anchor(session, piece, label, **plain)
        assert verdicts(session, piece)[0] == "met"
        assert [one.earliest for one in services.anchors_now(session, piece)] == [None, None]


def test_several_anchors_stand_behind_one_point_and_a_rail_needs_more_than_one(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        for label in ("B", "A/10", "A/2", "Z"):
            support.set_anchor(session, piece, label)
        now = services.anchors_now(session, piece)
        assert [(one.label, one.point) for one in now] == [("A/2", "A"), ("A/10", "A"), ("B", "B"), ("Z", None)]
        assert verdicts(session, piece)[0] == "met"
        told = state.recorded(session, piece)
        rail = judging._set(told, now, ["B"])
    assert (rail.verdict, rail.outcome["why"]) == (
        "cannot tell",
        ["B is held by a rail, and only one of the rail's anchors is recorded."],
    )


def test_an_anchor_recorded_twice_is_refused_and_may_be_corrected(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        first = support.set_anchor(session, piece)
    with (
        pytest.raises(FieldProblem, match=r"a is recorded already\. .* as a/2\."),
        store.write() as session,
    ):
        support.set_anchor(session, piece, " a ")
    with store.write() as session:
        support.set_anchor(session, piece, embedment_mm=95.0, corrects=[first])
    with pytest.raises(Superseded), store.write() as session:
        support.set_anchor(session, piece, embedment_mm=96.0, corrects=[first])
    with store.read() as session:
        one = services.anchors_now(session, piece)[0]
        assert one.set is not None
        assert one.set.said.embedment_mm == 95
        assert len(one.set.earlier) == 1


def test_another_pieces_records_are_not_corrected(store: Store, noise: factories.Noise) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        theirs = support.set_anchor(session, noise.piece)
        proof = support.prove(session, noise.piece)
        nuts = support.tighten(session, noise.piece, labels="A")
    with store.write() as session:
        for act, other in ((support.set_anchor, theirs), (support.prove, proof), (support.tighten, nuts)):
            with pytest.raises(StoreError, match="Open the page again"):
                act(session, piece, corrects=[other])


def test_one_failure_asks_for_more_tests_and_stays_although_the_anchor_was_set_anew(store: Store) -> None:
    points = [f"P{at}" for at in range(8)]
    with store.write() as session:
        piece = support.a_piece(session, *points)
        first = {label: support.set_anchor(session, piece, label) for label in points}
        for label in points[:3]:
            support.prove(session, piece, label)
        assert verdicts(session, piece) == ("met", "met")
        support.prove(session, piece, points[3], load_kn=0.9)
        assert verdicts(session, piece)[1] == "not met"
        assert "1.5 kN was asked for; 0.9 kN was reached" in why(session, piece)[1]
        (area,) = judging.judged(session, piece).areas
        assert (area.plan.count, area.plan.left, area.plan.next_step) == (6, 2, "investigate")
        again = SET_AT + timedelta(hours=6)
        support.set_anchor(session, piece, points[3], set_at=again, corrects=[first[points[3]]])
        (bare,) = [one for one in services.anchors_now(session, piece) if one.label == points[3]]
        assert bare.proof is None
        assert [one.of_this_anchor for one in bare.proofs] == [False]
        assert verdicts(session, piece)[1] == "not met"
        # Pulled again it is no other anchor, and the failure stays.
        support.prove(session, piece, points[3], tested_at=again + timedelta(hours=3))
        (area,) = judging.judged(session, piece).areas
        assert (area.counted, area.plan.count, area.plan.next_step) == (5, 6, "investigate")
        support.prove(session, piece, points[4], movement_mm=4.0)
        (area,) = judging.judged(session, piece).areas
        assert (area.plan.count, area.plan.next_step) == (8, "test all, reconsider specification")


def test_an_anchor_pulled_twice_counts_once(store: Store) -> None:
    points = [f"P{at}" for at in range(4)]
    with store.write() as session:
        piece = support.a_piece(session, *points)
        for label in points:
            support.set_anchor(session, piece, label)
        for hours in (4, 5, 6):
            support.prove(session, piece, points[0], tested_at=SET_AT + timedelta(hours=hours))
        (area,) = judging.judged(session, piece).areas
        assert (area.counted, area.plan.left) == (1, 2)
        support.prove(session, piece, points[0], load_kn=0.2, tested_at=SET_AT + timedelta(hours=7))
        (area,) = judging.judged(session, piece).areas
        assert (area.counted, area.plan.count, area.plan.next_step) == (1, 4, "investigate")


def test_two_products_are_two_areas(store: Store) -> None:
    points = [f"P{at}" for at in range(8)]
    with store.write() as session:
        piece = support.a_piece(session, *points)
        for at, label in enumerate(points):
            support.set_anchor(session, piece, label, product=support.PRODUCT if at < 4 else "Other (invented)")
        for label in points[:3]:
            support.prove(session, piece, label)
        assert [(area.anchors, area.counted, area.plan.count) for area in judging.judged(session, piece).areas] == [
            (4, 3, 3),
            (4, 0, 3),
        ]
        assert "3 anchors of Other (invented) are still to be pulled." in why(session, piece)[1]


LEFT_OUT: list[tuple[dict[str, Any], str]] = [
    ({"held_s": None}, "how long the load was held"),
    ({"movement_mm": None}, "how far the anchor moved"),
    ({"allowed_mm": None}, "how far the anchor may move"),
    ({"gauge": None, "calibrated_until": None}, "until when the gauge is calibrated"),
    ({"calibrated_until": "2020-01-01"}, "the gauge was calibrated until 2020-01-01"),
]


def test_a_test_that_leaves_something_out_cannot_tell_until_a_later_one_says_it(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        for label in ("A", "B"):
            support.set_anchor(session, piece, label)
        support.prove(session, piece, "B")
        stands = support.prove(session, piece, "A")
        assert verdicts(session, piece)[1] == "met"
        for changed, words in LEFT_OUT:
            stands = support.prove(session, piece, "A", corrects=[stands], **changed)
            assert verdicts(session, piece)[1] == "cannot tell"
            assert f"A: {words}" in why(session, piece)[1]
        support.prove(session, piece, "A", tested_at=SET_AT + timedelta(hours=5))
        assert verdicts(session, piece)[1] == "met"


def test_what_the_template_asks_now_is_what_a_test_is_held_against(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session, proof_kn=2.0)
        support.set_anchor(session, piece)
        support.prove(session, piece, asked_kn=1.0, load_kn=1.5)
        assert "A: 2 kN was asked for; 1.5 kN was reached" in why(session, piece)[1]


def test_a_test_anchor_counts_for_nothing_and_needs_no_record_of_its_own(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        for label in ("A", "B"):
            support.set_anchor(session, piece, label)
            support.prove(session, piece, label, sacrificed=True, load_kn=0.1)
        support.prove(session, piece, "T1", sacrificed=True)
        assert verdicts(session, piece)[1] == "cannot tell"
        found = judging.judged(session, piece)
    assert [one.version.said.label for one in found.loose] == ["T1"]
    assert [area.counted for area in found.areas] == [0]


REFUSED: list[tuple[Any, dict[str, Any], str, str]] = [
    (support.prove, {"label": "Q"}, "label", "none is recorded at “Q”"),
    (support.prove, {"label": "B"}, "label", "none is recorded at “B”"),
    (support.prove, {"tested_at": SET_AT - timedelta(minutes=1)}, "tested_at", "after that"),
    (support.prove, {"tested_at": SET_AT + timedelta(minutes=119)}, "note", "why it was done all the same"),
    (support.prove, {"load_kn": 2000.0}, "load_kn", "load reached is 2000000.0 N"),
    (support.prove, {"calibrated_until": "soon"}, "calibrated_until", "“soon” is no day"),
    (support.set_anchor, {"label": "B", "wall_c": 200.0}, "wall_c", "temperature of the wall is 200.0 °C"),
    (support.set_anchor, {"label": "B", "curing": ((5, 1), (9, 2))}, "curing", "at most the 1 min"),
    (support.set_anchor, {"label": "B", "drilled_mm": 999.0}, "drilled_mm", "drill is 999.0 mm"),
    (support.set_anchor, {"label": "B", "expires_on": "31/12"}, "expires_on", "“31/12” is no day"),
    (support.set_anchor, {"label": "B", "kind": "magnet"}, "anchor_kind", "“magnet” is not one"),
    (support.tighten, {"labels": "  \n"}, "labels", "name at least one"),
    (support.tighten, {"labels": "A\nX"}, "labels", "there is no anchor “X”. Known are: A, B."),
    (support.tighten, {"labels": "A\na"}, "labels", "“a” is named twice"),
]


def test_what_cannot_be_is_refused_on_its_field(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        support.set_anchor(session, piece)
    for act, changed, field, words in REFUSED:
        with pytest.raises(FieldProblem, match=words) as refused, store.write() as session:
            act(session, piece, **changed)
        assert refused.value.field == field
    with store.read() as session:
        told = state.recorded(session, piece)
    assert (len(told.sets), told.proofs, told.tightened) == (1, [], [])


def test_nuts_turned_up_before_the_resin_cured_need_a_reason_and_are_not_met(store: Store) -> None:
    early = datetime.now(UTC) - timedelta(minutes=10)
    with store.write() as session:
        piece = support.a_piece(session)
        support.set_anchor(session, piece, "A", set_at=early)
        support.set_anchor(session, piece, "B")
    with pytest.raises(FieldProblem, match="Note: by the resin's sheet") as refused, store.write() as session:
        support.tighten(session, piece)
    assert refused.value.field == "note"
    with store.write() as session:
        support.tighten(session, piece, labels="B")
        assert verdicts(session, piece)[0] == "met"
        support.tighten(session, piece, labels="A", note="The client's scaffold had to go (invented).")
        assert verdicts(session, piece)[0] == "not met"
        assert "before it had cured" in why(session, piece)[0]


def test_a_piece_is_looked_over_again_after_the_winter_that_follows_its_hanging(store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
        assert services.recheck_on(session, piece) is None
        support.all_done(session, piece)
        support.tighten(session, piece, labels="A")
        assert services.recheck_on(session, piece) == first_heating_season_end(date.today())  # noqa: DTZ011 - its own day
        # On another wall with other anchors it has not been hung yet.
        for one in services.anchors_now(session, piece):
            assert one.set is not None
            moved = datetime.now(UTC) + timedelta(minutes=5)
            support.set_anchor(session, piece, one.label, set_at=moved, corrects=[one.set.entry.id])
        assert services.recheck_on(session, piece) is None


TURNED: list[tuple[dict[str, Any], dict[str, Any], str]] = [
    ({}, {}, "met"),
    ({"torque_nm": 30.0}, {}, "not met"),
    ({"torque_nm": None}, {}, "cannot tell"),
    ({}, {"torque_nm": None}, "cannot tell"),
    ({"marked": False}, {}, "not met"),
    ({"locked": None}, {}, "cannot tell"),
]


def test_nuts_are_held_against_the_torque_asked_for(store: Store) -> None:
    with store.write() as session:
        for changed, asked, verdict in TURNED:
            piece = support.a_piece(session, **asked)
            assert judging.judged(session, piece).tightening is None
            for label in ("A", "B"):
                support.set_anchor(session, piece, label)
            support.tighten(session, piece, labels="A", **changed)
            found = judging.judged(session, piece)
            assert found.tightening is not None
            assert (found.tightening.verdict, found.untightened) == (verdict, ("B",)), changed
