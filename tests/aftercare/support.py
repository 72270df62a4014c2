"""Pieces that were handed over, and facts of aftercare as somebody would type them; all invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.aftercare import services
from siteapp.handover.models import Handover
from siteapp.store import entries
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow


def hand_over(session: Session, piece: PieceNow) -> None:
    """A handover as the record has it, without the journey before it."""
    body = Handover(signed_name="A. Client (invented)", said="I take it over.", note=None, signature_sha256=None)
    writer = factories.a_writer(session)
    entries.append(session, writer, kind="handover", job_id=piece.job_id, piece_id=piece.piece_id, bodies=[body])


def handed_over(session: Session, **overrides: Any) -> PieceNow:
    piece = factories.a_piece(session, **overrides)
    hand_over(session, piece)
    return piece


def care(session: Session, piece: PieceNow, **overrides: Any) -> str:
    facts: dict[str, Any] = {"what": "Nut marks and joint", "due_on": "2026-01-31", "every_months": 1}
    return services.set_care_date(session, factories.a_writer(session), piece=piece, **(facts | overrides))


def visit(session: Session, piece: PieceNow, **overrides: Any) -> str:
    facts: dict[str, Any] = {"what": "inspected", "done_on": "2026-01-31", "done_by": "T. Hale (invented)"}
    return services.record_visit(session, factories.a_writer(session), piece=piece, **(facts | overrides))


def move(session: Session, piece: PieceNow, **overrides: Any) -> str:
    facts: dict[str, Any] = {
        "place": "a school hall",
        "address": "7 Elsewhere Lane (invented)",
        "moved_on": "2026-03-01",
        "moved_by": "Carriers (invented)",
    }
    return services.record_move(session, factories.a_writer(session), piece=piece, **(facts | overrides))


def keeper(session: Session, piece: PieceNow, **overrides: Any) -> str:
    facts: dict[str, Any] = {"name": "B. Buyer (invented)", "contact": "buyer@nowhere.example", "since": "2026-04-02"}
    return services.record_keeper(session, factories.a_writer(session), piece=piece, **(facts | overrides))
