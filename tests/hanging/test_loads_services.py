"""The loads recorded, worked out from what is known now, stale, and what they come to. Rules are ours unless said."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import LOADS
from siteapp.checks.working import lines_of
from siteapp.hanging.loads import judging, services, working
from siteapp.hanging.loads.models import LoadPad, LoadResistance, LoadSheet
from siteapp.store.errors import StoreError, Superseded
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.hanging import hung
from tests.hanging.hung import LEAN, POINTS, anchor, ready, tell
from tests.hanging.walls import find_wall

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.hanging.loads.services import LoadsNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece that was weighed, with points and a wall, of whose loads nothing is told; beside one that has some."""
    with store.write() as session:
        tell(session, noise.piece, anchors=[])
        return ready(session)


def now(store: Store, piece: PieceNow) -> LoadsNow:
    with store.read() as session:
        found = services.loads_now(session, hung.again(session, piece))
    assert found is not None
    return found


def told(store: Store, piece: PieceNow, **said: Any) -> LoadsNow:
    with store.write() as session:
        tell(session, piece, **said)
    return now(store, piece)


def test_loads_are_kept_whole_and_a_later_sheet_takes_their_place(database: Store) -> None:
    with database.write() as session:
        piece = ready(session)
        first = tell(session, piece, note="with the wall contractor")
        second = tell(session, piece, revises=first, lean_n=300.0, lean_x_mm=None, lean_y_mm=None)
    with database.read() as session:
        found = services.loads_now(session, piece)
        assert found is not None
        assert (found.version.entry.id, [entry.id for entry in found.version.replaced]) == (second, [first])
        sheet = found.version.said
        assert (sheet.lean_n, sheet.verdict, sheet.calculation) == (300.0, MET, "loads (1)")
        assert (sheet.particulars_id, sheet.wall_id is not None) == (piece.revision.id, True)
        assert json.loads(sheet.outcome)["why"] == []
        assert [one.label for one in found.known.resistances] == ["A", "B", "C", "D"]
        assert len(found.known.pads) == 4
        assert found.worked.verdict == MET
        assert not found.stale
        assert session.query(LoadPad).count() == 8
        assert session.query(LoadResistance).count() == 8


def test_the_largest_load_on_each_point_counts_every_case_and_every_loss(store: Store, piece: PieceNow) -> None:
    found = told(store, piece)
    assert found.found is not None
    assert set(found.by_label) == {"A", "B", "C", "D"}
    for label, demand in found.by_label.items():
        forces = [case.forces[label] for case in found.found.cases]
        forces += [loss.forces[label] for loss in found.found.losses if label in loss.forces]
        assert demand.pull_n == max(force.pull_n for force in forces)
        assert demand.shear_n == max(force.shear_n for force in forces)
    assert "lost" in found.by_label["A"].case
    # Statics: all of the weight with its factor hangs on the points together.
    weight = next(case for case in found.found.cases if case.does == "weight")
    assert sum(force.up_n for force in weight.forces.values()) == pytest.approx(1.35 * 31.4 * 9.80665)


@pytest.mark.parametrize(
    ("said", "verdict", "words"),
    [
        ({"lean_n": None, "lean_why": None}, CANNOT_TELL, "how hard somebody may lean on it is not said"),
        ({"pads": ()}, NOT_MET, "where the piece bears on the wall is not told"),
        ({"anchors": [anchor("A"), anchor("B"), anchor("C")]}, CANNOT_TELL, "no anchor's values are given for: D"),
        ({"anchors": [anchor(one, covered=None) for one in "ABCD"]}, CANNOT_TELL, "not known to cover this wall"),
        ({"anchors": [anchor(one, covered=False) for one in "ABCD"]}, CANNOT_TELL, "not known to cover this wall"),
        ({"anchors": [anchor(one, document=None) for one in "ABCD"]}, CANNOT_TELL, "no approval document or test"),
        ({"anchors": [anchor(one, pull_n=None) for one in "ABCD"]}, CANNOT_TELL, "in pull is not known"),
        ({"anchors": [anchor(one, kind="concrete") for one in "ABCD"]}, CANNOT_TELL, "not known to cover this wall"),
        ({"anchors": [anchor(one, pull_n=30.0) for one in "ABCD"]}, NOT_MET, "of what is allowed"),
        ({"anchors": [anchor(one, kind="steel") for one in "ABCD"]}, MET, ""),
        ({"lean_n": 2000.0}, MET, ""),
        ({"lean_n": 9000.0}, NOT_MET, "pulled outwards"),
    ],
)
def test_what_is_missing_or_too_much_is_said(
    store: Store, piece: PieceNow, said: dict[str, Any], verdict: str, words: str
) -> None:
    if said.get("lean_n") == 2000.0:
        said = {**said, "anchors": [anchor(one, pull_n=90_000.0, shear_n=90_000.0) for one in "ABCD"]}
    worked = told(store, piece, **said).worked
    assert worked.verdict == verdict, worked.outcome
    assert words in " ".join(worked.outcome["why"])
    json.dumps([worked.inputs, worked.outcome])


@pytest.mark.parametrize(
    ("change", "verdict", "words"),
    [
        ({"gap_mm": 12.0}, CANNOT_TELL, "a gap between plate and sound wall"),
        ({"gap_mm": None}, CANNOT_TELL, "whether there is a gap before the sound wall was not looked at"),
        ({"material": "concrete"}, CANNOT_TELL, "not known to cover this wall"),
    ],
)
def test_the_wall_as_found_decides_whether_values_count(
    store: Store, change: dict[str, Any], verdict: str, words: str
) -> None:
    with store.write() as session:
        piece = ready(session, **change)
    worked = told(store, piece).worked
    assert worked.verdict == verdict
    assert words in " ".join(worked.outcome["why"])


def test_an_estimated_weight_or_place_and_a_wall_nobody_saw_cannot_be_told(store: Store) -> None:
    with store.write() as session:
        piece = hung.give_points(session, factories.a_piece(session, mass_origin="estimated"))
        tell(session, piece)
    why = " ".join(now(store, piece).worked.outcome["why"])
    for words in ("the weight is estimated", "where its weight sits, across and up, is not known", "the wall as found"):
        assert words in why
    assert now(store, piece).worked.verdict == CANNOT_TELL
    assert now(store, piece).by_label == {}


def test_easing_a_point_a_new_weighing_or_a_new_look_at_the_wall_makes_loads_stale(
    store: Store, piece: PieceNow
) -> None:
    assert told(store, piece).worked.verdict == MET
    with store.write() as session:
        find_wall(session, piece, revises=services.loads_now(session, piece).version.said.wall_id, gap_mm=0.0)  # type: ignore[union-attr]
    changed = now(store, piece)
    assert (changed.stale, changed.worked.verdict) == (True, CANNOT_TELL)
    assert "look them over again" in " ".join(changed.worked.outcome["why"])
    with store.write() as session:
        tell(session, piece, revises=changed.version.entry.id)
    assert not now(store, piece).stale
    with store.write() as session:
        points = [{**point, "hole_mm": 11.0} if point["label"] == "A" else point for point in POINTS]
        hung.give_points(session, hung.again(session, piece), points)
    assert now(store, piece).stale
    with store.write() as session:
        again = hung.again(session, piece)
        tell(session, again, revises=now(store, piece).version.entry.id)
        hung.weigh(session, again)
    assert now(store, piece).stale


def test_points_of_which_nobody_said_how_they_hold_cannot_be_told(store: Store) -> None:
    with store.write() as session:
        piece = ready(session, [*POINTS[:3], {**POINTS[3], "holds": None}])
    found = told(store, piece)
    assert found.worked.verdict == CANNOT_TELL
    assert "how it holds is not told of: D" in found.worked.outcome["why"]


def test_a_piece_that_would_move_is_not_met_in_words_and_without_numbers(store: Store) -> None:
    hooks = [{**point, "holds": "hook"} for point in POINTS[:3]]
    with store.write() as session:
        piece = ready(session, hooks)
    found = told(store, piece, lean_n=900.0)
    assert found.worked.verdict == NOT_MET
    assert "the piece lifts off its hooks" in " ".join(found.worked.outcome["why"])
    assert found.by_label == {}


def test_a_rails_anchors_get_its_thrust_and_a_group_is_lost_together(store: Store) -> None:
    rails = [
        {**POINTS[0], "label": label, "x_mm": x_mm, "holds": "rail", "bevel_deg": 60.0, "fails_with": "top batten"}
        for label, x_mm in (("R1", 100.0), ("R2", 600.0), ("R3", 1100.0))
    ]
    with store.write() as session:
        piece = ready(session, [*rails, {**POINTS[3]}])
    found = told(store, piece, lean_n=0.0)
    assert found.found is not None
    weight = found.found.cases[0]
    # Statics of a wedge: tan 60° = 1.732 times what hangs there.
    assert weight.forces["R2"].pull_n == pytest.approx(weight.forces["R2"].up_n * 3**0.5)
    losses = {loss.name: loss for loss in found.found.losses}
    assert losses["top batten"].gone == ("R1", "R2", "R3")
    assert losses["top batten"].verdict == NOT_MET
    with store.write() as session:
        untold = ready(session, [{**one, "bevel_deg": None} for one in rails])
    assert "the bevel of the rail is not told at: R1, R2, R3" in told(store, untold).worked.outcome["why"]


def test_two_hundred_points_are_answered_in_words(store: Store) -> None:
    many = [
        {**POINTS[0], "label": f"P{row}", "x_mm": 5.0 + 11.0 * (row % 100), "y_mm": 700.0 - 40.0 * (row // 100)}
        for row in range(200)
    ]
    with store.write() as session:
        piece = ready(session, many)
    found = told(store, piece)
    assert found.worked.verdict == CANNOT_TELL
    assert f"more than {working.MOST_LOST} points" in " ".join(found.worked.outcome["why"])
    assert len(found.by_label) == 200


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        ({"lean_why": None}, "lean_why", "say who may lean on it"),
        ({"lean_x_mm": None}, "lean_x_mm", "give both"),
        ({"anchors": [anchor("X")]}, "resistances", "there is no point “X” on this piece. It has: A, B, C, D"),
        ({"anchors": [anchor("A"), anchor("A")]}, "resistances", "“A” stands in two lines"),
        ({"anchors": [anchor("A", kind="glue")]}, "resistances", "“glue” is not an answer here"),
    ],
)
def test_what_cannot_be_is_refused_with_its_field(
    store: Store, piece: PieceNow, said: dict[str, Any], field: str, words: str
) -> None:
    with store.write() as session, pytest.raises(FieldProblem, match=words) as refused:
        tell(session, piece, **said)
    assert refused.value.field == field
    with store.read() as session:
        assert services.loads_now(session, piece) is None


def test_another_pieces_sheet_is_not_revised_and_of_two_at_once_the_second_is_told(
    store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    with store.read() as session:
        foreign = services.told(session, noise.piece.piece_id)[0].entry.id
    with store.write() as session, pytest.raises(StoreError, match="no loads of this piece"):
        tell(session, piece, revises=foreign)
    with store.write() as session:
        first = tell(session, piece)
    with store.write() as session, pytest.raises(Superseded):
        tell(session, piece)
    with store.write() as session:
        tell(session, piece, revises=first)
    with store.write() as session, pytest.raises(Superseded):
        tell(session, piece, revises=first)


def test_the_check_is_answered_by_what_is_recorded_now(store: Store, piece: PieceNow) -> None:
    known = calculations.known(LOADS)
    assert known is not None
    assert known.work_out is not None
    with store.write() as session:
        before = known.work_out(session, piece)
        assert before.verdict == CANNOT_TELL
        assert "nobody has said yet who may lean on it" in before.outcome["why"][0]
        checks.open_lists(session, factories.a_writer(session), piece=piece, stage=checks.READY)
        tell(session, piece)
    with store.read() as session:
        assert known.work_out(session, piece).verdict == MET
        assert set(known.figures) >= {*before.inputs, *known.work_out(session, piece).outcome}
        assert session.query(LoadSheet).count() == 2


def test_taking_anything_away_never_moves_loads_towards_met(store: Store, piece: PieceNow) -> None:
    found = told(store, piece, anchors=[anchor(one, pull_n=700.0) for one in "ABCD"])
    known = found.known
    rank = {NOT_MET: 0, CANNOT_TELL: 1, MET: 2}
    whole = _verdict(known)
    for less in (
        known._replace(wall=None),
        known._replace(sheet=None),
        known._replace(pads=()),
        known._replace(resistances=()),
        *(known._replace(resistances=[one for one in known.resistances if one.label != gone]) for gone in "ABCD"),
    ):
        assert rank[_verdict(less)] < rank[MET], less
    assert whole in rank


def _verdict(known: judging.Known) -> str:
    inputs = judging.inputs_of(known)
    return judging.judge(known, working.work_out(inputs) if inputs else None, stale=False).verdict


def test_a_lean_that_is_nothing_needs_its_reason_too(store: Store, piece: PieceNow) -> None:
    with store.write() as session, pytest.raises(FieldProblem):
        tell(session, piece, **{**LEAN, "lean_n": 0.0, "lean_why": None})
    assert told(store, piece, lean_n=0.0, lean_why="behind glass (invented)").worked.verdict == MET


def test_a_new_look_at_the_wall_answers_the_check_of_the_loads_again(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        writer = factories.a_writer(session)
        checks.open_lists(session, writer, piece=piece, stage=checks.READY)
        tell(session, piece)
        sheet = services.loads_now(session, piece)
        assert sheet is not None
        before = _answers(session, piece)
        assert MET in before
        find_wall(session, piece, revises=sheet.version.said.wall_id, gap_mm=20.0)
        assert _answers(session, piece) == [CANNOT_TELL] * len(before)


def _answers(session: Session, piece: PieceNow) -> list[str | None]:
    return [line.verdict for line in lines_of(session, piece) if line.calculation == LOADS]
