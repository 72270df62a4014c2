"""The crate's way in: its steps, the first obstacle, a form for it."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, render_template, url_for

from siteapp.dispatch.services import crate_now
from siteapp.hanging.route import services
from siteapp.hanging.route.forms import NO, YES, RouteForm
from siteapp.hanging.route.wording import KIND_WORDS, SHOWN_FOR, TURN_WORDS, WAY_WORDS, WAYS_UP_WORDS
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.dates import day_words, today
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.hanging.route.services import RouteNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("route", __name__)


@room.get("/p/<number>/route")
@access(FITTER)
def page(number: str) -> str:
    """The way in as it was described last, where it stops, and a form to describe it again."""
    piece = piece_or_404(number)
    now = services.route_now(current.reading(), piece)
    return _page(piece, now, _filled(now) if now else RouteForm(data={"measured_on": today()}))


@room.post("/p/<number>/route")
@access(FITTER)
def record(number: str) -> Response:
    """Describe the way in."""
    piece = piece_or_404(number)
    form = RouteForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record(
            session,
            writer,
            piece=piece,
            facts=cast("services.RouteFacts", form.facts()),
            steps=cast("list[services.StepFacts]", form.steps.rows()),
            photos=photo_uses(form),
            revises=form.revises.data,
        )
        return url_for("route.page", number=piece.number)

    return save(form, write, lambda: _page(piece, services.route_now(current.reading(), piece), form))


def _page(piece: PieceNow, now: RouteNow | None, form: RouteForm) -> str:
    session = current.reading()
    described = crate_now(session, piece.piece_id)
    written = (now.version.entry, *now.version.replaced) if now else ()
    return render_template(
        "hanging/route/page.html",
        piece=piece,
        now=now,
        crate=described[1] if described else None,
        people=names(session, [entry.by_id for entry in written]),
        form=form,
        asks=form.unsaved or now is None,
        day_words=lambda day: day_words(date.fromisoformat(day)),
        KIND_WORDS=KIND_WORDS,
        WAYS_UP_WORDS=WAYS_UP_WORDS,
        TURN_WORDS=TURN_WORDS,
        WAY_WORDS=WAY_WORDS,
        SHOWN_FOR=SHOWN_FOR,
    )


def _day(day: str | None) -> date | None:
    return date.fromisoformat(day) if day else None


def _filled(now: RouteNow) -> RouteForm:
    """The form as it was filled in for the way that stands."""
    said = now.version.said
    data: dict[str, Any] = {name: getattr(said, name) for name in ("ways_up", "room_mm", "measured_by", "note")}
    data["may_tilt"] = None if said.may_tilt is None else YES if said.may_tilt else NO
    data["measured_on"] = _day(said.measured_on)
    data["steps"] = [{name: getattr(row, name) for name in services.StepFacts.__annotations__} for row in now.steps]
    data["photos"] = now.version.slot(services.SLOT)
    return RouteForm(data=data | {"revises": now.version.entry.id})
