"""A small workshop for tests of keeping: two jobs, corrections, photos, an erasure, a certificate's frozen record."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

import rfc8785

from siteapp.handover.models import Certificate, Handover
from siteapp.jobs.models import Job
from siteapp.store import entries
from siteapp.store.entries import PhotoUse
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@dataclass(frozen=True)
class Scene:
    """Ids of what is in it."""

    job_id: str
    piece: PieceNow
    arrival: str
    erased: str
    certificate: str
    photos: tuple[str, ...]


def fill(store: Store, photos: int = 3) -> Scene:
    """Fill a store; each kind of entry in a transaction of its own, as forms do."""
    with store.write() as session:
        piece = factories.a_piece(session)
        shas = tuple(factories.a_photo(session, store) for _ in range(photos))
    with store.write() as session:
        arrival = note(session, piece, "arrival", photos=[PhotoUse(sha, caption=f"side {sha[:2]}") for sha in shas])
        factories.a_person(session)
    with store.write() as session:
        erased = note(session, piece, "remark", bodies=[a_job_body()])
        note(session, piece, "remark", corrects=[erased])
    with store.write() as session:
        entries.erase(session, factories.a_writer(session), erased, reason="asked for by the client (invented)")
    with store.write() as session:
        handover = note(session, piece, "handover", bodies=[Handover(signed_name="B. Client", said="as seen")])
        record = rfc8785.dumps({"piece": piece.number, "title": piece.title}).decode()
        body = Certificate(
            number=f"C-{piece.number}",
            handover_id=handover,
            record=record,
            record_digest=hashlib.sha256(record.encode()).hexdigest(),
        )
        certificate = note(session, piece, "certificate", bodies=[body])
    with store.write() as session:
        factories.a_job(session)
    return Scene(piece.job_id, piece, arrival, erased, certificate, shas)


def a_job_body() -> Job:
    return Job(title="a remark", client="-", place="-")


def note(session: Session, piece: PieceNow, kind: str, **more: object) -> str:
    """An entry about the piece; returns its id."""
    writer = factories.a_writer(session)
    entry = entries.append(session, writer, kind=kind, job_id=piece.job_id, piece_id=piece.piece_id, **more)  # type: ignore[arg-type]
    return entry.id
