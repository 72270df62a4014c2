"""A piece brought to the point where it can be handed over, through the rooms' own services."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.arrival.services import BACK, CRATE, EDGES, FRONT, record_arrival
from siteapp.checks import services as checks
from siteapp.finishing import services as finishing
from siteapp.handover import issuing, services
from siteapp.handover.models import Certificate
from siteapp.handover.record import Choices
from siteapp.store.entries import PhotoUse
from siteapp.store.hashed import HashedFolder
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.finishing.support import climate, coat

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

SAID = "I take the piece over as it is."
CHOICES = Choices(maker="M. Maker (invented)", workshop="A workshop (invented)")


def arrive(session: Session, piece: PieceNow, note: str | None = None) -> str:
    photos = [PhotoUse(factories.a_photo_row(session), slot=slot) for slot in (CRATE, FRONT, BACK, EDGES)]
    writer = factories.a_writer(session)
    said = {"found": "nothing found", "shock": "not tripped", "tilt": "not fitted", "note": note}
    return record_arrival(session, writer, piece=piece, photos=photos, **said)


def answer_all(session: Session, piece: PieceNow, *, but: str | None = None, by_id: str | None = None) -> None:
    """Meet every check of the open lists but one, by a reading, a photo, a second person, or what was worked out."""
    for line in [line for stage in checks.states(session, piece) for line in stage.lines]:
        if line.key == but:
            continue
        writer = factories.a_writer(session, by_id=by_id)
        if line.calculation:
            told: dict[str, Any] = {"inputs": {}, "outcome": {}, "version": "of a test"}
            checks.push(session, writer, piece=piece, calculation=line.calculation, verdict="met", **told)
            continue
        reading = None
        if line.quantity is not None:
            reading = line.low if line.low is not None else line.high
        checks.answer(
            session,
            writer,
            piece=piece,
            list_id=line.list_id,
            line_key=line.key,
            verdict="met",
            reading=reading,
            second_name="S. Second (invented)" if line.second else None,
            photos=[PhotoUse(factories.a_photo_row(session))],
        )


def finish(session: Session, piece: PieceNow) -> str:
    session_id = finishing.start_session(
        session,
        factories.a_writer(session),
        piece=piece,
        zone="left wing",
        purpose=None,
        photos=[PhotoUse(factories.a_photo_row(session), slot="before")],
    )
    told: dict[str, Any] = {"piece": piece, "session_id": session_id}
    finishing.record_climate(session, factories.a_writer(session), facts=climate(), **told)
    finishing.apply_coat(session, factories.a_writer(session), facts=coat(), **told)
    finishing.close_session(session, factories.a_writer(session), note=None, client_words="Yes, gladly.", **told)
    return session_id


def hand_over(session: Session, piece: PieceNow, **overrides: Any) -> str:
    facts: dict[str, Any] = {
        "signed_name": "A. Client (invented)",
        "said": SAID,
        "note": None,
        "signature_sha256": None,
    }
    return services.hand_over(session, factories.a_writer(session), piece=piece, **(facts | overrides))


def issued(store: Store, piece: PieceNow, why: str | None = None, **choices: Any) -> str:
    """A certificate made, signed and issued as the page does it; returns its number."""
    said = replace(CHOICES, **choices)
    with store.read() as session:
        made = issuing.make_certificate(
            session,
            settings=store.settings,
            photos=PhotoFolder(store.settings.photos, store.settings.cache),
            piece=piece,
            choices=said,
            why=why,
        )
    with store.write() as session:
        writer = factories.a_writer(session)
        return issuing.issue_certificate(session, writer, piece=piece, choices=said, why=why, made=made)


def file_of(store: Store, number: str) -> bytes:
    """The signed file of a certificate."""
    with store.read() as session:
        sha = session.scalars(select(Certificate.file_sha256).where(Certificate.number == number)).one()
    assert sha
    return HashedFolder(store.settings.certificates).read(sha)


def ready(session: Session, **overrides: Any) -> PieceNow:
    piece = factories.a_piece(session, **overrides)
    arrive(session, piece)
    answer_all(session, piece)
    finish(session, piece)
    return piece
