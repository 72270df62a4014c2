"""The arrival of a piece at the site."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for

from siteapp.arrival import services
from siteapp.arrival.forms import ArrivalForm
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("arrival", __name__)


@room.get("/p/<number>/arrival")
@access(FITTER)
def page(number: str) -> str:
    """The arrivals of a piece, and a form for one more or for putting one right."""
    piece = piece_or_404(number)
    corrects = request.args.get("corrects", "")
    known = services.arrivals(current.reading(), piece.piece_id) if corrects else []
    before = next((one for one in known if one.entry.id == corrects), None)
    return _page(piece, _filled(before) if before else ArrivalForm())


@room.post("/p/<number>/arrival")
@access(FITTER)
def record(number: str) -> Response:
    """Record an arrival."""
    piece = piece_or_404(number)
    form = ArrivalForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record_arrival(
            session,
            writer,
            piece=piece,
            found=form.found.data,
            indicators=form.indicators.data,
            note=form.note.data,
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("arrival.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


def _page(piece: PieceNow, form: ArrivalForm) -> str:
    session = current.reading()
    arrivals = services.arrivals(session, piece.piece_id)
    people = names(session, [entry.by_id for one in arrivals for entry in (one.entry, *one.replaced)])
    # Once it has arrived the form waits behind a line: most people then come to look, not to write.
    asks = form.unsaved or bool(form.corrects.data) or not arrivals
    return render_template(
        "arrival/page.html", piece=piece, arrivals=arrivals, people=people, form=form, asks=asks, SLOTS=services.SLOTS
    )


def _filled(before: services.Arrived) -> ArrivalForm:
    """The form as it was filled in for an arrival that is to be put right."""
    said = before.said
    data = {"found": said.found, "indicators": said.indicators, "note": said.note, "corrects": before.entry.id}
    slots = {"front": services.FRONT, "back": services.BACK, "edges": services.EDGES, "crate": services.CRATE}
    return ArrivalForm(data=data | {name: before.slot(slot) for name, slot in slots.items()})
