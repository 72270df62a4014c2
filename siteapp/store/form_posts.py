"""Forms that were saved, by id: a form sent twice is written once and answered twice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import update
from sqlalchemy.dialects import postgresql, sqlite

from siteapp.store.digests import sha256_of
from siteapp.store.errors import FormClash
from siteapp.store.models import FormPost

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session


@dataclass(frozen=True)
class Answer:
    """What a form was answered: HTTP status and where it led."""

    status: int
    location: str


def fingerprint(what: str, fields: Mapping[str, Any]) -> str:
    """Digest of a form's parsed content, with `what` it was sent to; tokens and times of sending are not part."""
    return sha256_of({"to": what, "fields": fields})


def begin(session: Session, *, form_id: str, by_id: str | None, content: str) -> Answer | None:
    """Claim a form id within the transaction that writes the form's rows, before anything else is written.

    Returns None when the form is new, or the stored answer when this person sent the same content before. Raises
    FormClash when the id was used with other content or by another person. On PostgreSQL a second worker waits here
    until the first has committed.
    """
    make = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    claim = make(FormPost).values(id=form_id, by_id=by_id, fingerprint=content, recorded_at=datetime.now(UTC))
    claimed = session.execute(claim.on_conflict_do_nothing().returning(FormPost.id)).scalar_one_or_none()
    if claimed is not None:
        return None
    stored = session.get_one(FormPost, form_id, populate_existing=True)
    if stored.by_id != by_id:
        raise FormClash(form_id, same_person=False, location=None)
    if stored.fingerprint != content:
        raise FormClash(form_id, same_person=True, location=stored.location)
    if stored.status is None or stored.location is None:  # pragma: no cover - both are set before the commit
        raise FormClash(form_id, same_person=True, location=None)
    return Answer(stored.status, stored.location)


def finish(session: Session, *, form_id: str, answer: Answer) -> None:
    """Keep the answer beside the rows, in the same transaction."""
    change = update(FormPost).where(FormPost.id == form_id)
    session.execute(change.values(status=answer.status, location=answer.location))
