"""Lists opened by what the particulars say, the workshop's own among them, and what a broken file stops."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from siteapp.checks import services, shelf
from siteapp.checks.lists import ListProblem
from siteapp.checks.models import CheckLine, CheckList
from siteapp.pieces.services import find, revise_particulars
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.models import Entry
from tests import factories
from tests.checks.support import (
    HOLD,
    OWN,
    PLAIN,
    a_piece_with_lists,
    holds_of,
    line_of,
    open_stage,
    own_list,
    say,
    shipped,
    stage_of,
)

if TYPE_CHECKING:
    from typing import Any

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

BROKEN = OWN.replace("hold = true", "hold = 1")


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece whose list for points is open, beside another one whose list is open too."""
    with store.write() as session:
        open_stage(session, noise.piece)
    return a_piece_with_lists(store)


def revised(store: Store, piece: PieceNow, **fields: Any) -> PieceNow:
    """The piece after a revision of its particulars."""
    before = {name: getattr(piece.particulars, name) for name in ("title", "object_type", "mass_kg", "mass_origin")}
    with store.write() as session:
        facts: Any = {"fields": before | fields, "build_up": [], "hanging_points": [], "photos": ()}
        revise_particulars(session, factories.a_writer(session), piece=piece, revises=piece.revision.id, facts=facts)
        found = find(session, piece.number)
    assert found is not None
    return found


def names(store: Store, piece: PieceNow, stage: str = "fixed") -> list[str]:
    return [one.key for one in stage_of(store, piece, stage).lists]


@pytest.mark.parametrize(
    ("particulars", "stage", "keys"),
    [
        ({}, "fixed", ["points"]),
        ({"stands": "on points"}, "fixed", ["points"]),
        ({"stands": "on rails", "near_heat": True}, "fixed", ["rails", "heat"]),
        ({"stands": "free-standing", "near_heat": False}, "fixed", ["free-standing"]),
        ({"stands": "suspended"}, "fixed", ["suspended"]),
        ({}, "ready", ["week-before", "contractor", "hangs", "before-the-van"]),
        ({"stands": "free-standing"}, "ready", ["week-before", "consent", "before-the-van"]),
        ({"stands": "suspended"}, "ready", ["week-before", "consent", "contractor-above", "before-the-van"]),
        ({}, "arrived", ["unwrapping"]),
    ],
)
def test_the_lists_that_the_particulars_ask_for_open_in_working_order(store, particulars, stage, keys) -> None:
    piece = a_piece_with_lists(store, stage, **particulars)
    assert names(store, piece, stage) == keys
    state = stage_of(store, piece, stage)
    assert [line.key for line in state.lines] == [line.key for key in keys for line in shipped(key).lines]
    assert state.waiting == ()


def test_a_list_that_is_open_is_not_opened_again(store: Store, piece: PieceNow) -> None:
    first = line_of(store, piece).list_id
    with store.write() as session:
        assert open_stage(session, piece) == ()
    with store.read() as session:
        opened = session.scalars(select(Entry).where(Entry.kind == "check_list", Entry.piece_id == piece.piece_id))
        assert [entry.id for entry in opened] == [first]


def test_opened_by_many_at_once_a_list_is_there_once(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
    with ThreadPoolExecutor(4) as pool:
        opened = list(
            pool.map(
                lambda _turn: database.transact(lambda session: open_stage(session, piece, "ready")),
                range(6),
            )
        )
    assert sorted(len(one) for one in opened) == [0, 0, 0, 0, 0, 4]
    assert names(database, piece, "ready") == ["week-before", "contractor", "hangs", "before-the-van"]


def test_before_its_list_opens_a_piece_has_a_hold_point_that_nobody_can_tell(store: Store, noise) -> None:
    state = stage_of(store, noise.piece)
    with store.read() as session:
        holds = services.open_holds(session, noise.piece)
    assert (state.opened, state.left, state.lines) == (False, None, ())
    assert [(hold.line_key, hold.verdict) for hold in holds] == [(None, "cannot tell")]
    assert holds[0].words == "The checks “Hanging on points” are not open yet."


def test_a_stage_that_has_no_checks_is_refused(store: Store, piece: PieceNow) -> None:
    with store.write() as session, pytest.raises(StoreError, match="“finished” has no checks"):
        open_stage(session, piece, "finished")


def test_what_the_particulars_say_later_brings_another_list_which_stops_the_work_until_it_is_open(
    store: Store, piece: PieceNow
) -> None:
    later = revised(store, piece, stands="on points", near_heat=True)
    assert [one.key for one in stage_of(store, later).waiting] == ["heat"]
    assert holds_of(store, later) == [HOLD, None]
    assert stage_of(store, later).left == len(shipped("points").lines) + len(shipped("heat").lines)
    with store.write() as session:
        assert len(open_stage(session, later)) == 1
    assert names(store, later) == ["points", "heat"]
    assert None not in holds_of(store, later)


def test_a_list_that_no_longer_applies_stays_open_until_a_maker_sets_it_aside(store: Store, piece: PieceNow) -> None:
    later = revised(store, piece, stands="free-standing")
    assert holds_of(store, later) == [HOLD, None]
    assert [one.key for one in stage_of(store, later).waiting] == ["free-standing"]


def test_what_was_recorded_before_there_were_several_lists_stands_for_the_points(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        entries.append(
            session,
            factories.a_writer(session),
            kind="check_list",
            job_id=piece.job_id,
            piece_id=piece.piece_id,
            bodies=[
                CheckList(stage="fixed", name="Hanging on points", file_digest="0" * 64),
                CheckLine(position=0, line_key=HOLD, words="Proved.", why="Why.", hold=True, photo=False),
            ],
        )
    state = stage_of(store, piece)
    assert ([one.key for one in state.lists], state.waiting, state.left) == (["points"], (), 1)
    with store.write() as session:
        assert open_stage(session, piece) == ()


def test_lists_before_the_site_that_were_never_opened_stop_nothing_and_open_ones_do(
    store: Store, piece: PieceNow
) -> None:
    assert holds_of(store, piece) == [HOLD]
    with store.write() as session:
        open_stage(session, piece, "ready")
    assert holds_of(store, piece) == ["form-back", "loads", "strength", HOLD]


def test_a_list_of_the_workshops_own_is_added_or_takes_the_place_of_the_programs(store: Store) -> None:
    own_list(store, "our-wall")
    added = a_piece_with_lists(store)
    assert names(store, added) == ["points", "our-wall"]
    own_list(store, "points", OWN)
    (store.settings.data / shelf.OWN / "our-wall.toml").unlink()
    replaced = a_piece_with_lists(store)
    assert [line.key for line in stage_of(store, replaced).lines] == ["dry", "level"]
    assert [line.second for line in stage_of(store, replaced).lines] == [True, False]


def test_a_file_that_changes_later_changes_no_open_list(store: Store, piece: PieceNow) -> None:
    before = line_of(store, piece)
    own_list(store, "points", OWN)
    with store.write() as session:
        open_stage(session, piece)
    assert line_of(store, piece) == before
    assert line_of(store, a_piece_with_lists(store), "dry").words == "The wall is dry."


def test_while_a_file_that_would_apply_is_broken_nothing_of_its_stage_is_opened(store: Store) -> None:
    own_list(store, "our-wall", BROKEN)
    with store.write() as session:
        piece = factories.a_piece(session)
        beside = factories.a_piece(session, stands="on rails")
    with (
        pytest.raises(ListProblem, match=r"our-wall\.toml, line 9: hold of check 1 is 1"),
        store.write() as session,
    ):
        open_stage(session, piece)
    assert names(store, piece) == []
    # It says for whom it is meant, so that others can go on; other stages too.
    with store.write() as session:
        assert len(open_stage(session, beside)) == 1
        assert len(open_stage(session, piece, "arrived")) == 1


def test_a_broken_file_is_an_open_hold_for_whom_it_may_be_meant(store: Store, piece: PieceNow) -> None:
    own_list(store, "our-wall", "stage = fixed")
    with store.read() as session:
        told = [hold.words for hold in services.open_holds(session, piece) if hold.line_key is None]
    assert told == ["The check list our-wall.toml cannot be used, so nobody can tell what it asks for."]


def test_a_broken_file_in_the_place_of_a_shipped_one_is_meant_for_the_same_pieces(store: Store) -> None:
    own_list(store, "rails", "stage = fixed")
    assert names(store, a_piece_with_lists(store)) == ["points"]
    with store.write() as session:
        piece = factories.a_piece(session, stands="on rails")
    with pytest.raises(ListProblem), store.write() as session:
        open_stage(session, piece)


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ('stage = "fixed"', 'stage = "arrived"', 1, "stage is “arrived”; the list whose place it takes is for “fixed”"),
        ('["on points"]', '["on rails"]', 3, "stands leaves out on points"),
        ("[[line]]", "heat = true\n\n[[line]]", 5, "heat is true"),
    ],
)
def test_a_list_of_ones_own_leaves_no_piece_without_the_checks_whose_place_it_takes(
    store: Store, old: str, new: str, line: int, words: str
) -> None:
    own_list(store, "points", OWN.replace(old, new, 1))
    with store.write() as session:
        piece = factories.a_piece(session)
    with pytest.raises(ListProblem) as problem, store.write() as session:
        open_stage(session, piece)
    assert [fault.line for fault in problem.value.faults] == [line]
    assert words in str(problem.value)
    assert holds_of(store, piece) == [None]


def test_a_piece_that_no_list_is_for_is_stopped(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    monkeypatch.setattr(shelf, "FOLDER", store.settings.data / "nothing")
    with store.read() as session:
        assert [hold.words for hold in services.open_holds(session, piece)] == [
            "No check list is for this piece, so nobody can tell what is to be checked."
        ]


def test_other_files_in_the_folder_are_left_alone(store: Store) -> None:
    folder = store.settings.data / shelf.OWN
    folder.mkdir()
    for name in ("notes.txt", ".hidden.toml", "points.toml~"):
        (folder / name).write_text("nothing", encoding="utf-8")
    with store.read() as session:
        assert [one.own for one in shelf.shelf(session)] == [False] * len(shelf.ORDER)


def test_a_folder_in_the_place_of_a_list_is_told_as_one_that_cannot_be_read(store: Store) -> None:
    (store.settings.data / shelf.OWN / "points.toml").mkdir(parents=True)
    with store.read() as session:
        found = next(one for one in shelf.shelf(session) if one.key == "points")
    assert found.found is None
    assert "cannot be read" in str(found.problem)


@pytest.mark.usefixtures("by_hand")
def test_a_list_whose_words_were_erased_counts_as_not_open(store: Store, piece: PieceNow) -> None:
    say(store, piece, HOLD, "met", reading=2.0, photo=True)
    with store.write() as session:
        list_id = services.state(session, piece).lines[0].list_id
        entries.erase(session, factories.a_writer(session), list_id, reason="asked for")
    assert holds_of(store, piece) == [None]


@pytest.mark.usefixtures("by_hand")
def test_two_lists_with_a_check_of_one_name_are_answered_apart(store: Store) -> None:
    own_list(store, "our-wall")
    piece = a_piece_with_lists(store)
    ours = next(
        line for line in stage_of(store, piece).lines if line.list_name == "Our own wall" and line.key == "level"
    )
    say(store, piece, "level", list_id=ours.list_id)
    assert [line.verdict for line in stage_of(store, piece).lines if line.key == "level"] == ["cannot tell", "met"]
    say(store, piece, PLAIN)
    assert stage_of(store, piece).left == 7
