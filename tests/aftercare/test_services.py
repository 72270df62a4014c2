"""Aftercare recorded and read: dates that come round, visits, moves, keepers."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import event

from siteapp.aftercare import services
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.aftercare import support

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

TODAY = date(2026, 2, 10)


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece handed over, beside another with aftercare of its own."""
    with store.write() as session:
        support.hand_over(session, noise.piece)
        support.care(session, noise.piece, what="of the other piece", due_on="2020-01-01")
        support.move(session, noise.piece, place="elsewhere altogether")
        support.keeper(session, noise.piece, name="N. Noise (invented)")
        return support.handed_over(session)


def test_aftercare_is_kept_and_read_back_whole(database: Store) -> None:
    with database.write() as session:
        piece = support.handed_over(session, title="Shoal")
        care_id = support.care(session, piece)
        photos = [PhotoUse(factories.a_photo_row(session), "details")]
        support.visit(session, piece, care_date_id=care_id, found="a nut a quarter turn loose", photos=photos)
        support.move(session, piece)
        support.keeper(session, piece)
    with database.read() as session:
        (care,) = services.care_dates(session, piece.piece_id)
        (visit,) = services.later_visits(session, piece.piece_id)
        keeper = services.keeper_now(session, piece.piece_id)
        place = services.place_now(session, piece.piece_id)
        (due,) = services.due(session, date(2026, 3, 1))
    # A month after 31 January: the last day of February.
    assert (care.due_on, care.done_on) == (date(2026, 2, 28), date(2026, 1, 31))
    assert (visit.said.found, [photo.slot for photo in visit.photos]) == ("a nut a quarter turn loose", ["details"])
    assert keeper is not None
    assert (keeper.name, keeper.contact, keeper.since) == ("B. Buyer (invented)", "buyer@nowhere.example", "2026-04-02")
    assert place is not None
    assert (place.place, place.address) == ("a school hall", "7 Elsewhere Lane (invented)")
    assert (due.number, due.title, due.place, due.days) == (piece.number, "Shoal", "a school hall", -1)
    assert (due.care_id, due.due_on) == (care_id, date(2026, 2, 28))


def test_before_anybody_else_has_it_the_client_keeps_it_where_it_was_hung(store: Store) -> None:
    with store.write() as session:
        job_id = factories.a_job(session, client="A. First (invented)", place="a library", address="1 Row (invented)")
        piece = factories.a_piece(session, job_id=job_id)
        assert services.keeper_now(session, piece.piece_id) == services.KeeperNow(
            "A. First (invented)", None, None, None
        )
        assert services.place_now(session, piece.piece_id) == services.PlaceNow(
            "a library", "1 Row (invented)", None, None
        )
        assert services.keeper_now(session, "00000000-0000-4000-8000-000000000000") is None
        assert services.place_now(session, "00000000-0000-4000-8000-000000000000") is None


def test_the_latest_day_counts_whatever_was_recorded_or_corrected_last(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        support.keeper(session, piece, name="Second (invented)", since="2026-06-01")
        first = support.keeper(session, piece, name="First (invented)", since="2026-04-01")
        support.move(session, piece, place="second place", moved_on="2026-06-01")
        moved = support.move(session, piece, place="first place", moved_on="2026-04-01")
    with store.write() as session:
        support.keeper(session, piece, name="First, spelt right (invented)", since="2026-04-01", corrects=[first])
        support.move(session, piece, place="first place, spelt right", moved_on="2026-04-01", corrects=[moved])
    with store.read() as session:
        keeper, place = (ask(session, piece.piece_id) for ask in (services.keeper_now, services.place_now))
        assert keeper is not None
        assert place is not None
        assert (keeper.name, place.place) == ("Second (invented)", "second place")
        assert [one.said.name for one in services.keepers(session, piece.piece_id)] == [
            "Second (invented)",
            "First, spelt right (invented)",
        ]


def test_a_date_comes_round_from_the_day_it_was_done_and_a_single_one_does_not(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        yearly = support.care(session, piece, what="yearly", due_on="2026-05-01", every_months=12)
        once = support.care(session, piece, what="once", due_on="2026-05-01", every_months=None)
        support.care(session, piece, what="untouched", due_on="2026-05-02", every_months=12)
        # Done late, then looked at once more; the later day counts, in whatever order they were written down.
        support.visit(session, piece, care_date_id=yearly, done_on="2026-07-20")
        support.visit(session, piece, care_date_id=yearly, done_on="2026-06-30")
        support.visit(session, piece, care_date_id=once, done_on="2026-04-30")
        support.visit(session, piece, done_on="2026-08-01")
    with store.read() as session:
        told = {one.said.what: one.due_on for one in services.care_dates(session, piece.piece_id)}
    assert told == {"untouched": date(2026, 5, 2), "yearly": date(2027, 7, 20), "once": None}
    assert list(told) == ["untouched", "yearly", "once"]


def test_a_visit_corrected_away_from_a_date_answers_it_no_more(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        care_id = support.care(session, piece, due_on="2026-05-01", every_months=12)
        first = support.visit(session, piece, care_date_id=care_id, done_on="2026-05-03")
        support.visit(session, piece, done_on="2026-05-03", corrects=[first])
        (care,) = services.care_dates(session, piece.piece_id)
    assert (care.due_on, care.done_on) == (date(2026, 5, 1), None)


def test_a_revised_date_begins_anew_and_a_visit_that_named_the_old_one_answers_the_new(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = support.care(session, piece, due_on="2026-05-01", every_months=12)
        support.visit(session, piece, care_date_id=first, done_on="2026-05-03")
        second = support.care(session, piece, due_on="2026-09-01", every_months=6, corrects=[first])
        (care,) = services.care_dates(session, piece.piece_id)
        assert (care.entry.id, care.due_on) == (second, date(2026, 9, 1))
        # A phone that was away still names the first.
        support.visit(session, piece, care_date_id=first, done_on="2026-08-31")
        (care,) = services.care_dates(session, piece.piece_id)
    assert care.due_on == date(2027, 2, 28)
    assert [said.due_on for _entry, said in care.version.earlier] == ["2026-05-01"]


def test_a_dropped_date_is_asked_for_no_more_and_stays_in_the_record(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = support.care(session, piece)
        support.care(session, piece, dropped=True, corrects=[first])
    with store.read() as session:
        assert services.care_dates(session, piece.piece_id) == []
        assert [one.said.what for one in services.dropped_dates(session, piece.piece_id)] == ["Nut marks and joint"]
        assert {one.what for one in services.due(session, TODAY, 3650)} == {"of the other piece"}


@pytest.mark.parametrize(
    ("record", "facts", "field", "told"),
    [
        (support.care, {"due_on": "soon"}, "due_on", "“soon” is no day"),
        (support.care, {"every_months": 0}, "every_months", "Give 1 to 600."),
        (support.care, {"every_months": 601}, "every_months", "601 months is not taken"),
        (support.visit, {"what": "admired"}, "what", "“admired” is not an answer here"),
        (support.visit, {"done_on": "2026-02-30"}, "done_on", "“2026-02-30” is no day"),
        (support.move, {"moved_on": ""}, "moved_on", "is no day"),
        (support.keeper, {"since": "1 May"}, "since", "“1 May” is no day"),
    ],
)
def test_what_cannot_be_is_refused_by_field(
    store: Store, piece: PieceNow, record: Callable[..., str], facts: dict[str, Any], field: str, told: str
) -> None:
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        record(session, piece, **facts)
    assert problem.value.field == field
    assert told in problem.value.message


@pytest.mark.parametrize("record", [support.visit, support.move, support.keeper])
def test_nothing_but_care_dates_is_kept_before_the_handover(store: Store, record: Callable[..., str]) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        support.care(session, piece)
    with pytest.raises(StoreError, match="has not been handed over yet"), store.write() as session:
        record(session, piece)


@pytest.mark.parametrize(
    ("record", "of"),
    [
        (support.care, services.care_dates),
        (support.visit, services.later_visits),
        (support.move, services.moves),
        (support.keeper, services.keepers),
    ],
)
def test_only_entries_of_the_same_piece_and_kind_are_corrected_and_nobody_is_overwritten(
    store: Store, piece: PieceNow, noise: factories.Noise, record: Callable[..., str], of: Callable[..., list[Any]]
) -> None:
    with store.write() as session:
        foreign = record(session, noise.piece)
    for corrected in (foreign, piece.revision.id):
        with pytest.raises(StoreError, match=r"(of|to) this piece"), store.write() as session:
            record(session, piece, corrects=[corrected])
    with store.write() as session:
        first = record(session, piece)
        theirs = record(session, piece, corrects=[first])
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        record(session, piece, corrects=[first])
    assert overtaken.value.newer == (theirs,)
    with store.read() as session:
        assert [one.entry.id for one in of(session, piece.piece_id)] == [theirs]


def test_a_visit_answers_no_care_date_of_another_piece(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    with store.write() as session:
        foreign = support.care(session, noise.piece)
    for named in (foreign, piece.revision.id):
        with pytest.raises(FieldProblem) as problem, store.write() as session:
            support.visit(session, piece, care_date_id=named)
        assert problem.value.field == "care_date_id"


def test_what_is_due_comes_longest_overdue_first_within_the_days_asked_for(store: Store) -> None:
    with store.write() as session:
        one, other = support.handed_over(session, title="One"), support.handed_over(session, title="Other")
        for piece, day in ((one, "2026-02-09"), (other, "2025-12-01"), (one, "2026-02-10"), (other, "2026-03-12")):
            support.care(session, piece, due_on=day)
        support.care(session, one, due_on="2026-03-13")
    with store.read() as session:
        told = [(due.title, due.days) for due in services.due(session, TODAY, 30)]
        assert told == [("Other", -71), ("One", -1), ("One", 0), ("Other", 30)]
        assert [due.days for due in services.due(session, TODAY, 0)] == [-71, -1, 0]
        assert services.due(session, date(2025, 1, 1)) == []


def test_the_queries_for_what_is_due_do_not_grow_with_the_pieces(store: Store) -> None:
    def asked() -> int:
        seen: list[int] = []
        with store.read() as session:
            event.listen(session.connection(), "before_cursor_execute", lambda *_args: seen.append(1))
            assert services.due(session, TODAY)
        return len(seen)

    with store.write() as session:
        support.care(session, support.handed_over(session))
    few = asked()
    with store.write() as session:
        for _number in range(8):
            piece = support.handed_over(session)
            support.visit(session, piece, care_date_id=support.care(session, piece))
            support.move(session, piece)
            support.care(session, piece)
    assert asked() == few > 0
