"""Lines that are worked out: by what the particulars say, or by what another room pushes; and out of date."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from siteapp.checks import lists, services, wording
from siteapp.snags.services import open_snags
from siteapp.store.errors import StoreError
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.checks.support import a_piece_with_lists, holds_of, line_of, say, stage_of
from tests.checks.test_opening import revised

if TYPE_CHECKING:
    from siteapp.checks.state import LineState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

WEIGHED, UNWRAP = "weighed", "acclimatised"


def work_out(store: Store, piece: PieceNow, line_key: str = WEIGHED) -> LineState:
    with store.write() as session:
        list_id = line_of(store, piece, line_key).list_id
        writer = factories.a_writer(session)
        services.work_out(session, writer, piece=piece, list_id=list_id, line_key=line_key)
    return line_of(store, piece, line_key)


def push(store: Store, piece: PieceNow, verdict: str, **more: Any) -> tuple[str, ...]:
    told: dict[str, Any] = {"inputs": {"piece_c": 18.0}, "outcome": {"margin_c": 6.5}, "version": "1"}
    with store.write() as session:
        writer = factories.a_writer(session)
        return services.push(
            session, writer, piece=piece, calculation=lists.SAFE_TO_UNWRAP, verdict=verdict, **told, **more
        )


@pytest.mark.parametrize(
    ("mass_kg", "origin", "verdict"),
    [(31.4, "weighed", "met"), (31.4, "estimated", "not met"), (None, None, "cannot tell")],
)
def test_only_a_weight_from_scales_is_met(store: Store, mass_kg, origin, verdict) -> None:
    piece = a_piece_with_lists(store, "ready", mass_kg=mass_kg, mass_origin=origin)
    line = work_out(store, piece)
    assert (line.verdict, WEIGHED in holds_of(store, piece)) == (verdict, verdict != "met")
    assert line.answer
    assert line.answer.calculation == "weighed (1)"
    assert line.answer.inputs == {"mass_kg": mass_kg, "mass_origin": origin, "mass_note": "floor scales, ±0.1 kg"}
    assert line.answer.outcome == {"weighed": origin == "weighed"}
    with store.read() as session:
        assert [one.said.line_key for one in open_snags(session, piece.piece_id)] == [WEIGHED] * (verdict == "not met")


def test_a_revision_of_the_particulars_makes_it_cannot_tell_until_it_is_worked_out_again(store: Store) -> None:
    piece = a_piece_with_lists(store, "ready")
    assert work_out(store, piece).verdict == "met"
    later = revised(store, piece, care="Dust it.")
    line = line_of(store, later, WEIGHED)
    assert line.answer
    assert (line.verdict, line.answer.said, line.answer.stale) == ("cannot tell", "met", True)
    assert WEIGHED in holds_of(store, later)
    again = work_out(store, later)
    assert (again.verdict, len(again.standing), len(again.earlier)) == ("met", 1, 2)


def test_it_is_not_met_by_hand_and_may_be_answered_otherwise_by_hand(store: Store) -> None:
    piece = a_piece_with_lists(store, "ready")
    with pytest.raises(FieldProblem) as problem:
        say(store, piece, WEIGHED, "met")
    assert problem.value.field == "verdict"
    assert "cannot be met by hand" in problem.value.message
    for verdict in ("not met", "cannot tell"):
        stands = [one.entry_id for one in line_of(store, piece, WEIGHED).standing]
        say(store, piece, WEIGHED, verdict, corrects=stands)
        assert line_of(store, piece, WEIGHED).verdict == verdict
    # What was said by hand does not age with the particulars.
    assert line_of(store, revised(store, piece, care="Dust it."), WEIGHED).verdict == "cannot tell"


def test_what_another_room_worked_out_answers_each_open_line_that_asks_for_it(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        services.open_lists(session, factories.a_writer(session), piece=piece, stage="arrived")
    first = push(database, piece, "not met")
    second = push(database, piece, "met")
    line = line_of(database, piece, UNWRAP)
    assert [one.entry_id for one in line.standing] == list(second)
    assert [one.entry_id for one in line.earlier] == list(first)
    assert line.answer
    assert (line.verdict, line.answer.inputs, line.answer.outcome) == ("met", {"piece_c": 18.0}, {"margin_c": 6.5})
    with database.read() as session:
        assert open_snags(session, piece.piece_id) == []


def test_nothing_is_pushed_where_no_line_asks_for_it(store: Store, noise: factories.Noise) -> None:
    assert push(store, noise.piece, "met") == ()
    assert push(store, a_piece_with_lists(store, "fixed"), "met") == ()


def test_what_is_pushed_with_a_revision_ages_with_it(store: Store) -> None:
    piece = a_piece_with_lists(store, "arrived")
    push(store, piece, "met", particulars_id=piece.revision.id)
    assert line_of(store, piece, UNWRAP).verdict == "met"
    assert line_of(store, revised(store, piece, care="Dust it."), UNWRAP).verdict == "cannot tell"


@pytest.mark.parametrize("line_key", [UNWRAP, "offered-up"])
def test_only_what_the_particulars_tell_is_worked_out_from_them(store: Store, line_key: str) -> None:
    piece = a_piece_with_lists(store, "arrived", "fixed")
    with pytest.raises(StoreError, match="not worked out from what is recorded"):
        work_out(store, piece, line_key)


@pytest.mark.parametrize(("origin", "opened", "left"), [("weighed", "met", 0), ("estimated", "cannot tell", 1)])
def test_opening_a_list_answers_what_is_known_to_be_met_and_raises_no_snag(store: Store, origin, opened, left) -> None:
    piece = a_piece_with_lists(store, "ready", mass_kg=31.4, mass_origin=origin)
    line = line_of(store, piece, WEIGHED)
    assert (line.verdict, line.left, len(line.answers)) == (opened, bool(left), 1 - left)
    with store.read() as session:
        assert open_snags(session, piece.piece_id) == []


def test_the_figures_stand_beside_what_was_worked_out_and_beside_nothing_else(store: Store) -> None:
    piece = a_piece_with_lists(store, "ready", mass_kg=31.4, mass_origin="weighed", mass_note="floor scales")
    answer = line_of(store, piece, WEIGHED).answer
    assert answer
    assert wording.told(answer) == "Weight: 31.4 kg\nHow: floor scales"
    say(store, piece, "labels", "cannot tell")
    by_hand = line_of(store, piece, "labels").answer
    assert by_hand
    assert not wording.told(by_hand)


def test_what_already_says_so_is_not_answered_again(store: Store) -> None:
    piece = a_piece_with_lists(store, "ready", mass_kg=31.4, mass_origin="estimated")

    def refresh(at: PieceNow) -> int:
        with store.write() as session:
            writer = factories.a_writer(session)
            return len(services.refresh(session, writer, piece=at, calculation=WEIGHED))

    assert [refresh(piece), refresh(piece)] == [1, 0]
    later = revised(store, piece, mass_kg=32.0, mass_origin="weighed")
    assert [refresh(later), refresh(later)] == [1, 0]
    assert line_of(store, later, WEIGHED).verdict == "met"


def test_a_whole_stage_is_worked_out_at_once(store: Store) -> None:
    piece = a_piece_with_lists(store, "ready", mass_kg=31.4, mass_origin="estimated")
    with store.write() as session:
        writer = factories.a_writer(session)
        answered = services.work_out_stage(session, writer, piece=piece, stage="ready")
        other = services.work_out_stage(session, writer, piece=piece, stage="fixed")
    worked = [line for line in stage_of(store, piece, "ready").lines if line.calculation]
    assert len(worked) > 1
    assert {one.entry_id for line in worked for one in line.standing} == set(answered)
    # What is not recorded cannot be told; that the piece was not weighed is known.
    assert {line.verdict for line in worked if line.key != WEIGHED} == {"cannot tell"}
    assert (line_of(store, piece, WEIGHED).verdict, {line.stage for line in worked}) == ("not met", {"ready"})
    assert not set(other) & set(answered)


def test_a_line_of_another_piece_is_not_worked_out(store: Store) -> None:
    piece, other = a_piece_with_lists(store, "ready"), a_piece_with_lists(store, "ready")
    list_id = line_of(store, other, WEIGHED).list_id
    with pytest.raises(StoreError), store.write() as session:
        services.work_out(session, factories.a_writer(session), piece=piece, list_id=list_id, line_key=WEIGHED)
