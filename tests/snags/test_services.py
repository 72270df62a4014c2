"""Snags raised, ended once, read."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from siteapp.marks.services import Mark
from siteapp.snags import services
from siteapp.snags.models import Snag, SnagClose
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError
from siteapp.web.saving import FieldProblem
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.snags.services import SnagNow
    from siteapp.store.db import Store

LIST = "00000000-0000-4000-8000-00000000000a"
OTHER_LIST = "00000000-0000-4000-8000-00000000000b"


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece without snags, beside one with an open one that a check raised."""
    with store.write() as session:
        raise_one(session, noise.piece, list_id=LIST, line_key="level", words="of the other piece")
        return factories.a_piece(session)


def raise_one(session: Session, piece: PieceNow, **facts: Any) -> str:
    said = {"words": f"Chip at the corner {factories.MARK}", **facts}
    return services.raise_snag(session, factories.a_writer(session), piece=piece, **said)


def clear(session: Session, piece: PieceNow, snag_id: str, *shas: str, said: str = "filled") -> str:
    photos = [PhotoUse(sha, "cleared") for sha in shas]
    writer = factories.a_writer(session)
    return services.clear_snag(session, writer, piece=piece, snag_id=snag_id, said=said, photos=photos)


def accept(session: Session, piece: PieceNow, snag_id: str) -> str:
    told = {"accepted_by": f"A. Client {factories.MARK}", "said": "It may stay."}
    return services.accept_snag(session, factories.a_writer(session), piece=piece, snag_id=snag_id, **told)


def with_check(session: Session, piece: PieceNow, line_key: str = "level", **more: Any) -> None:
    told = {"list_id": LIST, "line_key": line_key, "how": "check met"} | more
    services.end_with_check(session, factories.a_writer(session), piece=piece, **told)


def of(store: Store, piece: PieceNow) -> list[SnagNow]:
    with store.read() as session:
        return services.snags(session, piece.piece_id)


def test_a_snag_is_raised_with_marks_on_its_photos_and_cleared_with_one_of_how_it_is_now(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        one, two, after = (factories.a_photo_row(session) for _ in range(3))
        photos = [PhotoUse(one, "snag"), PhotoUse(two, "snag")]
        marks = [Mark(two, 0.25, 0.75, "chip", "4 mm"), Mark(one, 0.5, 0.5)]
        snag_id = raise_one(session, piece, place="lower left", photos=photos, marks=marks)
    (snag,) = of(database, piece)
    assert (snag.open, snag.left, snag.end) == (True, False, None)
    assert (snag.entry.id, snag.said.place) == (snag_id, "lower left")
    assert [photo.sha256 for photo in snag.photos] == [one, two]
    assert [(mark.sha256, mark.number, mark.x, mark.y) for mark in snag.marks] == [
        (two, 1, 0.25, 0.75),
        (one, 2, 0.5, 0.5),
    ]
    with database.write() as session:
        end_id = clear(session, piece, snag_id, after)
    (snag,) = of(database, piece)
    assert (snag.open, snag.left, snag.end.id if snag.end else None) == (False, False, end_id)
    assert snag.ended is not None
    assert (snag.ended.how, snag.ended.said) == ("cleared", "filled")
    assert [photo.sha256 for photo in snag.end_photos] == [after]


def test_a_snag_that_several_end_at_once_ends_once(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        snag_id = raise_one(session, piece, list_id=LIST, line_key="level")
        sha = factories.a_photo_row(session)

    def end(turn: int) -> bool:
        try:
            if turn % 2:
                database.transact(lambda session: clear(session, piece, snag_id, sha))
            else:
                database.transact(lambda session: accept(session, piece, snag_id))
        except StoreError as refused:
            assert "has ended already" in str(refused)  # noqa: PT017 - in a thread of its own
            return False
        return True

    with ThreadPoolExecutor(4) as pool:
        assert sum(pool.map(end, range(8))) == 1
    with database.read() as session:
        assert len(session.scalars(select(SnagClose)).all()) == 1


def test_a_snag_accepted_as_left_names_the_client_and_what_they_said(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        accept(session, piece, raise_one(session, piece))
    (snag,) = of(store, piece)
    assert (snag.open, snag.left) == (False, True)
    assert snag.ended is not None
    assert (snag.ended.accepted_by, snag.ended.said) == ("A. Client (invented)", "It may stay.")


def test_cleared_needs_a_photo(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        snag_id = raise_one(session, piece)
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        clear(session, piece, snag_id)
    assert problem.value.field == "photos"
    assert of(store, piece)[0].open


def test_what_has_ended_does_not_end_again_and_may_be_raised_anew(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        sha = factories.a_photo_row(session)
        snag_id = raise_one(session, piece)
        clear(session, piece, snag_id, sha)
    for again in (accept, lambda session, piece, one: clear(session, piece, one, sha)):
        with pytest.raises(StoreError, match="has ended already"), store.write() as session:
            again(session, piece, snag_id)
    with store.write() as session:
        new = raise_one(session, piece)
    assert [(snag.entry.id, snag.open) for snag in of(store, piece)] == [(snag_id, False), (new, True)]


def test_a_snag_of_another_piece_cannot_be_ended_here(store: Store, piece: PieceNow, noise: factories.Noise) -> None:
    (foreign,) = of(store, noise.piece)
    for snag_id in (foreign.entry.id, piece.revision.id, LIST):
        with pytest.raises(StoreError, match="no such snag"), store.write() as session:
            accept(session, piece, snag_id)
    assert of(store, noise.piece)[0].open


@pytest.mark.parametrize("how", ["check met", "taken back"])
def test_the_snags_that_a_check_raised_end_with_it_and_no_others(
    store: Store, piece: PieceNow, noise: factories.Noise, how: str
) -> None:
    with store.write() as session:
        mine = [raise_one(session, piece, list_id=LIST, line_key="level") for _ in range(2)]
        raise_one(session, piece, list_id=LIST, line_key="wall")
        raise_one(session, piece, list_id=OTHER_LIST, line_key="level")
        raise_one(session, piece)
        accept(session, piece, mine[0])
        with_check(session, piece, how=how)
        with_check(session, piece, how=how)
        with_check(session, piece, "never-raised-one")
    ended = {snag.entry.id: snag.ended.how for snag in of(store, piece) if snag.ended}
    assert ended == {mine[0]: "accepted", mine[1]: how}
    assert of(store, noise.piece)[0].open
    with store.read() as session:
        assert len(services.open_snags(session, piece.piece_id)) == 3


def test_a_check_ends_snags_in_known_ways_only(store: Store, piece: PieceNow) -> None:
    with pytest.raises(ValueError, match="allowed are check met, taken back"), store.write() as session:
        with_check(session, piece, how="accepted")


def test_a_mark_on_a_photo_that_the_snag_has_not_is_refused_and_nothing_is_kept(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        one, other = factories.a_photo_row(session), factories.a_photo_row(session)
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        raise_one(session, piece, photos=[PhotoUse(one, "snag")], marks=[Mark(other, 0.5, 0.5)])
    assert problem.value.field == "marks"
    with store.read() as session:
        assert session.scalars(select(Snag.words)).all() == ["of the other piece"]
