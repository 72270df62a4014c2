"""Answers taken back: the line is open again, and the snags are as they were."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING
from uuid import uuid4

import pytest

from siteapp.checks import services
from siteapp.store.errors import StoreError, Superseded
from tests import factories
from tests.checks.support import HOLD, PLAIN, a_piece_with_lists, answered, holds_of, line_of, open_stage, say
from tests.checks.test_second_and_snags import raised

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


pytestmark = pytest.mark.usefixtures("by_hand")


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece whose list is open, beside another one whose list is open too."""
    with store.write() as session:
        open_stage(session, noise.piece)
    return a_piece_with_lists(store)


def take_back(
    session: Session, piece: PieceNow, answer_id: str, line_key: str = PLAIN, by_id: str | None = None
) -> str | None:
    list_id = services.state(session, piece).lines[0].list_id
    writer = factories.a_writer(session, by_id=by_id)
    return services.take_back(session, writer, piece=piece, list_id=list_id, line_key=line_key, answer_id=answer_id)


def taken_back(store: Store, piece: PieceNow, answer_id: str, line_key: str = PLAIN, by_id: str | None = None):
    with store.write() as session:
        return take_back(session, piece, answer_id, line_key, by_id)


def test_an_answer_that_is_taken_back_leaves_its_line_open_and_stays_to_be_seen(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        open_stage(session, piece)
        answer_id = answered(session, piece, HOLD, "met", reading=2.0, photo=True)
    assert holds_of(database, piece) == []
    assert taken_back(database, piece, answer_id, HOLD)
    line = line_of(database, piece, HOLD)
    assert (line.verdict, line.standing, line.answer) == ("cannot tell", (), None)
    assert [(one.entry_id, one.said, one.taken_back) for one in line.earlier] == [(answer_id, "met", True)]
    assert holds_of(database, piece) == [HOLD]
    # It is answered anew without naming what was taken back.
    say(database, piece, HOLD, "met", reading=2.0, photo=True)
    assert line_of(database, piece, HOLD).verdict == "met"


def test_the_answer_before_does_not_stand_again(store: Store, piece: PieceNow) -> None:
    first = say(store, piece, PLAIN, "not met")
    second = say(store, piece, PLAIN, "met", corrects=[first])
    taken_back(store, piece, second)
    assert line_of(store, piece).standing == ()


def test_the_snag_that_it_raised_ends(store: Store, piece: PieceNow) -> None:
    answer_id = say(store, piece, PLAIN, "not met")
    taken_back(store, piece, answer_id)
    assert raised(store, piece) == [(PLAIN, "taken back")]


def test_the_snag_that_it_ended_is_open_again(store: Store, piece: PieceNow) -> None:
    first = say(store, piece, PLAIN, "not met")
    second = say(store, piece, PLAIN, "met", corrects=[first])
    assert raised(store, piece) == [(PLAIN, "check met")]
    taken_back(store, piece, second)
    assert raised(store, piece) == [(PLAIN, None)]


def test_a_snag_that_an_earlier_answer_raised_stays_open(store: Store, piece: PieceNow) -> None:
    first = say(store, piece, PLAIN, "not met")
    second = say(store, piece, PLAIN, "not met", corrects=[first], note="still damp")
    taken_back(store, piece, second)
    assert raised(store, piece) == [(PLAIN, None)]


def test_only_whoever_gave_it_takes_it_back(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        ada, bo = factories.a_person(session), factories.a_person(session)
    answer_id = say(store, piece, PLAIN, by_id=ada)
    for other in (bo, None):
        with pytest.raises(StoreError, match="Only whoever gave an answer"):
            taken_back(store, piece, answer_id, by_id=other)
    assert taken_back(store, piece, answer_id, by_id=ada)


def test_what_was_answered_again_meanwhile_is_not_taken_back(store: Store, piece: PieceNow) -> None:
    first = say(store, piece, PLAIN, "met")
    second = say(store, piece, PLAIN, "not met", corrects=[first])
    with pytest.raises(Superseded) as overtaken:
        taken_back(store, piece, first)
    assert overtaken.value.newer == (second,)
    assert [one.entry_id for one in line_of(store, piece).standing] == [second]


def test_taken_back_twice_at_once_it_is_taken_back_once(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        open_stage(session, piece)
        answer_id = answered(session, piece, PLAIN, "not met")

    def attempt(_turn: int) -> bool:
        try:
            return bool(database.transact(lambda session: take_back(session, piece, answer_id)))
        except Superseded:
            return False

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(attempt, range(4))) == [False, False, False, True]
    assert raised(database, piece) == [(PLAIN, "taken back")]


def test_what_never_came_here_needs_no_taking_back(store: Store, piece: PieceNow) -> None:
    form_id = str(uuid4())
    assert taken_back(store, piece, services.answer_of_form(form_id)) is None
    with store.write() as session:
        writer = factories.a_writer(session, form_id=form_id)
        line = line_of(store, piece)
        services.answer(session, writer, piece=piece, list_id=line.list_id, line_key=PLAIN, verdict="met")
    assert taken_back(store, piece, services.answer_of_form(form_id))


def test_an_answer_to_another_check_or_piece_is_refused(store: Store, piece: PieceNow, noise) -> None:
    other_line = say(store, piece, "nothing-behind")
    other_piece = say(store, noise.piece, PLAIN)
    for answer_id in (other_line, other_piece, piece.revision.id):
        with pytest.raises(StoreError, match="not an answer to this check"):
            taken_back(store, piece, answer_id)
    with pytest.raises(StoreError, match="not on the piece's list"):
        taken_back(store, piece, other_line, "no-such-line")
