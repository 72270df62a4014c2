"""Looks at a piece: recorded, corrected, read in time order with the marks on their photos."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from siteapp.condition import services
from siteapp.condition.models import Condition
from siteapp.marks.services import Mark, set_marks
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.revisions import all_bodies
from siteapp.web.dates import now
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.condition.support import ALL_SIDES, arrived, dispatched, looked, uses

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece at which nobody has looked, beside one that was looked at in all ways."""
    with store.write() as session:
        dispatched(session, noise.piece)
        arrived(session, noise.piece)
        looked(session, noise.piece)
        return factories.a_piece(session)


def test_every_look_at_a_piece_is_read_in_the_order_of_time_with_what_each_says(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        other = factories.a_piece(session)
        looked(session, other)
        first = dispatched(session, piece, note="packed")
        second = arrived(
            session, piece, shock="not tripped", tilt="not fitted", slots=(*ALL_SIDES, "crate and indicators")
        )
        third = looked(session, piece, light="daylight", surroundings="a stove", advice="look again", note="dust")
        fourth = looked(session, piece, occasion="later visit", found="not looked at yet", slots=())
    with database.read() as session:
        found = services.looks(session, piece)
    assert [look.entry.id for look in found] == [first, second, third, fourth]
    assert [look.occasion for look in found] == ["before dispatch", "arrival", "handover", "later visit"]
    assert (found[0].note, found[1].indicators) == ("packed", "shock: not tripped, tilt: not fitted")
    assert (found[2].light, found[2].surroundings, found[2].advice, found[2].note) == (
        "daylight",
        "a stove",
        "look again",
        "dust",
    )
    assert found[1].slots() == ["front", "back", "edges", "crate and indicators"]
    assert found[3].photos == ()


@pytest.mark.parametrize(
    ("slots", "field"), [((), "front"), (("front", "edges"), "back"), (("front", "back", "details"), "edges")]
)
def test_nothing_found_needs_photos_of_front_back_and_edges(
    store: Store, piece: PieceNow, slots: tuple[str, ...], field: str
) -> None:
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        looked(session, piece, slots, found="nothing found")
    assert problem.value.field == field
    assert "needs a photo" in problem.value.message
    with store.read() as session:
        assert services.looks(session, piece) == []


@pytest.mark.parametrize(("field", "facts"), [("found", {"found": "fine"}), ("occasion", {"occasion": "arrival"})])
def test_an_answer_that_is_not_offered_is_refused(
    store: Store, piece: PieceNow, field: str, facts: dict[str, str]
) -> None:
    with pytest.raises(FieldProblem) as problem, store.write() as session:
        looked(session, piece, **facts)
    assert problem.value.field == field


def test_a_corrected_look_stays_in_its_place_in_time_and_keeps_what_it_said_before(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = looked(session, piece, note="one")
        later = looked(session, piece, occasion="later visit")
        put_right = looked(session, piece, note="two", corrects=[first])
    with store.read() as session:
        found = services.looks(session, piece)
        assert {said.note for _entry, said in all_bodies(session, Condition, piece_id=piece.piece_id)} > {"one", "two"}
    assert [look.entry.id for look in found] == [put_right, later]
    assert (found[0].note, [entry.id for entry in found[0].replaced]) == ("two", [first])
    assert found[0].at < found[1].at < found[0].entry.recorded_at


def test_a_look_that_somebody_else_corrected_meanwhile_is_not_corrected_over_theirs(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = looked(session, piece)
        theirs = looked(session, piece, corrects=[first])
    with pytest.raises(Superseded) as overtaken, store.write() as session:
        looked(session, piece, corrects=[first])
    assert overtaken.value.newer == (theirs,)


def test_only_a_look_of_this_room_at_the_same_piece_can_be_corrected(
    store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    with store.write() as session:
        arrival = arrived(session, piece)
        foreign = services.looks(session, noise.piece)[-1].entry.id
    for corrected in (foreign, arrival, piece.revision.id):
        with pytest.raises(StoreError, match="not such a look at this piece"), store.write() as session:
            looked(session, piece, corrects=[corrected])


def test_the_look_before_is_the_last_at_which_somebody_looked_or_photographed_the_piece(
    store: Store, piece: PieceNow
) -> None:
    with store.write() as session:
        first = dispatched(session, piece)
        crate_only = arrived(session, piece, ("crate and indicators",), found="not looked at yet")
        photos = looked(session, piece, ("front",), found="not looked at yet")
        last = looked(session, piece, occasion="later visit")
    with store.read() as session:
        known = services.looks(session, piece)
    before = {look.entry.id: services.look_before(known, look) for look in known}
    assert {key: one.entry.id if one else None for key, one in before.items()} == {
        first: None,
        crate_only: first,
        photos: first,
        last: photos,
    }


def test_a_phone_that_sent_late_puts_the_look_where_it_happened(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        arrival = arrived(session, piece)
        looked_before = dispatched(session, piece, at=now() - timedelta(hours=5))
    with store.read() as session:
        assert [look.entry.id for look in services.looks(session, piece)] == [looked_before, arrival]


def test_marks_set_later_stand_on_their_look_and_follow_it_through_a_correction(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        photos = uses(session, ["front", "hardware"])
        look = looked(session, piece, photos=photos)
        set_marks(
            session,
            factories.a_writer(session),
            piece=piece,
            of_id=look,
            marks=[Mark(photos[0].sha256, 0.5, 0.25, "chip", "small"), Mark(photos[1].sha256, 0.1, 0.9)],
        )
        looked(session, piece, photos=photos, note="in other words", corrects=[look])
    with store.read() as session:
        (found,) = services.looks(session, piece)
    assert [(mark.number, mark.x, mark.y, mark.kind) for mark in found.marks] == [
        (1, 0.5, 0.25, "chip"),
        (2, 0.1, 0.9, None),
    ]
    assert [mark.number for mark in found.marks_in("hardware")] == [2]
    assert not found.marked_apart


def test_a_photo_in_a_slot_that_is_not_known_here_is_read_last(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        odd = PhotoUse(factories.a_photo_row(session), "from the roof")
        looked(session, piece, photos=[odd, *uses(session, ["details"])])
    with store.read() as session:
        (found,) = services.looks(session, piece)
    assert found.slots() == ["details", "from the roof"]
    assert services.slots_of(found) == ["details", "from the roof"]
    assert services.slot_words("from the roof") == "from the roof"
