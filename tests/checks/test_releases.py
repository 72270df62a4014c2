"""Hold points released, whole lists set aside, both taken back; and what brings a hold point back."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import event

from siteapp.checks import services
from siteapp.checks.models import CheckRelease
from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from tests import factories
from tests.checks.support import HOLD, PLAIN, a_piece_with_lists, answered, holds_of, line_of, open_stage, say, stage_of
from tests.checks.test_taking_back import taken_back

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

pytestmark = pytest.mark.usefixtures("by_hand")
WHY = "The engineer proved them; the paper is in the van (invented)."


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece whose list is open, beside another one whose list is open too."""
    with store.write() as session:
        open_stage(session, noise.piece)
    return a_piece_with_lists(store)


def released(session: Session, piece: PieceNow, line_key: str | None = HOLD, **facts: Any) -> str:
    list_id = facts.pop("list_id", None) or services.state(session, piece).lines[0].list_id
    writer = factories.a_writer(session, by_id=facts.pop("by_id", None))
    facts = {"reason": WHY} | facts
    return services.release(session, writer, piece=piece, list_id=list_id, line_key=line_key, **facts)


def release(store: Store, piece: PieceNow, line_key: str | None = HOLD, **facts: Any) -> str:
    with store.write() as session:
        return released(session, piece, line_key, **facts)


def test_a_released_hold_point_stops_nothing_and_stays_what_it_is(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        by_id = factories.a_person(session)
        open_stage(session, piece)
        answered(session, piece, HOLD, "not met")
        release_id = released(session, piece, by_id=by_id)
    line = line_of(database, piece, HOLD)
    assert (line.verdict, line.released, line.left) == ("not met", True, False)
    assert [(one.entry_id, one.reason, one.by_id, one.stands) for one in line.releases] == [
        (release_id, WHY, by_id, True)
    ]
    assert (holds_of(database, piece), stage_of(database, piece).left) == ([], 6)


@pytest.mark.parametrize("verdict", ["met", "not met", "cannot tell"])
def test_any_answer_after_it_counts_again(store: Store, piece: PieceNow, verdict: str) -> None:
    first = say(store, piece, HOLD, "not met")
    release(store, piece)
    say(store, piece, HOLD, verdict, reading=2.0, photo=True, corrects=[first])
    line = line_of(store, piece, HOLD)
    assert (line.released, len(line.releases)) == (False, 1)
    assert holds_of(store, piece) == ([] if verdict == "met" else [HOLD])


def test_released_before_it_was_answered_the_first_answer_brings_it_back(store: Store, piece: PieceNow) -> None:
    release(store, piece)
    assert holds_of(store, piece) == []
    say(store, piece, HOLD, "cannot tell")
    assert holds_of(store, piece) == [HOLD]


def test_an_answer_given_and_taken_back_leaves_the_release_as_it_was(store: Store, piece: PieceNow) -> None:
    release(store, piece)
    answer_id = say(store, piece, HOLD, "cannot tell")
    taken_back(store, piece, answer_id, HOLD)
    assert holds_of(store, piece) == []


def test_a_release_is_taken_back_with_a_reason_and_both_stay_to_be_seen(store: Store, piece: PieceNow) -> None:
    first = release(store, piece)
    second = release(store, piece, reason="The paper is of another house.", released=False, corrects=[first])
    assert holds_of(store, piece) == [HOLD]
    assert [(one.entry_id, one.released, one.stands) for one in line_of(store, piece, HOLD).releases] == [
        (first, True, False),
        (second, False, True),
    ]
    third = release(store, piece, corrects=[second])
    assert holds_of(store, piece) == []
    with store.read() as session:
        assert [one.entry_id for one in services.releases(session, piece.piece_id)] == [first, second, third]


def test_there_is_nothing_to_take_back_without_a_release(store: Store, piece: PieceNow) -> None:
    with pytest.raises(StoreError, match="no release to take back"):
        release(store, piece, released=False)


def test_a_whole_list_is_set_aside_and_a_later_answer_brings_its_own_hold_point_back(store: Store) -> None:
    piece = a_piece_with_lists(store, stands="suspended")
    before = holds_of(store, piece)
    assert len(before) == 4
    say(store, piece, "rigger", "not met")
    release_id = release(store, piece, None)
    assert (holds_of(store, piece), stage_of(store, piece).left) == ([], 0)
    assert [one.set_aside for one in stage_of(store, piece).lists] == [True]
    say(store, piece, "points-certified", "cannot tell")
    assert holds_of(store, piece) == ["points-certified"]
    release(store, piece, None, released=False, corrects=[release_id], reason="It hangs after all.")
    assert holds_of(store, piece) == before


def test_of_two_releases_from_two_machines_that_disagree_the_stricter_counts(store: Store, piece: PieceNow) -> None:
    first = release(store, piece)
    list_id = line_of(store, piece, HOLD).list_id
    with store.write() as session:  # as a job file from another laptop would bring it
        entries.append(
            session,
            factories.a_writer(session),
            kind="check_release",
            job_id=piece.job_id,
            piece_id=piece.piece_id,
            bodies=[CheckRelease(list_id=list_id, line_key=HOLD, released=False, reason="No.", seen="")],
        )
    assert holds_of(store, piece) == [HOLD]
    with pytest.raises(Superseded):
        release(store, piece, corrects=[first])


def test_whoever_has_not_seen_an_answer_does_not_release_it(store: Store, piece: PieceNow) -> None:
    first = say(store, piece, HOLD, "not met")
    second = say(store, piece, HOLD, "cannot tell", corrects=[first])
    with pytest.raises(Superseded) as overtaken:
        release(store, piece, seen=[first])
    assert overtaken.value.newer == (second,)
    assert line_of(store, piece, HOLD).releases == ()
    release(store, piece, seen=[second])


def test_of_many_releases_at_once_one_stands(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        open_stage(session, piece)

    def attempt(_turn: int) -> bool:
        try:
            return bool(database.transact(lambda session: released(session, piece)))
        except Superseded:
            return False

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(attempt, range(4))) == [False, False, False, True]


@pytest.mark.parametrize("line_key", [PLAIN, "no-such-line"])
def test_only_a_hold_point_is_released_by_itself(store: Store, piece: PieceNow, line_key: str) -> None:
    with pytest.raises(StoreError, match="no hold point of the piece"):
        release(store, piece, line_key)


def test_another_pieces_list_or_release_is_refused(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    foreign = line_of(store, noise.piece, HOLD).list_id
    with pytest.raises(StoreError, match="not one of the piece's"):
        release(store, piece, list_id=foreign)
    other = release(store, noise.piece)
    with pytest.raises(StoreError, match="not a release of this hold point"):
        release(store, piece, corrects=[other])


def test_standing_of_many_pieces_says_the_same_as_each_alone_in_as_many_queries(store: Store, piece, noise) -> None:
    release(store, piece)
    say(store, noise.piece, PLAIN, "not met")
    ids = [piece.piece_id, noise.piece.piece_id]
    counts: list[int] = []
    for asked in (ids[:1], ids, None):
        ran: list[str] = []
        with store.read() as session:
            connection = session.connection()
            event.listen(connection, "before_cursor_execute", lambda *told, ran=ran: ran.append(told[2]))
            standing = services.standing_of(session, asked)
        counts.append(len(ran))
        assert set(standing) == set(asked or ids)
    assert len(set(counts)) == 1
    assert dict(standing[piece.piece_id].left) == {"ready": None, "arrived": None, "fixed": 6}
    assert [hold.line_key for hold in standing[noise.piece.piece_id].holds] == [HOLD]
    with store.read() as session:
        assert services.standing_of(session, []) == {}
        assert tuple(standing[noise.piece.piece_id].holds) == services.open_holds(session, noise.piece)
