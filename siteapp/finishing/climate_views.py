"""A climate reading: its form and its keeping."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from siteapp.finishing import climate, listed, services
from siteapp.finishing.acts import Act, ask, keep
from siteapp.finishing.forms import CLIMATE_FACTS, ERROR_FIELDS, SHEET, ClimateForm
from siteapp.finishing.room import room
from siteapp.trade.climate import MARGIN_FLOOR_C
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.saving import photo_uses

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.finishing.state import SessionState, Told
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


def _climate_form(sent: Any, piece: PieceNow, _state: SessionState, corrected: Told[Any] | None) -> ClimateForm:
    form = ClimateForm(sent, data={} if sent else _climate_offer(piece, corrected))
    form.listed.offer(listed.without_batches(current.reading()))
    chosen = form.listed.chosen
    if sent and chosen and (form.listed.asked_more or form.product.is_blank()):
        for name, text in chosen.limits.items():
            form[name].process_formdata([text])
    return form


def _climate_offer(piece: PieceNow, corrected: Told[Any] | None) -> dict[str, Any]:
    if corrected:
        return {name: getattr(corrected.said, name) for name in CLIMATE_FACTS}
    states = services.sessions(current.reading(), piece.piece_id)
    last = next((state.climate.said for state in reversed(states) if state.climate), None)
    if last is None:
        return {**climate.ERRORS, "margin_limit_c": MARGIN_FLOOR_C}
    return {name: getattr(last, name) for name in ("instrument", *ERROR_FIELDS, *SHEET)}


def _write_climate(session: Session, writer: Writer, form: Any, told: dict[str, Any]) -> None:
    facts = cast("climate.ClimateFacts", {name: form[name].data for name in CLIMATE_FACTS})
    services.record_climate(session, writer, facts=facts, photos=photo_uses(form), **told)


CLIMATE = Act("climate", lambda state: state.climates, _climate_form, _write_climate)


@room.get("/p/<number>/finishing/<uuid:session_id>/climate")
@access(FITTER)
def climate_form(number: str, session_id: object) -> str:
    """Ask for a climate reading; the limits of the last one are offered again."""
    return ask(CLIMATE, number, session_id)


@room.post("/p/<number>/finishing/<uuid:session_id>/climate")
@access(FITTER)
def record_climate(number: str, session_id: object) -> Response:
    """Keep a climate reading."""
    return keep(CLIMATE, number, session_id)
