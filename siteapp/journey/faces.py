"""What a list shows of each piece: title, number, place, photo, in a fixed number of queries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.aftercare.models import Keeper, Moved
from siteapp.jobs.models import Job
from siteapp.pieces.models import Particulars, Piece
from siteapp.store.entries import standing
from siteapp.store.models import Entry, EntryPhoto

if TYPE_CHECKING:
    from collections.abc import Collection
    from typing import Any

    from sqlalchemy import Select
    from sqlalchemy.orm import Session


@dataclass(frozen=True)
class Face:
    """A piece as lists and search know it. `client` is whose it is now, so that a former owner is not found."""

    piece_id: str
    number: str
    job_id: str
    title: str
    job_title: str
    client: str
    place: str
    revision_id: str


def faces(session: Session, piece_ids: Collection[str] | None = None) -> dict[str, Face]:
    """The pieces with these ids, or all, by id; in the order in which they came to be."""
    made = select(Entry.piece_id, Entry.job_id, Piece.number).join(Piece, Piece.entry_id == Entry.id)
    # Asked by kind, so that the database finds them in order of time and sorts nothing.
    made = _of(made, piece_ids).where(Entry.kind == "piece").order_by(Entry.recorded_at, Entry.id)
    said = select(Entry.piece_id, Particulars.title, Particulars.entry_id).join(
        Particulars, Particulars.entry_id == Entry.id
    )
    told = _latest(session, "particulars", said, piece_ids)
    titles = {piece_id: (title, revision) for piece_id, title, revision in told}
    jobs = _jobs(session)
    # By the day that they say, since an older one may have been put right after a newer one was written.
    places = select(Entry.piece_id, Moved.place).join(Moved, Moved.entry_id == Entry.id).order_by(Moved.moved_on)
    moved = dict(_latest(session, "moved", places, piece_ids))
    keepers = select(Entry.piece_id, Keeper.name).join(Keeper, Keeper.entry_id == Entry.id).order_by(Keeper.since)
    kept = dict(_latest(session, "keeper", keepers, piece_ids))
    found: dict[str, Face] = {}
    for piece_id, job_id, number in session.execute(made):
        if piece_id is None or piece_id not in titles:
            continue
        title, revision = titles[piece_id]
        job_title, client, place = jobs.get(job_id or "", ("", "", ""))
        found[piece_id] = Face(
            piece_id=piece_id,
            number=number,
            job_id=job_id or "",
            title=title,
            job_title=job_title,
            client=kept.get(piece_id, client),
            place=moved.get(piece_id, place),
            revision_id=revision,
        )
    return found


def title_photos(session: Session, revision_ids: Collection[str]) -> dict[str, str]:
    """The first photo of each of these revisions of particulars, by the revision's entry."""
    query = select(EntryPhoto.entry_id, EntryPhoto.sha256).where(
        EntryPhoto.entry_id.in_(tuple(revision_ids)), EntryPhoto.position == 0
    )
    return dict(session.execute(query).all())


def _jobs(session: Session) -> dict[str, tuple[str, str, str]]:
    query = select(Entry.job_id, Job.title, Job.client, Job.place).join(Job, Job.entry_id == Entry.id)
    rows = session.execute(query.where(Entry.kind == "job", standing()).order_by(Entry.recorded_at, Entry.id))
    return {job_id or "": (title, client, place) for job_id, title, client, place in rows}


def _latest(session: Session, kind: str, query: Select[Any], piece_ids: Collection[str] | None) -> list[Any]:
    # Two revisions of one parent, made on two machines, both stand: the later one comes later and is taken.
    query = _of(query.where(Entry.kind == kind, standing()), piece_ids)
    return list(session.execute(query.order_by(Entry.recorded_at, Entry.id)))


def _of(query: Select[Any], piece_ids: Collection[str] | None) -> Select[Any]:
    return query if piece_ids is None else query.where(Entry.piece_id.in_(tuple(piece_ids)))
