"""Arrivals: recorded, read. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.arrival.models import FINDINGS, NOTHING_FOUND, Arrival
from siteapp.checks.services import FIXED, open_list
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.models import EntryCorrects
from siteapp.store.revisions import all_bodies, photos_of, standing_bodies
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer
    from siteapp.store.models import Entry, EntryPhoto

FRONT, BACK, EDGES, CRATE = "front", "back", "edges", "crate and indicators"
SLOTS = (FRONT, BACK, EDGES, CRATE)
# Without a look at both faces nobody can say that nothing was found.
NEEDED = {
    FRONT: _l("Front: nothing found needs a photo of it. Without one, choose not looked at yet."),
    BACK: _l("Back: nothing found needs a photo of it. Without one, choose not looked at yet."),
}
TRIPPED = "tripped"
INDICATORS = ("not fitted", "not tripped", TRIPPED, "cannot tell")


@dataclass(frozen=True)
class Arrived:
    """One arrival as it stands, with the versions that it corrected, latest first."""

    entry: Entry
    said: Arrival
    photos: tuple[EntryPhoto, ...]
    earlier: tuple[tuple[Entry, Arrival], ...]

    @property
    def replaced(self) -> tuple[Entry, ...]:
        """The entries of the earlier versions."""
        return tuple(entry for entry, _said in self.earlier)

    def slot(self, slot: str) -> list[str]:
        """The photos of one slot, by SHA-256, in order."""
        return [photo.sha256 for photo in self.photos if photo.slot == slot]


def record_arrival(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    found: str,
    indicators: str | None,
    note: str | None,
    photos: Sequence[PhotoUse],
    corrects: Sequence[str] = (),
) -> str:
    """Record that a piece reached the site and how it looked; returns the entry's id.

    With the first one the checks of the next stage open, in the same transaction. A piece may arrive more than once;
    `corrects` names an arrival that this one puts right. Raises FieldProblem when *nothing found* comes without
    photos of front and back, Superseded when somebody else corrected it meanwhile.
    """
    if found not in FINDINGS:
        raise FieldProblem("found", _("Found: “%(found)s” is not an answer here.", found=found))
    if indicators is not None and indicators not in INDICATORS:
        raise FieldProblem("indicators", _("Indicators: “%(read)s” is not an answer here.", read=indicators))
    if found == NOTHING_FOUND:
        _refuse_unseen(photos)
    _refuse_foreign(session, piece, corrects)
    entry = entries.append(
        session,
        writer,
        kind="arrival",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[Arrival(found=found, indicators=indicators, note=note)],
        photos=photos,
        corrects=corrects,
    )
    # After the entry, not before: it holds the chain, so two arrivals at once cannot both open the list.
    open_list(session, writer, piece=piece, stage=FIXED)
    return entry.id


def arrivals(session: Session, piece_id: str) -> list[Arrived]:
    """The arrivals of a piece that stand, the latest first."""
    stand = standing_bodies(session, Arrival, piece_id=piece_id)
    everything = {entry.id: (entry, said) for entry, said in all_bodies(session, Arrival, piece_id=piece_id)}
    photos = photos_of(session, everything)
    corrected = _corrected(session, everything)
    return [
        Arrived(entry, said, tuple(photos.get(entry.id, ())), tuple(_earlier(entry.id, everything, corrected)))
        for entry, said in reversed(stand)
    ]


def _corrected(session: Session, entry_ids: Iterable[str]) -> dict[str, list[str]]:
    """What each of these entries corrects."""
    query = select(EntryCorrects).where(EntryCorrects.entry_id.in_(tuple(entry_ids)))
    found: dict[str, list[str]] = {}
    for link in session.scalars(query):
        found.setdefault(link.entry_id, []).append(link.corrects_id)
    return found


def _earlier(
    entry_id: str, everything: dict[str, tuple[Entry, Arrival]], corrected: dict[str, list[str]]
) -> list[tuple[Entry, Arrival]]:
    """What led to an entry by correction, latest first."""
    found: dict[str, tuple[Entry, Arrival]] = {}
    waiting = list(corrected.get(entry_id, ()))
    while waiting:
        other = waiting.pop()
        if other in everything and other not in found:
            found[other] = everything[other]
            waiting.extend(corrected.get(other, ()))
    return sorted(found.values(), key=lambda one: (one[0].recorded_at, one[0].id), reverse=True)


def _refuse_unseen(photos: Sequence[PhotoUse]) -> None:
    seen = {photo.slot for photo in photos}
    for slot, message in NEEDED.items():
        if slot not in seen:
            raise FieldProblem(slot, str(message))


def _refuse_foreign(session: Session, piece: PieceNow, corrects: Sequence[str]) -> None:
    known = {entry.id for entry, _said in all_bodies(session, Arrival, piece_id=piece.piece_id)} if corrects else set()
    if not known.issuperset(corrects):
        raise StoreError(_("What this corrects is not an arrival of this piece. Open the page again."))
