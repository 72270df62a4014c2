"""Pieces and their particulars: made, revised, found by number. The only code that writes their rows."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypedDict

from sqlalchemy import inspect, select

from siteapp.pieces.changes import Changes, Said, between
from siteapp.pieces.models import Agreed, BuildUpLine, HangingPoint, Particulars, Piece
from siteapp.pieces.writing import append, refuse_foreign
from siteapp.store import entries
from siteapp.store.entries import PhotoUse
from siteapp.store.models import Entry
from siteapp.store.revisions import all_bodies, photos_of, standing_bodies
from siteapp.trade import piece_number
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.store.entries import Writer
    from siteapp.store.models import EntryPhoto

RANDOM_BYTES = 64


class PieceFacts(TypedDict):
    """A revision of the particulars: the fields of `Particulars`, the build-up's and the hanging points' rows."""

    fields: dict[str, Any]
    build_up: list[dict[str, Any]]
    hanging_points: list[dict[str, Any]]
    photos: Sequence[PhotoUse]


@dataclass(frozen=True)
class PieceNow:
    """A piece with its latest particulars."""

    piece_id: str
    job_id: str
    number: str
    revision: Entry
    particulars: Particulars
    build_up: tuple[BuildUpLine, ...]
    hanging_points: tuple[HangingPoint, ...]
    photos: tuple[EntryPhoto, ...]

    @property
    def title(self) -> str:
        """What it is called."""
        return self.particulars.title


class AgreedFacts(TypedDict):
    """What was agreed: `about` is `stage` or `change`, `agreed_on` the day, ISO 8601."""

    about: str
    what: str
    agreed_on: str
    agreed_by: str | None
    said: str | None
    evidence: str | None


@dataclass(frozen=True)
class AgreedNow:
    """Something agreed, as it stands, with the photos of what shows it."""

    entry: Entry
    said: Agreed
    photos: tuple[EntryPhoto, ...]


def make_piece(session: Session, writer: Writer, *, job_id: str, facts: PieceFacts) -> str:
    """Bring a piece into being with a number of its own and its first particulars; returns the number."""
    piece_id = writer.new_id("piece")
    number = _unused_number(session)
    body = Piece(piece_id=piece_id, number=number)
    entries.append(session, writer, kind="piece", job_id=job_id, piece_id=piece_id, bodies=[body])
    _write(session, writer, job_id=job_id, piece_id=piece_id, facts=facts, corrects=[])
    return number


def revise_particulars(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    revises: str,
    facts: PieceFacts,
) -> None:
    """Say something else about a piece.

    Raises Superseded when `revises` is not its latest revision, StoreError when it is none of this piece's.
    """
    words = _("This revises the particulars of no such piece. Open the page again.")
    refuse_foreign(session, piece, Particulars, [revises], words)
    _write(
        session,
        writer,
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        facts=facts,
        corrects=[revises],
    )


def facts_now(piece: PieceNow) -> PieceFacts:
    """Everything that a piece's latest particulars say, as `revise_particulars` takes it: for revising a part of it."""
    return {
        "fields": _fields(piece.particulars),
        "build_up": [_fields(row) for row in piece.build_up],
        "hanging_points": [_fields(row) for row in piece.hanging_points],
        "photos": [PhotoUse(photo.sha256, photo.slot, photo.caption) for photo in piece.photos],
    }


def find(session: Session, number: str) -> PieceNow | None:
    """The piece with this number (as `piece_number.parse_number` gives it), or None."""
    return find_all(session, [number]).get(number)


def find_all(session: Session, numbers: Sequence[str]) -> dict[str, PieceNow]:
    """The pieces with these numbers, by number, in a fixed number of queries; numbers of no piece are left out."""
    made = select(Entry.job_id, Piece).join(Piece, Piece.entry_id == Entry.id).where(Piece.number.in_(tuple(numbers)))
    found = {piece.piece_id: (job_id or "", piece.number) for job_id, piece in session.execute(made)}
    said = select(Entry, Particulars).join(Particulars, Particulars.entry_id == Entry.id)
    said = said.where(Entry.piece_id.in_(tuple(found)), entries.standing()).order_by(Entry.recorded_at, Entry.id)
    latest = {entry.piece_id: (entry, particulars) for entry, particulars in session.execute(said)}
    revisions = [entry.id for entry, _particulars in latest.values()]
    layers, points = _rows(session, BuildUpLine, revisions), _rows(session, HangingPoint, revisions)
    photos = photos_of(session, revisions)
    told: dict[str, PieceNow] = {}
    for piece_id, (revision, particulars) in latest.items():
        job_id, number = found[piece_id or ""]
        told[number] = PieceNow(
            piece_id=piece_id or "",
            job_id=job_id,
            number=number,
            revision=revision,
            particulars=particulars,
            build_up=layers.get(revision.id, ()),
            hanging_points=points.get(revision.id, ()),
            photos=tuple(photos.get(revision.id, ())),
        )
    return told


def all_numbers(session: Session) -> list[str]:
    """Every piece number in use here."""
    return list(session.scalars(select(Piece.number).order_by(Piece.number)))


def pieces_of(session: Session, job_id: str | None = None) -> list[tuple[str, str, Particulars]]:
    """Piece id, number and latest particulars of a job's pieces, or of all, in the order they were made."""
    made = select(Piece.piece_id, Piece.number).join(Entry, Entry.id == Piece.entry_id)
    said = select(Entry.piece_id, Particulars).join(Particulars, Particulars.entry_id == Entry.id)
    said = said.where(entries.standing())
    if job_id is not None:
        made, said = made.where(Entry.job_id == job_id), said.where(Entry.job_id == job_id)
    latest = dict(session.execute(said.order_by(Entry.recorded_at, Entry.id)).all())
    rows = session.execute(made.order_by(Entry.recorded_at, Entry.id))
    return [(piece_id, number, latest[piece_id]) for piece_id, number in rows if piece_id in latest]


def revisions(session: Session, piece: PieceNow) -> list[tuple[Entry, Changes]]:
    """Every revision of the particulars, newest first, with what it changed. The first one changed nothing."""
    told: list[tuple[Entry, Changes]] = []
    before: Said | None = None
    everything = all_bodies(session, Particulars, piece_id=piece.piece_id)
    ids = [entry.id for entry, _said in everything]
    layers, points = _rows(session, BuildUpLine, ids), _rows(session, HangingPoint, ids)
    photos = photos_of(session, ids)
    for entry, particulars in everything:
        after = Said(
            _fields(particulars),
            [_fields(row) for row in layers.get(entry.id, ())],
            [_fields(row) for row in points.get(entry.id, ())],
            [photo.sha256 for photo in photos.get(entry.id, ())],
        )
        told.append((entry, between(before, after) if before else Changes()))
        before = after
    return told[::-1]


def said_now(piece: PieceNow) -> Said:
    """Everything that a piece's latest particulars say."""
    return Said(
        _fields(piece.particulars),
        [_fields(row) for row in piece.build_up],
        [_fields(row) for row in piece.hanging_points],
        [photo.sha256 for photo in piece.photos],
    )


def agree(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: AgreedFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep what was agreed with the client about a piece; returns the entry's id.

    Raises StoreError when `corrects` names something else, Superseded when that was corrected meanwhile.
    """
    words = _("What this corrects was not agreed about this piece. Open the page again.")
    refuse_foreign(session, piece, Agreed, corrects, words)
    return append(session, writer, piece, "agreed", Agreed(**facts), photos=photos, corrects=corrects)


def agreed_of(session: Session, piece_id: str) -> list[AgreedNow]:
    """What was agreed about a piece and stands, oldest first by the day on which it was agreed."""
    found = standing_bodies(session, Agreed, piece_id=piece_id)
    photos = photos_of(session, [entry.id for entry, _said in found])
    told = [AgreedNow(entry, said, tuple(photos.get(entry.id, ()))) for entry, said in found]
    return sorted(told, key=lambda one: (one.said.agreed_on, one.entry.recorded_at, one.entry.id))


def _unused_number(session: Session) -> str:
    # Random numbers do not clash between laptops in practice (34^7 of them); here the database is asked as well.
    while True:
        number = piece_number.new_number(secrets.token_bytes(RANDOM_BYTES))
        if session.scalar(select(Piece.entry_id).where(Piece.number == number)) is None:
            return number


def _write(
    session: Session,
    writer: Writer,
    *,
    job_id: str,
    piece_id: str,
    facts: PieceFacts,
    corrects: Sequence[str],
) -> None:
    layers = [BuildUpLine(position=number, **row) for number, row in enumerate(facts["build_up"])]
    points = [HangingPoint(position=number, **row) for number, row in enumerate(facts["hanging_points"])]
    entries.append(
        session,
        writer,
        kind="particulars",
        job_id=job_id,
        piece_id=piece_id,
        bodies=[Particulars(**facts["fields"]), *layers, *points],
        photos=facts["photos"],
        corrects=corrects,
    )


def _rows(session: Session, model: Any, entry_ids: Sequence[str]) -> dict[str, tuple[Any, ...]]:
    found: dict[str, list[Any]] = {}
    query = select(model).where(model.entry_id.in_(tuple(entry_ids)))
    for row in session.scalars(query.order_by(model.entry_id, model.position)):
        found.setdefault(row.entry_id, []).append(row)
    return {entry_id: tuple(rows) for entry_id, rows in found.items()}


def _fields(row: Any) -> dict[str, Any]:
    return {
        column.key: getattr(row, column.key)
        for column in inspect(type(row)).columns
        if column.key not in {"entry_id", "position"}
    }
