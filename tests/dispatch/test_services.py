"""Crates described and revised, pieces looked over before they leave."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.dispatch import services
from siteapp.dispatch.models import Crate
from siteapp.dispatch.weights import held
from siteapp.store import entries
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.dispatch.support import describe

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

EVERY_SIDE = ("front", "back", "edges")


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece of 31.4 kg, weighed, beside one that is crated and was looked over."""
    with store.write() as session:
        describe(session, noise.piece, gross_kg=60.0, gross_origin="weighed")
        look(session, noise.piece)
        return factories.a_piece(session)


def look(session: Session, piece: PieceNow, slots: tuple[str, ...] = (), **facts: Any) -> str:
    """Record a look before dispatch with a photo in each of `slots`."""
    photos = [PhotoUse(factories.a_photo_row(session), slot) for slot in slots]
    said = {"found": "something found", **facts}
    return services.record_dispatch(session, factories.a_writer(session), piece=piece, photos=photos, **said)


def test_a_crate_is_kept_whole_and_a_revision_takes_its_place_and_shows_what_changed(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        facts = {"width_mm": 1400.0, "gross_kg": 58.5, "gross_origin": "weighed", "tilt_indicator": "red ball, 80°"}
        first = describe(session, piece, acclimatise_hours=24.0, **facts)
        second = describe(session, piece, revises=first, acclimatise_hours=48.0, note="two straps", **facts)
    with database.read() as session:
        found = services.crate_now(session, piece.piece_id)
        (latest, changed), (oldest, nothing) = services.crate_revisions(session, piece.piece_id)
    assert found is not None
    entry, said = found
    assert entry.id == latest.id == second
    assert (said.width_mm, said.gross_kg, said.tilt_indicator, said.shock_indicator) == (
        1400.0,
        58.5,
        "red ball, 80°",
        None,
    )
    assert changed == [("acclimatise_hours", 24.0, 48.0), ("note", None, "two straps")]
    assert (oldest.id, nothing) == (first, [])


def test_a_gross_weight_below_the_pieces_own_is_refused_by_name(store: Store, piece: PieceNow) -> None:
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        describe(session, piece, gross_kg=31.39, gross_origin="weighed")
    assert problem.value.field == "gross_kg"
    assert "31.39 kg is less than the weight of the piece alone, 31.4 kg (weighed" in problem.value.message
    with store.write() as session:
        describe(session, piece, gross_kg=31.4, gross_origin="weighed")


@pytest.mark.parametrize(
    ("gross", "origin", "piece_kg", "piece_origin", "answer", "alone"),
    [
        (58.0, "weighed", 31.5, "weighed", "met", 26.5),
        (58.0, "estimated", 31.5, "weighed", "cannot tell", 26.5),
        (58.0, "weighed", 31.5, "estimated", "cannot tell", 26.5),
        (58.0, "weighed", None, None, "cannot tell", None),
        (None, None, 31.5, "weighed", "cannot tell", None),
        (31.5, "weighed", 31.5, "weighed", "met", 0.0),
    ],
)
def test_only_two_weights_that_were_weighed_show_that_the_gross_weight_can_be(
    store: Store,
    gross: float | None,
    origin: str | None,
    piece_kg: float | None,
    piece_origin: str | None,
    answer: str,
    alone: float | None,
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, mass_kg=piece_kg, mass_origin=piece_origin)
        describe(session, piece, gross_kg=gross, gross_origin=origin, note="so that something is said")
        found = services.crate_now(session, piece.piece_id)
        assert found is not None
        result = held(found[1], piece.particulars)
    assert (result.verdict, result.alone_kg) == (answer, alone)
    assert bool(result.why) == (answer != "met")


def test_a_piece_that_proves_heavier_than_its_crate_is_said_to_be(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        describe(session, piece, gross_kg=40.0, gross_origin="weighed")
        found = services.crate_now(session, piece.piece_id)
        assert found is not None
        heavier = factories.a_piece(session, mass_kg=45.0, mass_origin="estimated")
        result = held(found[1], heavier.particulars)
    assert (result.verdict, result.alone_kg) == ("not met", -5.0)
    assert "lighter than the piece alone, 45 kg" in result.why


@pytest.mark.parametrize(
    "facts", [{"gross_kg": 50.0}, {"gross_origin": "weighed"}, {"gross_kg": 50.0, "gross_origin": "guessed"}]
)
def test_a_gross_weight_needs_its_origin_and_an_origin_its_weight(
    store: Store, piece: PieceNow, facts: dict[str, Any]
) -> None:
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        describe(session, piece, **facts)
    assert problem.value.field == "gross_origin"


def test_a_crate_of_which_nothing_is_said_is_refused(store: Store, piece: PieceNow) -> None:
    with pytest.raises(StoreError, match="nothing is filled in"), store.write() as session:
        describe(session, piece)
    with store.read() as session:
        assert services.crate_now(session, piece.piece_id) is None


def test_a_crate_that_somebody_else_described_meanwhile_is_not_described_over_theirs(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = describe(session, piece, note="one")
        theirs = describe(session, piece, note="theirs", revises=first)
    for revises in (None, first):
        with pytest.raises(Superseded) as overtaken, store.write() as session:
            describe(session, piece, note="mine", revises=revises)
        assert overtaken.value.newer == (theirs,)


def current(session: Session, piece: PieceNow) -> str | None:
    found = services.crate_now(session, piece.piece_id)
    return found[0].id if found else None


def test_two_who_describe_the_crate_at_once_make_one_description(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)

    def attempt(turn: int) -> bool:
        try:
            database.transact(lambda session: describe(session, piece, note=f"turn {turn}"))
        except Superseded:
            return False
        return True

    with ThreadPoolExecutor(4) as pool:
        assert sum(pool.map(attempt, range(8))) == 1
    with database.read() as session:
        assert len(services.crates(session, piece.piece_id)) == 1


def test_a_revision_takes_the_place_of_both_where_two_machines_described_the_crate(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        of = {"job_id": piece.job_id, "piece_id": piece.piece_id}
        for note in ("here", "there"):
            entries.append(session, factories.a_writer(session), kind="crate", bodies=[Crate(note=note)], **of)
        assert len(services.crates(session, piece.piece_id)) == 2
        describe(session, piece, note="both", revises=current(session, piece))
        (only,) = services.crates(session, piece.piece_id)
    assert only[1].note == "both"


def test_only_a_crate_and_a_look_of_the_same_piece_can_be_put_right(
    store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    with store.write() as session:
        crate = current(session, noise.piece)
        (foreign,) = services.dispatches(session, noise.piece.piece_id)
        own_crate = describe(session, piece, note="mine")
    for wrong in (crate, piece.revision.id):
        with pytest.raises(StoreError, match="not said of this piece"), store.write() as session:
            describe(session, piece, note="two", revises=wrong)
    for wrong in (foreign.entry.id, own_crate):
        with pytest.raises(StoreError, match="not said of this piece"), store.write() as session:
            look(session, piece, corrects=[wrong])


def test_a_look_is_kept_with_its_photos_in_their_slots_latest_first(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = look(session, piece, services.SLOTS, found="nothing found", packed_by="P. Packer (invented)")
        second = look(session, piece, ("front", "front"))
    with store.read() as session:
        latest, oldest = services.dispatches(session, piece.piece_id)
    assert (latest.entry.id, oldest.entry.id) == (second, first)
    assert [len(oldest.slot(slot)) for slot in services.SLOTS] == [1] * len(services.SLOTS)
    assert [len(latest.slot(slot)) for slot in ("front", "back")] == [2, 0]
    assert oldest.said.packed_by == "P. Packer (invented)"


@pytest.mark.parametrize("missing", EVERY_SIDE)
def test_nothing_found_needs_photos_of_every_side(store: Store, piece: PieceNow, missing: str) -> None:
    slots = tuple(slot for slot in EVERY_SIDE if slot != missing)
    with pytest.raises(FieldProblem, match="needs a photo") as problem, store.write() as session:
        look(session, piece, slots, found="nothing found")
    assert problem.value.field == missing
    with store.write() as session:
        look(session, piece, EVERY_SIDE, found="nothing found")


def test_an_answer_that_is_not_offered_is_refused(store: Store, piece: PieceNow) -> None:
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        look(session, piece, found="fine")
    assert problem.value.field == "found"


def test_a_look_put_right_shows_what_it_said_before_and_keeps_its_place_in_time(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = look(session, piece, note="one")
        second = look(session, piece, note="later journey")
        third = look(session, piece, note="two", corrects=[first])
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        look(session, piece, corrects=[first])
    assert overtaken.value.newer == (third,)
    with store.read() as session:
        latest, oldest = services.dispatches(session, piece.piece_id)
    assert (latest.entry.id, oldest.entry.id) == (second, third)
    assert [said.note for _entry, said in oldest.earlier] == ["one"]
    assert oldest.first.id == first
