"""Looks at the condition of a piece, one beside the other, and the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, abort, make_response, render_template, request, url_for

from siteapp.condition import services
from siteapp.condition.forms import SAID, SLOT_FIELDS, LookForm
from siteapp.condition.models import OCCASIONS
from siteapp.condition.report import record_of
from siteapp.dispatch.looks import SPOKEN
from siteapp.documents.pages import PAPERS
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.condition.services import Look
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("condition", __name__)


@room.get("/p/<number>/condition")
@access(FITTER)
def page(number: str) -> str:
    """Every look at the piece, in the order in which they were."""
    piece = piece_or_404(number)
    session = current.reading()
    known = services.looks(session, piece)
    return render_template(
        "condition/page.html",
        piece=piece,
        looks=known,
        before={look.entry.id: services.look_before(known, look) for look in known},
        **_shown(session, known),
    )


@room.get("/p/<number>/condition/new")
@access(FITTER)
def new(number: str) -> str:
    """Ask how the piece is, or what is right about a look that was recorded wrong."""
    piece = piece_or_404(number)
    corrects = request.args.get("corrects", "")
    known = services.looks(current.reading(), piece) if corrects else []
    before = next((one for one in known if one.entry.id == corrects and one.occasion in OCCASIONS), None)
    return _ask(piece, _filled(before) if before else LookForm())


@room.post("/p/<number>/condition/new")
@access(FITTER)
def record(number: str) -> Response:
    """Record a look."""
    piece = piece_or_404(number)
    form = LookForm(typed())

    def write(session: Session, writer: Writer) -> str:
        entry_id = services.record_look(
            session,
            writer,
            piece=piece,
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
            **{name: form[name].data for name in SAID},
        )
        return url_for("condition.page", number=piece.number, _anchor=f"look-{entry_id}")

    return save(form, write, lambda: _ask(piece, form))


@room.get("/p/<number>/condition/<uuid:entry_id>")
@access(FITTER)
def beside(number: str, entry_id: object) -> str:
    """One look beside the one before it, slot by slot, and the marks of both."""
    piece = piece_or_404(number)
    session = current.reading()
    known = services.looks(session, piece)
    look = next((one for one in known if one.entry.id == str(entry_id)), None)
    if look is None:
        abort(404)
    before = services.look_before(known, look)
    return render_template(
        "condition/beside.html",
        piece=piece,
        look=look,
        before=before,
        slots=services.slots_of(look, before) if before else [],
        **_shown(session, known),
    )


@room.get("/p/<number>/condition.pdf")
@access(FITTER)
def report(number: str) -> Response:
    """The condition report on one look (`look`, the latest without it), on `sheet` A4 or Letter."""
    sheet = request.args.get("sheet", PAPERS[0])
    if sheet not in PAPERS:
        abort(400, _("Sheet: “%(sheet)s” is not one. Choose A4 or Letter.", sheet=sheet[:40]))
    piece = piece_or_404(number)
    program = current.program()
    look_id = request.args.get("look") or None
    made = record_of(current.reading(), piece=piece, look_id=look_id, invented=program.settings.demo)
    if made is None:
        abort(404, _("There is no such look at this piece."))
    current.stop_reading()
    from siteapp.condition.pdf import report_file  # brings the design of documents along

    response = make_response(report_file(made, program.photos, sheet))
    response.headers["Content-Type"] = "application/pdf"
    day = (made.look.at or "")[:10]
    response.headers["Content-Disposition"] = f'inline; filename="condition-{piece.number}-{day}.pdf"'
    return response


def _ask(piece: PieceNow, form: LookForm) -> str:
    return render_template("condition/new.html", piece=piece, form=form)


def _shown(session: Session, known: list[Look]) -> dict[str, object]:
    people = names(session, [entry.by_id for look in known for entry in (look.entry, *look.replaced)])
    return {"people": people, "FOUND": SPOKEN, "slot_words": services.slot_words, "own": OCCASIONS}


def _filled(before: Look) -> LookForm:
    """The form as it was filled in for a look that is to be put right."""
    data = {name: getattr(before, name) for name in SAID} | {"corrects": before.entry.id}
    return LookForm(data=data | {name: before.slot(slot) for name, slot in SLOT_FIELDS.items()})
