"""Pieces of a file made and revised, all or nothing, and each file once a job."""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING
from uuid import UUID, uuid5

from siteapp.pieces import services
from siteapp.pieces.bringing.judged import plain_text
from siteapp.store.models import FormPost

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.bringing.judged import Judged
    from siteapp.store.entries import Writer


def form_id_of(job_id: str, text: str) -> str:
    """The id under which this text is brought into this job: the same text again has the same one."""
    return str(uuid5(UUID(job_id), "bring-in/" + sha256(plain_text(text).rstrip().encode()).hexdigest()))


def brought_in(session: Session, form_id: str) -> FormPost | None:
    """When and by whom this text was brought into this job; None when it was not."""
    return session.get(FormPost, form_id)


def bring_in(session: Session, writer: Writer, *, job_id: str, judged: Judged) -> list[str]:
    """Make and revise what a file says; returns the numbers of the pieces in its order.

    Raises Superseded when a piece was revised since the file was held against it; then nothing must be kept.
    """
    if judged.problems:
        message = "a file with problems is not brought in"
        raise ValueError(message)
    numbers: list[str] = []
    for draft in judged.drafts:
        if draft.piece is None:
            numbers.append(services.make_piece(session, writer, job_id=job_id, facts=draft.facts))
            continue
        if not draft.changed.nothing:
            revises = draft.piece.revision.id
            services.revise_particulars(session, writer, piece=draft.piece, revises=revises, facts=draft.facts)
        numbers.append(draft.piece.number)
    return numbers
