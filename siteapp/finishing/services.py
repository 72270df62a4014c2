"""Finishing sessions begun, climate read, coats applied, sessions ended. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, TypedDict

from siteapp.finishing import climate
from siteapp.finishing.again import piece_room_again, room_again
from siteapp.finishing.models import ClimateReading, Coat, FinishingClose, FinishingSession
from siteapp.finishing.names import same
from siteapp.finishing.products import batches, products
from siteapp.finishing.search import pieces_with
from siteapp.finishing.state import believed, for_coat, session_state, sessions, wait_under
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.parts import when
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.finishing.climate import ClimateFacts
    from siteapp.finishing.state import SessionState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.base import Base
    from siteapp.store.entries import PhotoUse, Writer

__all__ = [
    "apply_coat",
    "batches",
    "close_session",
    "piece_room_again",
    "pieces_with",
    "products",
    "record_climate",
    "room_again",
    "session_state",
    "sessions",
    "start_session",
]


class CoatFacts(TypedDict):
    """A coat as typed: `number` from 1, `wet_um` the wet film in µm when it was measured.

    `recoat_hours` is how long the next one waits, in h from the data sheet, None when it is not known.
    """

    product: str
    batch: str | None
    number: int
    zone: str
    wet_um: float | None
    recoat_hours: float | None
    reason: str | None
    note: str | None


def start_session(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    zone: str,
    purpose: str | None,
    photos: Sequence[PhotoUse] = (),
) -> str:
    """Begin a stretch of surface work on one zone; returns the session's id. `photos` show it before."""
    body = FinishingSession(zone=zone, purpose=purpose)
    return _append(session, writer, piece, "finishing_session", body, photos=photos)


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
    _open(session, piece, session_id, ClimateReading, corrects)
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
    entry_id = _append(session, writer, piece, "climate", body, photos=photos, corrects=corrects)
    _open(session, piece, session_id, ClimateReading, corrects)  # see _open: now nobody else can end it
    return entry_id


def apply_coat(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    session_id: str,
    facts: CoatFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep a coat with the climate it went on in; returns its entry's id.

    A correction keeps the climate of the coat it corrects. Raises FieldProblem on `reason` when none is given
    although the latest reading is absent, not met, older than four hours or of another product, or although a coat
    under it asks for more time, and on `number` when this zone has that coat already; StoreError and Superseded as
    `record_climate`.
    """
    state = _open(session, piece, session_id, Coat, corrects)
    before = next((one for one in state.coats if one.entry.id in corrects), None)
    at = before.at if before else believed(writer.at, datetime.now(UTC))
    held = for_coat(_as_then(state, before.said.climate_id) if before else state, facts["product"], at)
    _refuse_without_reason(state, facts, at, held.why_not, corrects)
    body = Coat(
        session_id=session_id,
        climate_id=held.climate.entry.id if held.climate else None,
        climate_verdict=held.verdict,
        **facts,
    )
    entry_id = _append(session, writer, piece, "coat", body, photos=photos, corrects=corrects)
    state = _open(session, piece, session_id, Coat, corrects)  # see _open: now nobody else can end it
    _refuse_twin(state, entry_id, body)
    _refuse_without_reason(state, facts, at, (), [entry_id])
    return entry_id


def close_session(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    session_id: str,
    note: str | None,
    client_words: str | None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """End a session; `photos` show the zone after, `client_words` are the client's yes. Returns the entry's id.

    Raises StoreError when it has ended already, unless `corrects` names that ending.
    """
    _open(session, piece, session_id, FinishingClose, corrects)
    body = FinishingClose(session_id=session_id, note=note, client_words=client_words)
    entry_id = _append(session, writer, piece, "finishing_close", body, photos=photos, corrects=corrects)
    state = session_state(session, piece.piece_id, session_id)
    if state is not None and len(state.closes) > 1 and not corrects:
        raise StoreError(_ended())
    return entry_id


def _append(
    session: Session,
    writer: Writer,
    piece: PieceNow,
    kind: str,
    body: Base,
    *,
    photos: Sequence[PhotoUse],
    corrects: Sequence[str] = (),
) -> str:
    entry = entries.append(
        session,
        writer,
        kind=kind,
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[body],
        photos=photos,
        corrects=corrects,
    )
    return entry.id


def _open(
    session: Session, piece: PieceNow, session_id: str, body: type[Base], corrects: Sequence[str]
) -> SessionState:
    """The session, unless it has ended. Asked before an entry is written, and again after.

    Only once the entry is written does its chain keep other writers out on PostgreSQL.
    """
    state = session_state(session, piece.piece_id, session_id)
    if state is None:
        raise StoreError(_("This piece has no such finishing session. Open the page again."))
    for entry_id in corrects:
        said = session.get(body, entry_id)
        if said is None or said.session_id != session_id:  # type: ignore[attr-defined]
            raise StoreError(_("What this corrects is not part of this session. Open the page again."))
    if state.close is not None and not corrects:
        raise StoreError(_ended())
    return state


def _as_then(state: SessionState, climate_id: str | None) -> SessionState:
    """The session with only the reading that a coat went on under, as it stands now."""
    known = (*state.climates, *state.corrected)
    first = next((one.first.id for one in known if one.entry.id == climate_id), None)
    return replace(state, climates=tuple(one for one in state.climates if one.first.id == first))


def _refuse_without_reason(
    state: SessionState, facts: CoatFacts, at: datetime, why_not: Sequence[str], apart: Sequence[str]
) -> None:
    """Refuse a coat in the wrong climate, or before the coats under it may be coated, unless it says why.

    Asked before the entry is written, so that both are said at once, and again after: see `_open`.
    """
    if facts["reason"] is not None:
        return
    wait = wait_under(state, facts["zone"], facts["number"], apart)
    if wait and at < wait.until:
        message = _(
            "Reason: the next coat of “%(zone)s” not before %(until)s (%(hours)s h after %(at)s, by the data sheet as "
            "typed). Wait, or say why the coat goes on all the same.",
            zone=wait.zone,
            until=when(wait.until),
            hours=written(wait.hours),
            at=when(wait.coat.at),
        )
        raise FieldProblem("reason", " ".join([message, *_climate_problem(why_not)]))
    for message in _climate_problem(why_not):
        raise FieldProblem("reason", message)


def _climate_problem(why_not: Sequence[str]) -> list[str]:
    if not why_not:
        return []
    words = _(
        "Reason: %(why)s. Read the climate first, or say why the coat goes on all the same.", why="; ".join(why_not)
    )
    return [words]


def _refuse_twin(state: SessionState, entry_id: str, coat: Coat) -> None:
    for other in state.coats:
        said = other.said
        if other.entry.id != entry_id and said.number == coat.number and same(said.zone, coat.zone):
            message = _(
                "Coat number: coat %(number)s of “%(zone)s” is recorded in this session already (%(product)s). "
                "Give the next number, or correct that one.",
                number=said.number,
                zone=said.zone,
                product=said.product,
            )
            raise FieldProblem("number", message)


def _ended() -> str:
    return _("This finishing session has ended. Correct what was recorded, or begin a new session.")
