"""Looks at a piece, whenever they were: those of this room recorded, all of them read in time order.

The only code that writes this room's rows. Looks before dispatch and on arrival are kept by their own rooms.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.arrival.models import Arrival
from siteapp.arrival.rules import indicators_in_words
from siteapp.arrival.services import arrivals
from siteapp.condition.models import HANDOVER, LATER_VISIT, OCCASIONS, Condition
from siteapp.dispatch.looks import unknown_finding, unseen
from siteapp.dispatch.models import NOT_LOOKED
from siteapp.dispatch.services import dispatches
from siteapp.marks.services import marks_of
from siteapp.pieces.slots import BACK, CRATE, DETAILS, EDGES, FRONT, HARDWARE, RAKING, TARGET
from siteapp.pieces.slots import WORDS as SLOT_WORDS
from siteapp.pieces.writing import append, refuse_foreign
from siteapp.store.revisions import versions
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.marks.models import PhotoMark
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer
    from siteapp.store.models import Entry, EntryPhoto
    from siteapp.store.revisions import Version
    from siteapp.web.i18n import Lazy

DISPATCH, ARRIVAL = "before dispatch", "arrival"
OCCASION_WORDS = {
    DISPATCH: _l("Before dispatch"),
    ARRIVAL: _l("Arrival"),
    HANDOVER: _l("Handover"),
    LATER_VISIT: _l("Later visit"),
}
SLOTS = (FRONT, BACK, EDGES, HARDWARE, RAKING, TARGET, DETAILS, CRATE)


@dataclass(frozen=True)
class Look:
    """One look as it stands. `at` is when it was first recorded, whatever corrected it since.

    `replaced` are the entries that it took the place of, latest first; `marks` those that stand on its photos.
    """

    entry: Entry
    occasion: str
    at: datetime
    found: str
    note: str | None
    photos: tuple[EntryPhoto, ...]
    marks: tuple[PhotoMark, ...]
    replaced: tuple[Entry, ...] = ()
    indicators: str | None = None
    light: str | None = None
    surroundings: str | None = None
    advice: str | None = None

    @property
    def words(self) -> Lazy:
        """The occasion, as a page says it."""
        return OCCASION_WORDS[self.occasion]

    @property
    def marked_apart(self) -> bool:
        """Whether marks of two machines stand, so that a number is there twice."""
        return len({mark.number for mark in self.marks}) < len(self.marks)

    def slot(self, slot: str) -> list[str]:
        """The photos of one slot, by SHA-256, in order."""
        return [photo.sha256 for photo in self.photos if photo.slot == slot]

    def marks_in(self, slot: str) -> tuple[PhotoMark, ...]:
        """The marks on the photos of one slot."""
        here = set(self.slot(slot))
        return tuple(mark for mark in self.marks if mark.sha256 in here)

    def slots(self) -> list[str]:
        """The slots of which there are photos, in the order in which a piece is walked round."""
        known = dict.fromkeys([*SLOTS, *(photo.slot for photo in self.photos)])
        return [slot for slot in known if self.slot(slot)]


def record_look(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    occasion: str,
    found: str,
    light: str | None = None,
    surroundings: str | None = None,
    note: str | None = None,
    advice: str | None = None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Record how the piece was at handover or at a later visit; returns the entry's id.

    `corrects` names a look of this room that this one puts right. Raises FieldProblem for an occasion or a finding
    that is not offered, and when *nothing found* comes without photos of front, back and edges; StoreError when
    `corrects` is no such look at this piece, Superseded when somebody else corrected it meanwhile.
    """
    if occasion not in OCCASIONS:
        raise FieldProblem("occasion", _("Occasion: “%(said)s” is not an answer here.", said=occasion))
    for field, message in (*unknown_finding(found), *unseen(found, {photo.slot for photo in photos})):
        raise FieldProblem(field, message)
    words = _("What this corrects is not such a look at this piece. Open the page again.")
    refuse_foreign(session, piece, Condition, corrects, words)
    body = Condition(occasion=occasion, found=found, light=light, surroundings=surroundings, note=note, advice=advice)
    return append(session, writer, piece, "condition", body, photos=photos, corrects=corrects)


def looks(session: Session, piece: PieceNow) -> list[Look]:
    """Every look at the piece that stands, oldest first: before dispatch, on arrival, at handover, later."""
    found: list[Version] = [
        *dispatches(session, piece.piece_id),
        *arrivals(session, piece.piece_id),
        *versions(session, Condition, piece_id=piece.piece_id),
    ]
    marks = marks_of(session, [one.entry.id for one in found])
    told = [_look(one, marks[one.entry.id]) for one in found]
    return sorted(told, key=lambda one: (one.at, one.entry.recorded_at, one.entry.id))


def look_before(known: Sequence[Look], look: Look) -> Look | None:
    """The last look before this one at which somebody looked, of `known` in time order; None when it is the first.

    One that says *not looked at yet* counts when it has photos of the piece itself: they can be laid beside these.
    """
    place = [one.entry.id for one in known].index(look.entry.id)
    return next((one for one in reversed(known[:place]) if one.found != NOT_LOOKED or _shows_the_piece(one)), None)


def slots_of(*these: Look) -> list[str]:
    """The slots of which any of these looks has photos, in order."""
    wanted = {slot for one in these for slot in one.slots()}
    return [slot for slot in dict.fromkeys([*SLOTS, *sorted(wanted)]) if slot in wanted]


def slot_words(slot: str) -> str:
    """What a slot is called."""
    return str(SLOT_WORDS.get(slot, slot))


def _look(one: Version, marks: tuple[PhotoMark, ...]) -> Look:
    said = one.said
    common = {"entry": one.entry, "at": one.at, "photos": one.photos, "marks": marks, "replaced": one.replaced}
    if isinstance(said, Condition):
        return Look(
            occasion=said.occasion,
            found=said.found,
            note=said.note,
            light=said.light,
            surroundings=said.surroundings,
            advice=said.advice,
            **common,
        )
    if isinstance(said, Arrival):
        return Look(occasion=ARRIVAL, found=said.found, note=said.note, indicators=indicators_in_words(said), **common)
    return Look(occasion=DISPATCH, found=said.found, note=said.note, **common)


def _shows_the_piece(look: Look) -> bool:
    return any(photo.slot != CRATE for photo in look.photos)
