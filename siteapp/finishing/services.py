"""Finishing sessions begun, climate read, coats applied, sessions ended: what other rooms use of this one.

Rows are written here and in `coats` and `products`, nowhere else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.finishing import climate
from siteapp.finishing.again import piece_room_again, room_again
from siteapp.finishing.coats import CoatFacts, apply_coat
from siteapp.finishing.models import ClimateReading, FinishingClose, FinishingSession, GaugeReading
from siteapp.finishing.products import batches, products
from siteapp.finishing.search import pieces_with
from siteapp.finishing.state import session_state, sessions
from siteapp.finishing.writing import ended, no_session, not_of_session, open_session
from siteapp.pieces.writing import append
from siteapp.store.errors import StoreError
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.finishing.climate import ClimateFacts
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

__all__ = [
    "CoatFacts",
    "apply_coat",
    "batches",
    "close_session",
    "correct_session",
    "gauge_words",
    "piece_room_again",
    "pieces_with",
    "products",
    "record_climate",
    "room_again",
    "session_state",
    "sessions",
    "start_session",
]


def gauge_words(session: Session, entry_id: str) -> str | None:
    """The comb-gauge readings of a coat as one would type them; None where it has none beside its wet film."""
    query = select(GaugeReading).where(GaugeReading.entry_id == entry_id).order_by(GaugeReading.position)
    rows = list(session.scalars(query))
    return " ".join(written(row.wet_um) for row in rows[1:]) or None if rows else None


def start_session(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    zone: str,
    purpose: str | None,
    ventilation: str | None = None,
    photos: Sequence[PhotoUse] = (),
) -> str:
    """Begin a stretch of surface work; returns the session's id.

    `zone` is the one that comes first and that `photos` show before; `ventilation` is what is done for air.
    """
    body = FinishingSession(zone=zone, purpose=purpose, ventilation=ventilation)
    return append(session, writer, piece, "finishing_session", body, photos=photos)


def correct_session(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    session_id: str,
    zone: str,
    purpose: str | None,
    ventilation: str | None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str],
) -> str:
    """Say something else of how a session began, also after it has ended; returns the entry's id.

    Raises StoreError when what is corrected is not its beginning, Superseded when that was corrected meanwhile.
    """
    state = session_state(session, piece.piece_id, session_id)
    if state is None:
        raise StoreError(no_session())
    earlier = {state.begun.entry.id, *(one.entry.id for one in state.corrected if one.first.id == session_id)}
    if not corrects or not earlier.issuperset(corrects):
        raise StoreError(not_of_session())
    body = FinishingSession(zone=zone, purpose=purpose, ventilation=ventilation)
    return append(session, writer, piece, "finishing_session", body, photos=photos, corrects=corrects)


def record_climate(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    session_id: str,
    facts: ClimateFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep a climate reading, the limits it is held against and what they come to; returns its entry's id.

    Raises TradeError for figures that cannot be, StoreError when the session is closed or what is corrected is not
    one of its readings, Superseded when that was corrected meanwhile.
    """
    open_session(session, piece, session_id, ClimateReading, corrects)
    found = climate.work_out(facts)
    body = ClimateReading(
        session_id=session_id,
        dew_point_c=found.dew_point_c,
        margin_c=found.margin_c,
        margin_low_c=found.margin_low_c,
        verdict=found.verdict,
        reasons="; ".join(found.reasons),
        source=found.source,
        calculation=climate.CALCULATION,
        **facts,
    )
    entry_id = append(session, writer, piece, "climate", body, photos=photos, corrects=corrects)
    open_session(session, piece, session_id, ClimateReading, corrects)  # see open_session: now nobody else can end it
    return entry_id


def close_session(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    session_id: str,
    note: str | None,
    client_words: str | None,
    client_yes: bool | None = None,
    client_name: str | None = None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """End a session; returns the entry's id.

    `photos` show the zones after; a caption names the zone where it is not the first. `client_yes` is None when nobody
    asked. Raises FieldProblem on `client_words` for a no without words, StoreError when the session has ended already,
    unless `corrects` names that ending.
    """
    open_session(session, piece, session_id, FinishingClose, corrects)
    if client_yes is False and not client_words:
        raise FieldProblem("client_words", _("What the client said: this is needed with a no."))
    body = FinishingClose(
        session_id=session_id, note=note, client_words=client_words, client_yes=client_yes, client_name=client_name
    )
    entry_id = append(session, writer, piece, "finishing_close", body, photos=photos, corrects=corrects)
    state = session_state(session, piece.piece_id, session_id)
    if state is not None and len(state.closes) > 1 and not corrects:
        raise StoreError(ended())
    return entry_id
