"""What was agreed with the client about a piece: stages of making, changes, and what shows them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from flask import Blueprint, abort, render_template, request, url_for

from siteapp.people.services import names
from siteapp.pieces import services
from siteapp.pieces.forms import AgreedForm, agreed_data_of
from siteapp.pieces.views import piece_or_404
from siteapp.web import current, dates
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("agreed", __name__)


@room.get("/p/<number>/agreed")
@access(FITTER)
def page(number: str) -> str:
    """What was agreed about a piece, in order."""
    piece = piece_or_404(number)
    session = current.reading()
    told = services.agreed_of(session, piece.piece_id)
    return render_template(
        "pieces/agreed.html",
        piece=piece,
        told=told,
        day_words=_day_words,
        people=names(session, [one.entry.by_id for one in told]),
    )


@room.get("/p/<number>/agreed/new")
@access(MAKER)
def new(number: str) -> str:
    """Ask what was agreed, or what is wrong in what was noted."""
    piece = piece_or_404(number)
    corrects = request.args.get("corrects", "")
    if not corrects:
        return _form_page(piece, AgreedForm())
    told = services.agreed_of(current.reading(), piece.piece_id)
    before = next((one for one in told if one.entry.id == corrects), None)
    if before is None:
        abort(404)
    return _form_page(piece, AgreedForm(data=agreed_data_of(before)))


@room.post("/p/<number>/agreed/new")
@access(MAKER)
def agree(number: str) -> Response:
    """Keep what was agreed."""
    piece = piece_or_404(number)
    form = AgreedForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.agree(
            session,
            writer,
            piece=piece,
            facts={
                "about": form.about.data,
                "what": form.what.data,
                "agreed_on": form.agreed_on.data.isoformat(),
                "agreed_by": form.agreed_by.data,
                "said": form.said.data,
                "evidence": form.evidence.data,
            },
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("agreed.page", number=piece.number)

    return save(form, write, lambda: _form_page(piece, form))


def _form_page(piece: PieceNow, form: AgreedForm) -> str:
    return render_template("pieces/agree.html", piece=piece, form=form)


def _day_words(day: str) -> str:
    return dates.day_words(date.fromisoformat(day))
