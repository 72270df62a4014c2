"""The fixing pack to send, and the form that came back."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from flask import Blueprint, abort, make_response, render_template, request, url_for

from siteapp.documents.pages import PAPERS
from siteapp.hanging.pack import services, working
from siteapp.hanging.pack.forms import BackForm
from siteapp.hanging.pack.gathered import pack_of
from siteapp.hanging.template.models import FixingTemplate
from siteapp.hanging.template.services import template_now
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.store.revisions import all_bodies
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.dates import day_words, instant_words, today
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.hanging.pack.models import PackBack
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.store.revisions import Version

room = Blueprint("pack", __name__)
SHORT = 8  # of a template's id, as it stands on the form


@room.get("/p/<number>/pack")
@access(FITTER)
def page(number: str) -> str:
    """The pack to send, what came back of it, and where each part of the form stands."""
    piece = piece_or_404(number)
    session = current.reading()
    before = services.back_now(session, piece.piece_id)
    form = _filled(before) if before else BackForm(data={"filled_on": today()})
    offered = _templates(session, piece)
    if len(offered) == 1:
        form.template_id.data = offered[0][0]
    return _page(piece, form)


@room.post("/p/<number>/pack")
@access(MAKER)
def record(number: str) -> Response:
    """Record that the form came back."""
    piece = piece_or_404(number)
    form = BackForm(typed())
    form.template_id.choices = _templates(current.reading(), piece)

    def write(session: Session, writer: Writer) -> str:
        facts = services.BackFacts(
            filled_by=form.filled_by.data,
            filled_on=form.filled_on.plain() or "",
            template_id=form.template_id.data or "",
            note=form.note.data,
        )
        services.record(session, writer, piece=piece, facts=facts, photos=photo_uses(form), revises=form.revises.data)
        return url_for("pack.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/fixing-pack.pdf")
@access(FITTER)
def pdf(number: str) -> Response:
    """The fixing pack on `page` A4 or Letter, from what is recorded now."""
    paper = request.args.get("page", PAPERS[0])
    if paper not in PAPERS:
        abort(400, _("Paper: “%(paper)s” is not one. Choose A4 or Letter.", paper=paper[:40]))
    piece = piece_or_404(number)
    record = pack_of(current.reading(), piece, invented=current.program().settings.demo)
    if record is None:
        abort(404, _("There is no fixing template of this piece yet. The fixing pack is made from it: set it first."))
    current.stop_reading()
    from siteapp.documents.fixing_pack.pdf import fixing_pack_pdf  # brings the design of documents along

    response = make_response(fixing_pack_pdf(record, paper=paper))
    response.headers["Content-Type"] = "application/pdf"
    name = f"fixing-pack-{piece.number}-{record.template_short}.pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def _page(piece: PieceNow, form: BackForm) -> str:
    session = current.reading()
    stand = services.backs(session, piece.piece_id)
    form.template_id.choices = _templates(session, piece)
    return render_template(
        "hanging/pack/page.html",
        piece=piece,
        template=template_now(session, piece),
        stand=stand,
        parts_of_it=working.parts_of(session, piece),
        verdict=working.form_worked_out(session, piece).verdict,
        # Why each part is not met stands with the part.
        why=working.about_the_form(session, piece).reasons,
        templates=dict(form.template_id.choices),
        people=names(session, [entry.by_id for one in stand for entry in (one.entry, *one.replaced)]),
        day_words=lambda day: day_words(date.fromisoformat(day)),
        form=form,
        asks=form.unsaved or not stand,
        SOURCE=working.SOURCE,
    )


def _templates(session: Session, piece: PieceNow) -> list[tuple[str, str]]:
    """Every template that was ever set, the latest first, as the form names it."""
    known = all_bodies(session, FixingTemplate, piece_id=piece.piece_id)
    return [(entry.id, f"{entry.id[:SHORT]} · {instant_words(entry.happened_at)}") for entry, _said in known[::-1]]


def _filled(before: Version[PackBack]) -> BackForm:
    """The form as it was filled in for the one that came back."""
    said = before.said
    data = {
        "filled_by": said.filled_by,
        "filled_on": date.fromisoformat(said.filled_on),
        "template_id": said.template_id,
        "note": said.note,
        "photos": before.slot(services.FORM_SLOT),
        "revises": before.entry.id,
    }
    return BackForm(data=data)
