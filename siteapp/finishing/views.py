"""Finishing: the sessions of a piece, one session, its climate, coats and end."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, abort, render_template, request, url_for

from siteapp.finishing import climate, mix, services
from siteapp.finishing.forms import (
    CLIMATE_FACTS,
    COAT_FACTS,
    ERROR_FIELDS,
    LIMITS,
    NAMED,
    ClimateForm,
    CloseForm,
    CoatForm,
    SessionForm,
    figures_of,
)
from siteapp.finishing.mix import MixForm
from siteapp.finishing.state import FRESH_HOURS, early_for, for_coat, next_coat, waits
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.trade.climate import MARGIN_FLOOR_C
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.finishing.state import SessionState, Told
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.web.fields import RoomForm

room = Blueprint("finishing", __name__)


@room.get("/p/<number>/finishing")
@access(FITTER)
def page(number: str) -> str:
    """The finishing sessions of a piece, and the form that begins one."""
    piece = piece_or_404(number)
    return _page(piece, SessionForm())


@room.post("/p/<number>/finishing")
@access(FITTER)
def start(number: str) -> Response:
    """Begin a session."""
    piece = piece_or_404(number)
    form = SessionForm(typed())

    def write(session: Session, writer: Writer) -> str:
        session_id = services.start_session(
            session, writer, piece=piece, zone=form.zone.data, purpose=form.purpose.data, photos=photo_uses(form)
        )
        return url_for("finishing.one", number=piece.number, session_id=session_id)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/finishing/<uuid:session_id>")
@access(FITTER)
def one(number: str, session_id: object) -> str:
    """One session: what was read, applied and said."""
    piece = piece_or_404(number)
    state = _state_or_404(piece, session_id)
    told = (state.begun, *state.climates, *state.coats, *state.closes, *state.corrected)
    people = names(current.reading(), [each.entry.by_id for each in told])
    return render_template(
        "finishing/session.html",
        piece=piece,
        state=state,
        held=for_coat(state, None),
        waits=waits(state),
        early={told.entry.id: early_for(state, told) for told in state.coats},
        now=datetime.now(UTC),
        fresh_hours=FRESH_HOURS,
        assumptions=climate.assumptions,
        people=people,
    )


@room.get("/p/<number>/finishing/<uuid:session_id>/climate")
@access(FITTER)
def climate_form(number: str, session_id: object) -> str:
    """Ask for a climate reading; the limits of the last one are offered again."""
    piece = piece_or_404(number)
    state = _state_or_404(piece, session_id)
    corrected = _corrected(state.climates)
    form = ClimateForm(data=_climate_offer(piece, corrected))
    _bring(form, corrected)
    return _form_page("climate", piece, state, form)


@room.post("/p/<number>/finishing/<uuid:session_id>/climate")
@access(FITTER)
def record_climate(number: str, session_id: object) -> Response:
    """Keep a climate reading."""
    return _save_into(number, session_id, ClimateForm(typed()), "climate", _write_climate)


@room.get("/p/<number>/finishing/<uuid:session_id>/coat")
@access(FITTER)
def coat_form(number: str, session_id: object) -> str:
    """Ask for a coat; its number and product are offered."""
    piece = piece_or_404(number)
    state = _state_or_404(piece, session_id)
    corrected = _corrected(state.coats)
    form = CoatForm(data=_coat_offer(piece, state, corrected))
    _bring(form, corrected)
    return _form_page("coat", piece, state, form)


@room.post("/p/<number>/finishing/<uuid:session_id>/coat")
@access(FITTER)
def apply_coat(number: str, session_id: object) -> Response:
    """Keep a coat."""
    return _save_into(number, session_id, CoatForm(typed()), "coat", _write_coat)


@room.get("/p/<number>/finishing/<uuid:session_id>/close")
@access(FITTER)
def close_form(number: str, session_id: object) -> str:
    """Ask for the photos after and the client's words."""
    piece = piece_or_404(number)
    state = _state_or_404(piece, session_id)
    corrected = _corrected(state.closes)
    said = corrected.said if corrected else None
    form = CloseForm(data={"note": said.note, "client_words": said.client_words} if said else None)
    _bring(form, corrected)
    return _form_page("close", piece, state, form)


@room.post("/p/<number>/finishing/<uuid:session_id>/close")
@access(FITTER)
def close(number: str, session_id: object) -> Response:
    """End a session."""
    return _save_into(number, session_id, CloseForm(typed()), "close", _write_close)


@room.get("/mix")
@access(FITTER)
def mix_page() -> tuple[str, int]:
    """Work a mix out on the laptop, as pages do by themselves; nothing is recorded."""
    form = MixForm(request.args) if request.args else MixForm()
    asked = bool(request.args)
    good = asked and form.validate()
    return render_template(
        "finishing/mix.html", **_mix_facts(form, worked_out=good)
    ), 422 if asked and not good else 200


def _mix_facts(form: MixForm, *, worked_out: bool = False) -> dict[str, Any]:
    mixed = form.mixed() if worked_out else mix.Mixed({}, None, None)
    return {
        "mix": form,
        "mixed": mixed,
        "mix_figures": {"parts": figures_of(form, mix.PARTS_FIELDS), "catalyst": figures_of(form, mix.CATALYST)},
        "mix_sources": mix.sources(),
        "mix_assumptions": mix.assumptions(),
    }


def _write_climate(session: Session, writer: Writer, form: Any, told: dict[str, Any]) -> None:
    facts = cast("climate.ClimateFacts", {name: form[name].data for name in CLIMATE_FACTS})
    services.record_climate(session, writer, facts=facts, **told)


def _write_coat(session: Session, writer: Writer, form: Any, told: dict[str, Any]) -> None:
    facts = cast("services.CoatFacts", {name: form[name].data for name in COAT_FACTS})
    services.apply_coat(session, writer, facts=facts, **told)


def _write_close(session: Session, writer: Writer, form: Any, told: dict[str, Any]) -> None:
    services.close_session(session, writer, note=form.note.data, client_words=form.client_words.data, **told)


def _save_into(
    number: str,
    session_id: object,
    form: RoomForm,
    name: str,
    call: Callable[[Session, Writer, RoomForm, dict[str, Any]], None],
) -> Response:
    piece = piece_or_404(number)
    _state_or_404(piece, session_id)

    def write(session: Session, writer: Writer) -> str:
        corrects = [form.corrects.data] if form.corrects.data else []
        photos = photo_uses(form)
        told = {"piece": piece, "session_id": str(session_id), "photos": photos, "corrects": corrects}
        call(session, writer, form, told)
        return url_for("finishing.one", number=piece.number, session_id=session_id)

    return save(form, write, lambda: _form_page(name, piece, _state_or_404(piece, session_id), form))


def _page(piece: PieceNow, form: SessionForm) -> str:
    states = services.sessions(current.reading(), piece.piece_id)
    return render_template("finishing/page.html", piece=piece, states=states[::-1], form=form)


def _form_page(name: str, piece: PieceNow, state: SessionState, form: RoomForm) -> str:
    held = for_coat(state, None)
    return render_template(
        f"finishing/{name}.html",
        piece=piece,
        state=state,
        form=form,
        held=held,
        waits=waits(state),
        now=datetime.now(UTC),
        fresh_hours=FRESH_HOURS,
        figures_of=figures_of,
        named=NAMED,
        **(_mix_facts(MixForm()) if name == "coat" else {}),
        closed=state.close is not None and not form.corrects.data,
    )


def _state_or_404(piece: PieceNow, session_id: object) -> SessionState:
    state = services.session_state(current.reading(), piece.piece_id, str(session_id))
    if state is None:
        abort(404)
    return state


def _corrected(told: Sequence[Told[Any]]) -> Told[Any] | None:
    """What the page was asked to correct, if it stands in this session."""
    wanted = request.args.get("correct", "")
    found = next((each for each in told if each.entry.id == wanted), None)
    if wanted and found is None:
        abort(404)
    return found


def _bring(form: Any, corrected: Told[Any] | None) -> None:
    if corrected:
        form.corrects.data = corrected.entry.id
        for photo in corrected.photos:
            form.photos.take(photo.sha256)


def _climate_offer(piece: PieceNow, corrected: Told[Any] | None) -> dict[str, Any]:
    if corrected:
        return {name: getattr(corrected.said, name) for name in CLIMATE_FACTS}
    states = services.sessions(current.reading(), piece.piece_id)
    last = next((state.climate.said for state in reversed(states) if state.climate), None)
    if last is None:
        return {**climate.ERRORS, "margin_limit_c": MARGIN_FLOOR_C}
    return {name: getattr(last, name) for name in ("instrument", *ERROR_FIELDS, *LIMITS)}


def _coat_offer(piece: PieceNow, state: SessionState, corrected: Told[Any] | None) -> dict[str, Any]:
    if corrected:
        return {name: getattr(corrected.said, name) for name in COAT_FACTS}
    states = services.sessions(current.reading(), piece.piece_id)
    zone = state.begun.said.zone
    last = state.coats[-1].said if state.coats else None
    return {
        "zone": zone,
        "number": next_coat(states, zone),
        "product": state.climate.said.product if state.climate else (last.product if last else None),
        "batch": last.batch if last else None,
    }
