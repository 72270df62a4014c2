"""Marks on photos: checked, set, read. The only code that writes their rows.

A mark is about a photo of one entry. It is a row in that entry's own body, where both were recorded together, or in
the body of a set made later, which takes the place of all marks of that entry.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.marks.kinds import WORDS
from siteapp.marks.models import MarkSet, PhotoMark
from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.models import Entry, EntryCorrects
from siteapp.store.revisions import photos_of
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

FIELD = "marks"  # the field of a form to which a refusal belongs
MOST_MARKS = 60


@dataclass(frozen=True)
class Mark:
    """A spot on a photo. `x` and `y` are fractions, 0 to 1, of the upright photo from its upper left corner."""

    sha256: str
    x: float
    y: float
    kind: str | None = None
    note: str | None = None


def rows(marks: Sequence[Mark], first_position: int = 0, *, among: Collection[str] | None = None) -> list[PhotoMark]:
    """Marks as rows of an entry's body, numbered from 1 in the order given.

    `among` names the photos of that entry, by SHA-256. Raises FieldProblem on `marks` for more than 60 marks, a spot
    outside the photo, a kind that is not one, and a photo that is not among those.
    """
    if len(marks) > MOST_MARKS:
        message = _("Marks: %(count)s are too many. Give at most %(most)s.", count=len(marks), most=MOST_MARKS)
        raise FieldProblem(FIELD, message)
    for number, mark in enumerate(marks, 1):
        _refuse_bad(number, mark, among)
    return [
        PhotoMark(
            position=first_position + place,
            sha256=mark.sha256,
            number=place + 1,
            x=mark.x,
            y=mark.y,
            kind=mark.kind,
            note=mark.note,
        )
        for place, mark in enumerate(marks)
    ]


def set_marks(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    of_id: str,
    marks: Sequence[Mark],
    corrects: Sequence[str] = (),
) -> str:
    """Set all marks on the photos of an entry anew, none for taking them out; returns the id of the set's entry.

    `corrects` names the sets that stand so far. Raises StoreError when the entry is not one of this piece with
    photos, or what is corrected is not a set about it; FieldProblem as `rows`; Superseded when a set stands that
    `corrects` does not name (somebody was faster).
    """
    entry = session.get(Entry, of_id)
    photos = photos_of(session, [of_id]).get(of_id, []) if entry and entry.piece_id == piece.piece_id else []
    if not photos:
        raise StoreError(_("This piece has no such photos to mark. Open the page again."))
    _refuse_foreign(session, of_id, corrects)
    made = entries.append(
        session,
        writer,
        kind="marks",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[MarkSet(of_id=of_id), *rows(marks, among={photo.sha256 for photo in photos})],
        corrects=corrects,
    )
    # Asked after the entry was written: only from then on does its chain keep other writers out on PostgreSQL.
    others = tuple(set_id for set_id in standing_sets(session, [of_id]).get(of_id, ()) if set_id != made.id)
    if others:
        raise Superseded(of_id, others)
    return made.id


def marks_of(session: Session, entry_ids: Iterable[str]) -> dict[str, tuple[PhotoMark, ...]]:
    """The marks that stand on the photos of each of these entries, in the order of their numbers; () for none.

    Those of the set about the entry; without one, the rows in its own body; without these, an entry that corrects
    another keeps the marks of that one on the photos that both have. Where two machines set them apart and nobody
    has chosen yet, those of both sets.
    """
    wanted = tuple(dict.fromkeys(entry_ids))
    if not wanted:
        return {}
    sets = standing_sets(session, wanted)
    query = select(PhotoMark).where(PhotoMark.entry_id.in_([*wanted, *(one for ids in sets.values() for one in ids)]))
    said: dict[str, list[PhotoMark]] = {}
    for mark in session.scalars(query.order_by(PhotoMark.entry_id, PhotoMark.position)):
        said.setdefault(mark.entry_id, []).append(mark)
    found = {
        entry_id: tuple(mark for one in sets.get(entry_id, (entry_id,)) for mark in said.get(one, ()))
        for entry_id in wanted
    }
    bare = [entry_id for entry_id in wanted if not found[entry_id] and entry_id not in sets]
    return found | _from_before(session, bare)


def standing_sets(session: Session, entry_ids: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """The sets of marks that stand about each of these entries, by entry id; more than one where nobody has chosen."""
    query = select(MarkSet.of_id, Entry.id).join(Entry, Entry.id == MarkSet.entry_id).where(entries.standing())
    query = query.where(MarkSet.of_id.in_(tuple(entry_ids))).order_by(Entry.recorded_at, Entry.id)
    found: dict[str, tuple[str, ...]] = {}
    for of_id, set_id in session.execute(query):
        found[of_id] = (*found.get(of_id, ()), set_id)
    return found


def _from_before(session: Session, entry_ids: Sequence[str]) -> dict[str, tuple[PhotoMark, ...]]:
    """The marks of what these entries correct, on photos that they still have."""
    links = list(session.scalars(select(EntryCorrects).where(EntryCorrects.entry_id.in_(tuple(entry_ids)))))
    if not links:
        return {}
    before = marks_of(session, [link.corrects_id for link in links])
    photos = photos_of(session, {link.entry_id for link in links})
    found: dict[str, tuple[PhotoMark, ...]] = {}
    for link in links:
        still = {photo.sha256 for photo in photos.get(link.entry_id, ())}
        kept = tuple(mark for mark in before[link.corrects_id] if mark.sha256 in still)
        found[link.entry_id] = (*found.get(link.entry_id, ()), *kept)
    return found


def _refuse_bad(number: int, mark: Mark, among: Collection[str] | None) -> None:
    # Written so that what is no number at all (NaN) is refused too.
    if not (0 <= mark.x <= 1 and 0 <= mark.y <= 1):
        message = _("Marks: mark %(number)s lies outside its photo. Give 0 to 100 %% of each side.", number=number)
        raise FieldProblem(FIELD, message)
    if mark.kind is not None and mark.kind not in WORDS:
        message = _(
            "Marks: mark %(number)s: “%(kind)s” is not a kind. Choose one of: %(kinds)s.",
            number=number,
            kind=mark.kind[:40],
            kinds=", ".join(str(words) for words in WORDS.values()),
        )
        raise FieldProblem(FIELD, message)
    if among is not None and mark.sha256 not in among:
        raise FieldProblem(FIELD, not_among(number))


def not_among(number: int) -> str:
    """Why a mark whose photo is not there is refused."""
    return _(
        "Marks: the photo of mark %(number)s is not among these photos. Set the mark on one of them, or take it out.",
        number=number,
    )


def _refuse_foreign(session: Session, of_id: str, corrects: Sequence[str]) -> None:
    known = set(session.scalars(select(MarkSet.entry_id).where(MarkSet.of_id == of_id))) if corrects else set()
    if not known.issuperset(corrects):
        raise StoreError(_("What this corrects is not a set of marks on these photos. Open the page again."))
