"""Snags raised, ended, read. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.marks.services import marks_of, rows
from siteapp.pieces.writing import append
from siteapp.snags.models import Snag, SnagClose
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.revisions import photos_of, standing_bodies
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.marks.models import PhotoMark
    from siteapp.marks.services import Mark
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer
    from siteapp.store.models import Entry, EntryPhoto

CLEARED, ACCEPTED, CHECK_MET, TAKEN_BACK = "cleared", "accepted", "check met", "taken back"
BY_CHECK = (CHECK_MET, TAKEN_BACK)


@dataclass(frozen=True)
class SnagNow:
    """A snag as it stands: its photos with their marks, and how it ended, if it did."""

    entry: Entry
    said: Snag
    photos: tuple[EntryPhoto, ...]
    marks: tuple[PhotoMark, ...]
    end: Entry | None
    ended: SnagClose | None
    end_photos: tuple[EntryPhoto, ...]

    @property
    def open(self) -> bool:
        """Whether it is still to be put right."""
        return self.ended is None

    @property
    def left(self) -> bool:
        """Whether the client accepted it as left."""
        return self.ended is not None and self.ended.how == ACCEPTED


def raise_snag(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    words: str,
    place: str | None = None,
    photos: Sequence[PhotoUse] = (),
    marks: Sequence[Mark] = (),
    list_id: str | None = None,
    line_key: str | None = None,
    answer_id: str | None = None,
) -> str:
    """Raise something to put right; returns its entry's id. `marks` are spots on its `photos`.

    `list_id`, `line_key` and `answer_id` name the check and the answer that raised it, if one did. Raises
    FieldProblem on `marks` as `marks.services.rows` does.
    """
    body = Snag(words=words, place=place, list_id=list_id, line_key=line_key, answer_id=answer_id)
    spots = rows(marks, among={photo.sha256 for photo in photos})
    entry = entries.append(
        session,
        writer,
        kind="snag",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[body, *spots],
        photos=photos,
    )
    return entry.id


def clear_snag(
    session: Session, writer: Writer, *, piece: PieceNow, snag_id: str, said: str, photos: Sequence[PhotoUse]
) -> str:
    """A snag is put right: what was done, and photos of how it is now. Returns the ending's entry id.

    Raises FieldProblem on `photos` without one, StoreError when the snag is not this piece's or has ended.
    """
    if not photos:
        raise FieldProblem("photos", _("Photo: cleared needs one of how it is now."))
    body = SnagClose(snag_id=snag_id, how=CLEARED, said=said, accepted_by=None)
    return _end(session, writer, piece, body, photos)


def accept_snag(session: Session, writer: Writer, *, piece: PieceNow, snag_id: str, accepted_by: str, said: str) -> str:
    """The client accepts a snag as it is, by name and in their words. Returns the ending's entry id.

    Raises StoreError when the snag is not this piece's or has ended.
    """
    body = SnagClose(snag_id=snag_id, how=ACCEPTED, said=said, accepted_by=accepted_by)
    return _end(session, writer, piece, body, ())


def end_with_check(session: Session, writer: Writer, *, piece: PieceNow, list_id: str, line_key: str, how: str) -> None:
    """End the open snags that a line of a check list raised; nothing happens when there are none.

    `how` is "check met", or "taken back" when the answer that raised them was. Raises ValueError for another.
    """
    if how not in BY_CHECK:
        message = f"how is {how!r}; allowed are {', '.join(BY_CHECK)}"
        raise ValueError(message)
    for snag in open_snags(session, piece.piece_id):
        if (snag.said.list_id, snag.said.line_key) == (list_id, line_key):
            body = SnagClose(snag_id=snag.entry.id, how=how, said=None, accepted_by=None)
            _end(session, writer, piece, body, ())


def snags(session: Session, piece_id: str) -> list[SnagNow]:
    """Every snag of a piece, oldest first."""
    raised = standing_bodies(session, Snag, piece_id=piece_id)
    # Ended on two machines at once it has ended; the first to say so is shown.
    ends: dict[str, tuple[Entry, SnagClose]] = {}
    for entry, said in standing_bodies(session, SnagClose, piece_id=piece_id):
        ends.setdefault(said.snag_id, (entry, said))
    ids = [entry.id for entry, _said in raised]
    photos = photos_of(session, [*ids, *(entry.id for entry, _said in ends.values())])
    marks = marks_of(session, ids)
    found = []
    for entry, said in raised:
        end, ended = ends.get(entry.id, (None, None))
        shown = tuple(photos.get(end.id, ())) if end else ()
        found.append(SnagNow(entry, said, tuple(photos.get(entry.id, ())), marks[entry.id], end, ended, shown))
    return found


def open_snags(session: Session, piece_id: str) -> list[SnagNow]:
    """The snags of a piece that are still to be put right, oldest first."""
    return [snag for snag in snags(session, piece_id) if snag.open]


def find_snag(session: Session, piece_id: str, snag_id: str) -> SnagNow | None:
    """One snag of a piece, None when it has no such."""
    return next((snag for snag in snags(session, piece_id) if snag.entry.id == snag_id), None)


def _end(session: Session, writer: Writer, piece: PieceNow, body: SnagClose, photos: Sequence[PhotoUse]) -> str:
    _refuse_ended(find_snag(session, piece.piece_id, body.snag_id))
    entry_id = append(session, writer, piece, "snag_close", body, photos=photos)
    # Asked again once the entry is written: only from then on does its chain keep other writers out on PostgreSQL.
    for other, said in standing_bodies(session, SnagClose, piece_id=piece.piece_id):
        if said.snag_id == body.snag_id and other.id != entry_id:
            raise StoreError(_ended())
    return entry_id


def _refuse_ended(snag: SnagNow | None) -> None:
    if snag is None:
        raise StoreError(_("This piece has no such snag. Open the page again."))
    if not snag.open:
        raise StoreError(_ended())


def _ended() -> str:
    return _("This snag has ended already. If it is there again, raise it as a new one.")
