"""Finishing: the sessions of a piece, one session, its beginning and its end."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from flask import render_template, url_for

from siteapp.finishing import (
    climate,
    climate_views,
    coat_views,
    heading,
    product_views,
    scan_views,
    services,
    zone_views,
)
from siteapp.finishing.acts import Act, ask, keep, piece_and_state
from siteapp.finishing.film import of_zone
from siteapp.finishing.forms import NO, NOT_ASKED, YES, SessionForm, close_form_of
from siteapp.finishing.names import plain
from siteapp.finishing.room import room
from siteapp.finishing.state import FRESH_HOURS, early_for, for_coat, waits
from siteapp.finishing.tins import used
from siteapp.finishing.zone_map import zones_now
from siteapp.finishing.zones import zone_names, zones
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.store.entries import PhotoUse
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.finishing.film import ZoneFilm
    from siteapp.finishing.forms import CloseForm
    from siteapp.finishing.state import SessionState, Told
    from siteapp.finishing.zone_map import ZonesNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


# Their views are part of this room's pages.
__all__ = ["climate_views", "coat_views", "product_views", "room", "scan_views", "zone_views"]

BEGINNING = ("zone", "purpose", "ventilation")


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
        words = {name: form[name].data for name in BEGINNING}
        session_id = services.start_session(session, writer, piece=piece, photos=photo_uses(form), **words)
        return url_for("finishing.one", number=piece.number, session_id=session_id)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/finishing/<uuid:session_id>")
@access(FITTER)
def one(number: str, session_id: object) -> str:
    """One session: what was read, applied and said."""
    piece, state = piece_and_state(number, session_id)
    told = (state.begun, *state.climates, *state.coats, *state.closes, *state.corrected)
    mapped = zones_now(current.reading(), piece.piece_id)
    return render_template(
        "finishing/session.html",
        piece=piece,
        state=state,
        held=for_coat(state, None),
        zones=zones(state),
        films=_films(piece, mapped),
        mapped=mapped,
        plain=plain,
        trend=heading.trend(state),
        trend_picture=heading.drawn(state),
        waits=waits(state),
        used=used(state),
        again=services.room_again(state),
        early={told.entry.id: early_for(state, told) for told in state.coats},
        now=datetime.now(UTC),
        fresh_hours=FRESH_HOURS,
        assumptions=climate.assumptions,
        people=names(current.reading(), [each.entry.by_id for each in told]),
    )


def _films(piece: PieceNow, mapped: ZonesNow | None) -> dict[str, ZoneFilm]:
    """The film on each zone over all sessions, by its plain name."""
    session = current.reading()
    coats: dict[str, list[Told[Any]]] = {}
    for state in services.sessions(session, piece.piece_id):
        for coat in state.coats:
            coats.setdefault(plain(coat.said.zone), []).append(coat)
    listed = {one.product_id: one.said for one in services.products(session)}
    return {
        name: of_zone(told, mapped.zone(name) if mapped else None, listed.get(told[-1].said.product_id or ""))
        for name, told in coats.items()
    }


def _begin_form(sent: Any, piece: PieceNow, _state: SessionState, corrected: Told[Any] | None) -> SessionForm:
    said = corrected.said if corrected else None
    form = SessionForm(sent, data={name: getattr(said, name) for name in BEGINNING} if said else None)
    form.zone.suggestions = zone_names(services.sessions(current.reading(), piece.piece_id))
    return form


def _correct_session(session: Session, writer: Writer, form: Any, told: dict[str, Any]) -> None:
    words = {name: form[name].data for name in BEGINNING}
    services.correct_session(session, writer, photos=photo_uses(form), **words, **told)


def _close_form(sent: Any, _piece: PieceNow, state: SessionState, corrected: Told[Any] | None) -> CloseForm:
    data: dict[str, Any] = {}
    if corrected:
        said = corrected.said
        data = {name: getattr(said, name) for name in ("note", "client_words", "client_name")}
        data["client_yes"] = {True: YES, False: NO}.get(said.client_yes, NOT_ASKED)
    first, *others = zone_names([state])
    form = close_form_of(sent, zones=others, data=data)
    if form.zones():
        form.photos.label.text = _("Photos after: %(zone)s", zone=first)
    return form


def _write_close(session: Session, writer: Writer, form: Any, told: dict[str, Any]) -> None:
    photos = [PhotoUse(sha, slot=form.photos.slot) for sha in form.photos.hashes]
    for zone, field in form.zones():
        photos += [PhotoUse(sha, slot=field.slot, caption=zone.data) for sha in field.hashes]
    words = {name: form[name].data for name in ("note", "client_words", "client_name")}
    services.close_session(session, writer, client_yes=form.said_yes, photos=photos, **words, **told)


BEGIN = Act("beginning", lambda state: (state.begun,), _begin_form, _correct_session)
CLOSE = Act("close", lambda state: state.closes, _close_form, _write_close)


@room.get("/p/<number>/finishing/<uuid:session_id>/beginning")
@access(FITTER)
def begin_form(number: str, session_id: object) -> str:
    """Ask what is to be said of the beginning, what was done for air too."""
    return ask(BEGIN, number, session_id)


@room.post("/p/<number>/finishing/<uuid:session_id>/beginning")
@access(FITTER)
def correct_beginning(number: str, session_id: object) -> Response:
    """Correct the beginning."""
    return keep(BEGIN, number, session_id)


@room.get("/p/<number>/finishing/<uuid:session_id>/close")
@access(FITTER)
def close_form(number: str, session_id: object) -> str:
    """Ask for the photos after, and for the client's yes."""
    return ask(CLOSE, number, session_id)


@room.post("/p/<number>/finishing/<uuid:session_id>/close")
@access(FITTER)
def close(number: str, session_id: object) -> Response:
    """End a session."""
    return keep(CLOSE, number, session_id)


def _page(piece: PieceNow, form: SessionForm) -> str:
    session = current.reading()
    states = services.sessions(session, piece.piece_id)
    form.zone.suggestions = zone_names(states)
    return render_template(
        "finishing/page.html",
        piece=piece,
        states=states[::-1],
        form=form,
        again=services.piece_room_again(session, piece.piece_id),
        now=datetime.now(UTC),
    )
