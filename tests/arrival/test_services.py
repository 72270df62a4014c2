"""Arrivals recorded, corrected, read."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from siteapp.arrival import services
from siteapp.arrival.models import Arrival
from siteapp.arrival.rules import indicators_in_words
from siteapp.checks import services as checks
from siteapp.checks.models import CheckList
from siteapp.store import entries
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.models import Entry
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.dispatch.support import describe

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece that has not arrived, beside one that has."""
    with store.write() as session:
        record(session, noise.piece)
        return factories.a_piece(session)


def record(session: Session, piece: PieceNow, slots: tuple[str, ...] = (), **facts: Any) -> str:
    """Record an arrival with a photo in each of `slots`."""
    photos = [PhotoUse(factories.a_photo_row(session), slot) for slot in slots]
    said = {"found": "something found", **facts}
    return services.record_arrival(session, factories.a_writer(session), piece=piece, photos=photos, **said)


def lists_of(session: Session, piece: PieceNow) -> list[tuple[str, str | None]]:
    """Stage and key of every check list that is on record for a piece."""
    query = select(CheckList.stage, CheckList.list_key).join(Entry, Entry.id == CheckList.entry_id)
    return [(stage, key) for stage, key in session.execute(query.where(Entry.piece_id == piece.piece_id))]


def old_arrival(session: Session, piece: PieceNow, indicators: str) -> str:
    """An arrival as it was recorded when both indicators were read together."""
    body = Arrival(found="something found", indicators=indicators)
    of = {"job_id": piece.job_id, "piece_id": piece.piece_id}
    return entries.append(session, factories.a_writer(session), kind="arrival", bodies=[body], **of).id


def test_an_arrival_is_kept_with_its_photos_in_their_slots_and_opens_the_checks(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        read = {"shock": "not tripped", "tilt": "tripped", "note": "wet crate"}
        record(
            session, piece, ("crate and indicators", "front", "back", "back", "edges"), found="nothing found", **read
        )
    with database.read() as session:
        (arrived,) = services.arrivals(session, piece.piece_id)
        assert checks.state(session, piece).opened
    said = arrived.said
    assert (said.found, said.shock, said.tilt, said.indicators) == ("nothing found", "not tripped", "tripped", None)
    assert (said.note, arrived.earlier) == ("wet crate", ())
    assert [len(arrived.slot(slot)) for slot in services.SLOTS] == [1, 1, 2, 1, 0, 0]


@pytest.mark.parametrize("read", [{}, {"shock": "not fitted", "tilt": "not fitted"}])
@pytest.mark.parametrize("missing", ["front", "back", "edges"])
def test_nothing_found_needs_photos_of_front_back_and_edges(
    store: Store, piece: PieceNow, missing: str, read: dict[str, str]
) -> None:
    slots = tuple(slot for slot in ("front", "back", "edges") if slot != missing)
    with pytest.raises(FieldProblem, match="needs a photo") as problem, store.write() as session:
        record(session, piece, slots, found="nothing found", **read)
    assert problem.value.field == missing
    with store.read() as session:
        assert services.arrivals(session, piece.piece_id) == []
        assert not checks.state(session, piece).opened
    with store.write() as session:
        record(session, piece, (*slots, missing), found="nothing found", **read)


@pytest.mark.parametrize("read", ["not tripped", "tripped", "cannot tell"])
@pytest.mark.parametrize("which", ["shock", "tilt"])
def test_where_an_indicator_is_read_nothing_found_needs_a_photo_of_it(
    store: Store, piece: PieceNow, which: str, read: str
) -> None:
    with pytest.raises(FieldProblem, match="where indicators are fitted") as problem, store.write() as session:
        record(session, piece, ("front", "back", "edges"), found="nothing found", **{which: read})
    assert problem.value.field == "crate"


def test_where_the_crates_record_names_an_indicator_nothing_found_needs_a_photo_of_it(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        describe(session, piece, tilt_indicator="red ball, 80 degrees")
    with pytest.raises(FieldProblem, match="where indicators are fitted") as problem, store.write() as session:
        record(session, piece, ("front", "back", "edges"), found="nothing found")
    assert problem.value.field == "crate"
    with store.write() as session:
        record(session, piece, ("front", "back", "edges", "crate and indicators"), found="nothing found")


@pytest.mark.parametrize("which", ["shock", "tilt"])
def test_an_indicator_on_the_crates_record_that_is_not_fitted_asks_for_a_note(
    store: Store, piece: PieceNow, which: str
) -> None:
    with store.write() as session:
        describe(session, piece, shock_indicator="spring, 25 g", tilt_indicator="red ball, 80 degrees")
    with pytest.raises(FieldProblem, match="the crate's record says") as problem, store.write() as session:
        record(session, piece, **{which: "not fitted"})
    assert problem.value.field == which
    with store.write() as session:
        record(session, piece, note="torn off in the lift", **{which: "not fitted"})


@pytest.mark.parametrize("found", ["something found", "not looked at yet"])
def test_anything_else_is_kept_without_photos(store: Store, piece: PieceNow, found: str) -> None:
    with store.write() as session:
        record(session, piece, found=found)
    with store.read() as session:
        assert [one.said.found for one in services.arrivals(session, piece.piece_id)] == [found]


@pytest.mark.parametrize(
    ("field", "facts"), [("found", {"found": "fine"}), ("shock", {"shock": "blue"}), ("tilt", {"tilt": ""})]
)
def test_an_answer_that_is_not_offered_is_refused(
    store: Store, piece: PieceNow, field: str, facts: dict[str, str]
) -> None:
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        record(session, piece, **facts)
    assert problem.value.field == field


def test_a_piece_may_arrive_twice_and_its_checks_open_once(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = record(session, piece)
    with store.write() as session:
        second = record(session, piece)
    with store.read() as session:
        assert [one.entry.id for one in services.arrivals(session, piece.piece_id)] == [second, first]
        opened = lists_of(session, piece)
    assert opened
    assert len(opened) == len(set(opened))


def test_two_arrivals_recorded_at_once_open_the_checks_once(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)

    def arrive(_turn: int) -> str:
        return database.transact(lambda session: record(session, piece))

    with ThreadPoolExecutor(4) as pool:
        ids = set(pool.map(arrive, range(8)))
    with database.read() as session:
        assert {one.entry.id for one in services.arrivals(session, piece.piece_id)} == ids
        opened = lists_of(session, piece)
    assert opened
    assert len(opened) == len(set(opened))


def test_a_corrected_arrival_shows_what_it_said_before(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = record(session, piece, note="one")
        second = record(session, piece, note="two", corrects=[first])
        third = record(session, piece, note="three", corrects=[second])
    with store.read() as session:
        (arrived,) = services.arrivals(session, piece.piece_id)
    assert arrived.entry.id == third
    assert [said.note for _entry, said in arrived.earlier] == ["two", "one"]


def test_an_old_arrival_with_both_indicators_read_together_stands_and_is_put_right_one_by_one(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = old_arrival(session, piece, "tripped")
    with store.read() as session:
        (arrived,) = services.arrivals(session, piece.piece_id)
    assert indicators_in_words(arrived.said) == "shock and tilt together: tripped"
    with pytest.raises(FieldProblem, match="of shock and tilt together") as problem, store.write() as session:
        record(session, piece, shock="tripped", corrects=[first])
    assert problem.value.field == "tilt"
    with store.write() as session:
        record(session, piece, shock="tripped", tilt="not fitted", corrects=[first])
    with store.read() as session:
        (arrived,) = services.arrivals(session, piece.piece_id)
    assert indicators_in_words(arrived.said) == "shock: tripped, tilt: not fitted"


def test_an_arrival_that_somebody_else_corrected_meanwhile_is_not_corrected_over_theirs(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = record(session, piece)
        theirs = record(session, piece, corrects=[first])
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        record(session, piece, corrects=[first])
    assert overtaken.value.newer == (theirs,)


def test_only_an_arrival_of_the_same_piece_can_be_corrected(
    store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    with store.read() as session:
        foreign = services.arrivals(session, noise.piece.piece_id)[0].entry.id
    for corrected in (foreign, piece.revision.id):
        with pytest.raises(StoreError, match="not an arrival of this piece"), store.write() as session:
            record(session, piece, corrects=[corrected])


def test_an_arrival_opens_the_checks_on_arrival_and_of_fixing(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        record(session, piece)
    with store.read() as session:
        assert {stage for stage, _key in lists_of(session, piece)} == {"arrived", "fixed"}


def test_a_broken_list_keeps_the_arrival_back_whole_and_is_named(store: Store, piece: PieceNow) -> None:
    own = store.settings.data / "lists"
    own.mkdir()
    (own / "points.toml").write_text('stage = "fixed"', encoding="utf-8")
    with pytest.raises(StoreError, match=r"points\.toml"), store.write() as session:
        record(session, piece)
    with store.read() as session:
        assert session.scalars(select(Arrival).join(Entry).where(Entry.piece_id == piece.piece_id)).all() == []
