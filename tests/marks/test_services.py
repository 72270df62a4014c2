"""Marks set on photos, taken along by corrections, read."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from siteapp.marks import services
from siteapp.marks.models import MarkSet, PhotoMark
from siteapp.marks.services import Mark
from siteapp.store import entries
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


class Look:
    """Something recorded of a piece with two photos."""

    def __init__(self, session: Session, piece: PieceNow, **more: Any) -> None:
        self.piece = piece
        self.front, self.back = (factories.a_photo_row(session) for _ in range(2))
        self.entry_id = entry(session, piece, [self.front, self.back], **more)


def entry(session: Session, piece: PieceNow, photos: Sequence[str], **more: Any) -> str:
    """Any entry of a piece with photos; returns its id."""
    used = [PhotoUse(sha, slot="front") for sha in photos]
    about = {"job_id": piece.job_id, "piece_id": piece.piece_id, "kind": "look", "photos": used} | more
    return entries.append(session, factories.a_writer(session), **about).id


def put(session: Session, look: Look, *marks: Mark, corrects: Sequence[str] = ()) -> str:
    writer = factories.a_writer(session)
    return services.set_marks(session, writer, piece=look.piece, of_id=look.entry_id, marks=marks, corrects=corrects)


def of(session: Session, entry_id: str) -> list[tuple[Any, ...]]:
    marks = services.marks_of(session, [entry_id])[entry_id]
    return [(one.sha256, one.number, one.x, one.y, one.kind, one.note) for one in marks]


@pytest.fixture
def look(store: Store, noise: factories.Noise) -> Look:
    """A look at a piece, beside a marked one at another piece."""
    with store.write() as session:
        other = Look(session, noise.piece)
        put(session, other, Mark(other.front, 0.9, 0.9, "dent", "of the other piece"))
        return Look(session, factories.a_piece(session))


def test_marks_are_kept_with_their_places_and_numbered_in_their_order(database: Store) -> None:
    with database.write() as session:
        look = Look(session, factories.a_piece(session))
        put(session, look, Mark(look.back, 0.25, 0.5, "chip", "4 mm"), Mark(look.front, 0, 1), Mark(look.front, 1, 0))
    with database.read() as session:
        assert of(session, look.entry_id) == [
            (look.back, 1, 0.25, 0.5, "chip", "4 mm"),
            (look.front, 2, 0.0, 1.0, None, None),
            (look.front, 3, 1.0, 0.0, None, None),
        ]


def test_two_who_mark_the_same_photos_at_once_are_told_apart(database: Store) -> None:
    """Of several first sets one is kept; whoever was slower hears of it."""
    with database.write() as session:
        look = Look(session, factories.a_piece(session))

    def mark(turn: int) -> str:
        try:
            return database.transact(lambda session: put(session, look, Mark(look.front, turn / 10, 0.5)))
        except Superseded:
            return ""

    with ThreadPoolExecutor(4) as pool:
        kept = [one for one in pool.map(mark, range(6)) if one]
    assert len(kept) == 1
    with database.read() as session:
        assert session.scalars(select(MarkSet.entry_id)).all() == kept
        assert len(of(session, look.entry_id)) == 1


def test_a_later_set_takes_the_place_of_the_one_before_whole(store: Store, look: Look) -> None:
    with store.write() as session:
        first = put(session, look, Mark(look.front, 0.1, 0.1), Mark(look.back, 0.2, 0.2))
        second = put(session, look, Mark(look.back, 0.3, 0.3, "loss"), corrects=[first])
    with store.read() as session:
        assert of(session, look.entry_id) == [(look.back, 1, 0.3, 0.3, "loss", None)]
        assert services.standing_sets(session, [look.entry_id]) == {look.entry_id: (second,)}


def test_a_set_may_take_all_marks_out(store: Store, look: Look) -> None:
    with store.write() as session:
        first = put(session, look, Mark(look.front, 0.1, 0.1))
        put(session, look, corrects=[first])
    with store.read() as session:
        assert of(session, look.entry_id) == []


def test_marks_recorded_together_with_photos_stand_until_a_set_is_made(store: Store, look: Look) -> None:
    with store.write() as session:
        sha = factories.a_photo_row(session)
        own = services.rows([Mark(sha, 0.4, 0.6, "crack")], among=[sha])
        entry_id = entry(session, look.piece, [sha], bodies=own)
        assert of(session, entry_id) == [(sha, 1, 0.4, 0.6, "crack", None)]
        about = {"piece": look.piece, "of_id": entry_id}
        services.set_marks(session, factories.a_writer(session), marks=[], **about)
        assert of(session, entry_id) == []


def test_who_was_slower_does_not_write_over_the_marks_of_the_faster(store: Store, look: Look) -> None:
    with store.write() as session:
        first = put(session, look, Mark(look.front, 0.1, 0.1))
        theirs = put(session, look, Mark(look.front, 0.2, 0.2), corrects=[first])
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        put(session, look, Mark(look.front, 0.3, 0.3), corrects=[first])
    assert overtaken.value.newer == (theirs,)
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        put(session, look, Mark(look.front, 0.3, 0.3))
    assert overtaken.value.newer == (theirs,)


def test_a_correction_keeps_the_marks_on_the_photos_that_it_keeps(store: Store, look: Look) -> None:
    with store.write() as session:
        put(session, look, Mark(look.front, 0.1, 0.1, "stain"), Mark(look.back, 0.2, 0.2))
        again = entry(session, look.piece, [look.front], corrects=[look.entry_id])
        once_more = entry(session, look.piece, [look.front], corrects=[again])
        assert of(session, once_more) == [(look.front, 1, 0.1, 0.1, "stain", None)]
        about = {"piece": look.piece, "of_id": once_more}
        services.set_marks(session, factories.a_writer(session), marks=[Mark(look.front, 0.5, 0.5)], **about)
        assert of(session, once_more) == [(look.front, 1, 0.5, 0.5, None, None)]
        assert len(of(session, look.entry_id)) == 2


def test_sets_made_apart_on_two_machines_are_both_shown_until_one_names_both(store: Store, look: Look) -> None:
    with store.write() as session:
        first = put(session, look, Mark(look.front, 0.1, 0.1))
        # As another machine would have written it, before the two met.
        body = [MarkSet(of_id=look.entry_id), *services.rows([Mark(look.front, 0.2, 0.2)])]
        second = entry(session, look.piece, [], kind="marks", bodies=body)
        assert [one[2] for one in of(session, look.entry_id)] == [0.1, 0.2]
        put(session, look, Mark(look.front, 0.3, 0.3), corrects=[first, second])
        assert [one[2] for one in of(session, look.entry_id)] == [0.3]


@pytest.mark.parametrize(
    ("x", "y"), [(-0.001, 0.5), (1.001, 0.5), (0.5, -1), (0.5, 2), (math.nan, 0.5), (0.5, math.inf)]
)
def test_a_mark_outside_its_photo_is_refused(store: Store, look: Look, x: float, y: float) -> None:
    refused(store, look, "mark 2 lies outside its photo", Mark(look.front, 0.5, 0.5), Mark(look.front, x, y))


def test_a_mark_of_no_known_kind_is_refused(store: Store, look: Look) -> None:
    refused(store, look, "“scorch” is not a kind. Choose one of: scratch, abrasion", Mark(look.front, 0, 0, "scorch"))


def test_a_mark_on_a_photo_of_something_else_is_refused(store: Store, look: Look) -> None:
    with store.write() as session:
        other = factories.a_photo_row(session)
    refused(store, look, "the photo of mark 1 is not among these photos", Mark(other, 0.5, 0.5))


def test_sixty_marks_are_kept_and_one_more_is_refused(store: Store, look: Look) -> None:
    many = [Mark(look.front, 0.5, number / 100) for number in range(61)]
    refused(store, look, "61 are too many. Give at most 60", *many)
    with store.write() as session:
        put(session, look, *many[:60])
        assert len(of(session, look.entry_id)) == 60


def refused(store: Store, look: Look, words: str, *marks: Mark) -> None:
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        put(session, look, *marks)
    assert problem.value.field == "marks"
    assert words in problem.value.message
    with store.read() as session:
        assert of(session, look.entry_id) == []


def test_only_photos_of_the_same_piece_can_be_marked(store: Store, look: Look, noise: factories.Noise) -> None:
    with store.write() as session:
        bare = entry(session, look.piece, [])
        foreign = Look(session, noise.piece)
    for of_id in (foreign.entry_id, bare, look.piece.revision.id, "00000000-0000-4000-8000-000000000000"):
        with pytest.raises(StoreError, match="no such photos to mark"), store.write() as session:
            services.set_marks(
                session, factories.a_writer(session), piece=look.piece, of_id=of_id, marks=[Mark(foreign.front, 0, 0)]
            )


def test_only_a_set_about_the_same_photos_can_be_corrected(store: Store, look: Look) -> None:
    with store.write() as session:
        other = Look(session, look.piece)
        foreign = put(session, other, Mark(other.front, 0.1, 0.1))
    for corrected in (foreign, look.entry_id):
        with pytest.raises(StoreError, match="not a set of marks on these photos"), store.write() as session:
            put(session, look, Mark(look.front, 0.3, 0.3), corrects=[corrected])
    with store.read() as session:
        assert len(of(session, other.entry_id)) == 1


def test_an_erased_set_leaves_no_marks_behind(store: Store, look: Look) -> None:
    with store.write() as session:
        set_id = put(session, look, Mark(look.front, 0.1, 0.1, None, "a name"))
        entries.erase(session, factories.a_writer(session), set_id, reason="asked for")
        assert of(session, look.entry_id) == []
        assert session.scalars(select(PhotoMark).where(PhotoMark.entry_id == set_id)).all() == []
