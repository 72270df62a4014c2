"""Lists opened, answered, read, on every kind of database."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from siteapp.checks import lists, services
from siteapp.checks.models import CheckAnswer, CheckList
from siteapp.store import entries
from siteapp.store.errors import BadValue, StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.checks.support import HOLD, LEVEL, PHOTO, PLAIN, answered, line_of, say, shipped

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


pytestmark = pytest.mark.usefixtures("by_hand")


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece whose list is open, beside another one whose list is open too."""
    with store.write() as session:
        made = factories.a_piece(session)
        services.open_lists(session, factories.a_writer(session), piece=noise.piece, stage="fixed")
        services.open_lists(session, factories.a_writer(session), piece=made, stage="fixed")
    return made


def test_the_list_is_recorded_as_its_file_has_it(database: Store) -> None:
    file = shipped("suspended")
    with database.write() as session:
        piece = factories.a_piece(session, stands="suspended")
        services.open_lists(session, factories.a_writer(session), piece=piece, stage="fixed")
    with database.read() as session:
        said = session.scalars(select(CheckList)).one()
        assert (said.stage, said.name, said.file_digest) == ("fixed", file.name, file.digest)
        state = services.state(session, piece)
    assert [(line.key, line.words, line.why, line.hold, line.photo) for line in state.lines] == [
        (line.key, line.words, line.why, line.hold, line.photo) for line in file.lines
    ]
    asked = [line.reading for line in file.lines if line.reading]
    assert [
        lists.Reading(line.quantity, line.unit, line.low, line.high) for line in state.lines if line.quantity
    ] == asked


def test_an_answer_is_shown_with_its_reading_its_photo_and_who_gave_it(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        services.open_lists(session, factories.a_writer(session), piece=piece, stage="fixed")
        by_id = factories.a_person(session)
        assert services.state(session, piece).left == 7
        answered(
            session, piece, HOLD, "met", reading=1.5, instrument="pull tester", note="all six", photo=True, by_id=by_id
        )
    with database.read() as session:
        state = services.state(session, piece)
        holds = services.open_holds(session, piece)
    line = next(line for line in state.lines if line.key == HOLD)
    assert line.answer is not None
    given = line.answer
    assert (line.verdict, given.reading, given.unit, given.instrument) == ("met", 1.5, "kN", "pull tester")
    assert (given.note, given.by_id, len(given.photos)) == ("all six", by_id, 1)
    assert (state.left, holds) == (6, ())


def test_a_hold_point_without_an_answer_is_open_and_names_itself(store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        holds = services.open_holds(session, piece)
    assert [(hold.line_key, hold.verdict) for hold in holds] == [(HOLD, "cannot tell")]
    assert holds[0].words == line_of(store, piece, HOLD).words


@pytest.mark.parametrize("verdict", ["not met", "cannot tell"])
def test_not_met_and_cannot_tell_need_nothing_and_leave_the_hold_point_open(
    store: Store, piece: PieceNow, verdict: str
) -> None:
    say(store, piece, HOLD, verdict)
    with store.read() as session:
        assert [hold.verdict for hold in services.open_holds(session, piece)] == [verdict]


@pytest.mark.parametrize(
    ("line_key", "facts", "field", "words"),
    [
        (HOLD, {"photo": True}, "reading", "met needs the reading (at least 1 kN). Without one, answer cannot tell."),
        (HOLD, {"reading": 0.9999999, "photo": True}, "reading", "0.9999999 kN is outside the limits (at least 1 kN)"),
        (HOLD, {"reading": 1.5}, "photos", "met needs one here"),
        (LEVEL, {"reading": 3.1}, "reading", "Out of level: 3.1 mm is outside the limits (0 to 3 mm)"),
        (PHOTO, {}, "photos", "met needs one here"),
        (PLAIN, {"reading": 1.0}, "reading", "none is asked for"),
    ],
)
def test_met_without_what_shows_it_is_refused_by_field(
    store: Store, piece: PieceNow, line_key: str, facts: dict[str, Any], field: str, words: str
) -> None:
    with pytest.raises(FieldProblem) as problem:
        say(store, piece, line_key, "met", **facts)
    assert problem.value.field == field
    assert words in problem.value.message
    assert line_of(store, piece, line_key).answers == ()


def test_a_reading_at_its_limit_is_met(store: Store, piece: PieceNow) -> None:
    say(store, piece, HOLD, "met", reading=1.0, photo=True)
    say(store, piece, LEVEL, "met", reading=3.0)
    assert {line_of(store, piece, key).verdict for key in (HOLD, LEVEL)} == {"met"}


@pytest.mark.parametrize("verdict", ["fine", "", "MET"])
def test_there_are_three_answers_and_no_fourth(store: Store, piece: PieceNow, verdict: str) -> None:
    with pytest.raises(FieldProblem) as problem:
        say(store, piece, PLAIN, verdict)
    assert problem.value.field == "verdict"


def test_a_reading_that_is_no_number_is_refused(store: Store, piece: PieceNow) -> None:
    with pytest.raises(BadValue):
        say(store, piece, HOLD, "cannot tell", reading=float("nan"))


def test_a_newer_answer_takes_the_place_of_the_one_before_which_stays_to_be_seen(store: Store, piece: PieceNow) -> None:
    first = say(store, piece, verdict="met")
    second = say(store, piece, verdict="not met", note="damp", corrects=[first])
    line = line_of(store, piece)
    assert (line.verdict, [one.entry_id for one in line.standing]) == ("not met", [second])
    assert [(one.entry_id, one.said) for one in line.earlier] == [(first, "met")]


def test_of_two_people_who_answer_at_once_the_second_is_told(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        services.open_lists(session, factories.a_writer(session), piece=piece, stage="fixed")
    first = say(database, piece)
    with pytest.raises(Superseded) as overtaken:
        say(database, piece, verdict="not met")
    assert overtaken.value.newer == (first,)
    second = say(database, piece, verdict="not met", corrects=[first])
    with pytest.raises(Superseded) as overtaken:
        say(database, piece, verdict="met", corrects=[first])
    assert overtaken.value.newer == (second,)
    assert [one.entry_id for one in line_of(database, piece).answers] == [first, second]


def test_of_many_first_answers_at_the_same_moment_one_stands(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        services.open_lists(session, factories.a_writer(session), piece=piece, stage="fixed")

    def attempt(_turn: int) -> str | None:
        try:
            return database.transact(lambda session: answered(session, piece, PLAIN, "met"))
        except Superseded:
            return None

    with ThreadPoolExecutor(4) as pool:
        kept = [one for one in pool.map(attempt, range(8)) if one]
    assert [one.entry_id for one in line_of(database, piece).answers] == kept
    assert len(kept) == 1


def test_answers_of_two_machines_both_stand_and_count_as_the_worse_until_somebody_chooses(
    store: Store, piece: PieceNow
) -> None:
    first = say(store, piece, verdict="met")
    with store.write() as session:  # as a job file from another laptop would bring it
        list_id = services.state(session, piece).lines[0].list_id
        other = entries.append(
            session,
            factories.a_writer(session),
            kind="check_answer",
            job_id=piece.job_id,
            piece_id=piece.piece_id,
            bodies=[CheckAnswer(list_id=list_id, line_key=PLAIN, verdict="cannot tell")],
        ).id
    line = line_of(store, piece)
    assert {one.entry_id for one in line.standing} == {first, other}
    assert line.verdict == "cannot tell"
    say(store, piece, verdict="met", corrects=[first, other])
    assert line_of(store, piece).verdict == "met"


def test_another_pieces_list_is_refused(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    with store.read() as session:
        foreign = services.state(session, noise.piece).lines[0].list_id
    with pytest.raises(StoreError, match="not on the piece's list"):
        say(store, piece, list_id=foreign)


def test_a_line_that_the_list_does_not_have_is_refused(store: Store, piece: PieceNow) -> None:
    with pytest.raises(StoreError, match="not on the piece's list"):
        say(store, piece, "no-such-line")


def test_only_an_answer_to_the_same_line_can_be_corrected(store: Store, piece: PieceNow) -> None:
    other = say(store, piece, "nothing-behind")
    for corrected in (other, piece.revision.id):
        with pytest.raises(StoreError, match="not an answer to this check"):
            say(store, piece, corrects=[corrected])


STEPS = st.lists(
    st.tuples(
        st.sampled_from(("met", "not met", "cannot tell")), st.sampled_from((None, 0.5, 1.0, 2.0)), st.booleans()
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS, gone=st.integers(0, 3))
def test_taking_an_answer_away_never_makes_met_what_was_not(store: Store, steps, gone: int) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        services.open_lists(session, factories.a_writer(session), piece=piece, stage="fixed")
    said: list[str] = []
    for verdict, reading, photo in steps:
        try:
            said.append(say(store, piece, HOLD, verdict, reading=reading, photo=photo, corrects=said[-1:]))
        except FieldProblem:
            assert verdict == "met"
    before = line_of(store, piece, HOLD).verdict
    if said:
        with store.write() as session:
            taken = said[gone % len(said)]
            entries.erase(session, factories.a_writer(session), taken, reason="asked for")
    after = line_of(store, piece, HOLD).verdict
    assert after != "met" or before == "met"
    with store.read() as session:
        assert bool(services.open_holds(session, piece)) == (after != "met")
