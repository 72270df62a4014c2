"""The arrival of a piece at the site, and the climate before it is unwrapped."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, render_template, request, url_for

from siteapp.arrival import climate, rules, services
from siteapp.arrival.forms import SLOT_FIELDS, ArrivalForm, UnwrapForm
from siteapp.arrival.showing import left_with, shown
from siteapp.dispatch.looks import SPOKEN as FOUND
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.dates import now
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("arrival", __name__)
READ = ("piece_c", "air_c", "relative_humidity", "instrument")


@room.get("/p/<number>/arrival")
@access(FITTER)
def page(number: str) -> str:
    """The arrivals of a piece, and a form for one more or for putting one right."""
    piece = piece_or_404(number)
    before = _named(services.arrivals(current.reading(), piece.piece_id))
    return _page(piece, _filled(before) if before else ArrivalForm())


@room.post("/p/<number>/arrival")
@access(FITTER)
def record(number: str) -> Response:
    """Record an arrival."""
    piece = piece_or_404(number)
    session = current.reading()
    form = ArrivalForm(typed())
    form.crate_record = services.crate_record(session, piece)
    before = _named(services.arrivals(session, piece.piece_id), form.corrects.data)
    form.before = before.said if before else None

    def write(session: Session, writer: Writer) -> str:
        told = {name: form[name].data for name in ("found", "shock", "tilt", "note")}
        corrects = [form.corrects.data] if form.corrects.data else []
        services.record_arrival(session, writer, piece=piece, photos=photo_uses(form), corrects=corrects, **told)
        return url_for("arrival.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/arrival/unwrap")
@access(FITTER)
def unwrap_form(number: str) -> str:
    """Ask for the climate at the crate, before the piece is unwrapped."""
    piece = piece_or_404(number)
    session = current.reading()
    before = _named(services.unwraps(session, piece.piece_id))
    if before:
        form = UnwrapForm(data={name: getattr(before.said, name) for name in (*READ, "arrival_id")})
        form.corrects.data = before.entry.id
        form.photos.hashes.extend(before.slot("meter"))
    else:
        arrivals = services.arrivals(session, piece.piece_id)
        form = UnwrapForm(data={"arrival_id": arrivals[0].entry.id} if arrivals else None)
    return _unwrap_page(piece, form)


@room.post("/p/<number>/arrival/unwrap")
@access(FITTER)
def record_unwrap(number: str) -> Response:
    """Keep the climate at the crate and what it comes to."""
    piece = piece_or_404(number)
    form = UnwrapForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record_unwrap(
            session,
            writer,
            piece=piece,
            arrival_id=form.arrival_id.data or "",
            facts=cast("climate.UnwrapFacts", {name: form[name].data for name in READ}),
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("arrival.page", number=piece.number, _anchor="unwrapping")

    return save(form, write, lambda: _unwrap_page(piece, form))


def _page(piece: PieceNow, form: ArrivalForm) -> str:
    session = current.reading()
    arrivals = shown(session, piece)
    people = names(session, [by_id for one in arrivals for by_id in one.people()])
    # Once it has arrived the form waits behind a line: most people then come to look, not to write.
    asks = form.unsaved or bool(form.corrects.data) or not arrivals
    return render_template(
        "arrival/page.html",
        piece=piece,
        arrivals=arrivals,
        people=people,
        form=form,
        asks=asks,
        crate=services.crate_record(session, piece),
        left=left_with(session, piece) if arrivals else (),
        **_facts(),
    )


def _unwrap_page(piece: PieceNow, form: UnwrapForm) -> str:
    session = current.reading()
    arrivals = shown(session, piece)
    of = next((one for one in arrivals if services.of_arrival(one.arrived, form.arrival_id.data or "")), None)
    people = names(session, [by_id for one in arrivals for by_id in one.people()])
    return render_template("arrival/unwrap.html", piece=piece, form=form, of=of, people=people, **_facts())


def _facts() -> dict[str, Any]:
    """What the pages show beside every reading and answer."""
    words = {"SPOKEN": rules.SPOKEN, "FOUND": FOUND, "in_words": rules.indicators_in_words}
    return {**words, "assumptions": climate.assumptions(), "now": now()}


def _named(known: list[Any], entry_id: str | None = None) -> Any:
    """Which of `known` is the one of this id, or the one that the page was asked to put right; None for none."""
    wanted = entry_id or request.args.get("corrects", "")
    return next((one for one in known if one.entry.id == wanted), None)


def _filled(before: services.Arrived) -> ArrivalForm:
    """The form as it was filled in for an arrival that is to be put right."""
    said = {name: getattr(before.said, name) for name in ("found", "shock", "tilt", "note")}
    photos = {name: before.slot(slot) for name, slot in SLOT_FIELDS.items()}
    return ArrivalForm(data={**said, **photos, "corrects": before.entry.id})
