"""Pieces: made and revised, found by number or by their label, shown to strangers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import (
    Blueprint,
    abort,
    make_response,
    redirect,
    render_template,
    url_for,
)

from siteapp.jobs.views import job_or_404
from siteapp.people.services import names
from siteapp.pieces import changes, scan, services
from siteapp.pieces.build_up.rows import MADE_AS_WORDS
from siteapp.pieces.forms import PieceForm, ScanForm, data_of, fields_of
from siteapp.pieces.weighing.reading import weight_now
from siteapp.trade import piece_number
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, PUBLIC, access
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.store.entries import Writer

room = Blueprint("pieces", __name__)


@room.get("/jobs/<uuid:job_id>")
@access(FITTER)
def job(job_id: object) -> str:
    """One job with its pieces."""
    entry, said = job_or_404(str(job_id))
    pieces = services.pieces_of(current.reading(), str(job_id))
    return render_template("pieces/of_job.html", job=said, entry=entry, pieces=pieces)


@room.get("/jobs/<uuid:job_id>/pieces/new")
@access(MAKER)
def new(job_id: object) -> str:
    """Ask for a new piece's particulars."""
    _entry, said = job_or_404(str(job_id))
    return render_template("pieces/edit.html", form=PieceForm(), job=said, job_id=job_id, piece=None)


@room.post("/jobs/<uuid:job_id>/pieces/new")
@access(MAKER)
def make(job_id: object) -> Response:
    """Make a piece."""
    _entry, said = job_or_404(str(job_id))
    form = PieceForm(typed())

    def write(session: Session, writer: Writer) -> str:
        number = services.make_piece(session, writer, job_id=str(job_id), facts=_facts(form, None))
        return url_for("journey.piece", number=number)

    def again() -> str:
        return render_template("pieces/edit.html", form=form, job=said, job_id=job_id, piece=None)

    return save(form, write, again)


@room.get("/p/<number>/particulars")
@access(FITTER)
def particulars(number: str) -> str:
    """Everything said about a piece, and what each revision changed."""
    piece = piece_or_404(number)
    revisions = services.revisions(current.reading(), piece)
    people = names(current.reading(), [entry.by_id for entry, _told in revisions])
    return render_template(
        "pieces/particulars.html",
        piece=piece,
        weight=weight_now(current.reading(), piece),
        revisions=revisions,
        people=people,
        spoken=changes.spoken,
        made_as=MADE_AS_WORDS,
    )


@room.get("/p/<number>/edit")
@access(MAKER)
def edit(number: str) -> str:
    """Ask what is to be said of a piece from now on."""
    piece = piece_or_404(number)
    form = PieceForm(data=data_of(piece))
    return render_template("pieces/edit.html", form=form, piece=piece, job=None, job_id=piece.job_id)


@room.post("/p/<number>/edit")
@access(MAKER)
def revise(number: str) -> Response:
    """Revise a piece's particulars."""
    piece = piece_or_404(number)
    form = PieceForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.revise_particulars(session, writer, piece=piece, revises=form.revises.data, facts=_facts(form, piece))
        return url_for("pieces.particulars", number=piece.number)

    def again() -> str:
        return render_template("pieces/edit.html", form=form, piece=piece, job=None, job_id=piece.job_id)

    return save(form, write, again)


@room.get("/scan")
@access(PUBLIC)
def scan_page() -> str:
    """Ask for a photo of a label or its number."""
    return render_template("pieces/scan.html", form=ScanForm(), found=None)


@room.post("/scan")
@access(PUBLIC)
def find() -> Response:
    """Find the piece that a photo or a typed number names; nothing is kept."""
    form = ScanForm(typed())
    form.validate()
    numbers = services.all_numbers(current.reading()) if current.who() else []
    found = scan.find(form, current.program().settings.max_photo_bytes, numbers)
    current.stop_reading()
    if found.number:
        return redirect(url_for("journey.piece", number=found.number), 303)
    return make_response(render_template("pieces/scan.html", form=form, found=found), 422)


@room.get("/P/<number>")
@access(PUBLIC)
def upper(number: str) -> Response:
    """A label's link is in capitals, which make its QR smaller."""
    return redirect(url_for("journey.piece", number=number.upper()), 308)


def piece_or_404(number: str) -> services.PieceNow:
    """The piece with this number, however it is written, or the page that says there is none."""
    try:
        text = piece_number.parse_number(number).text
    except piece_number.BadNumber as error:
        abort(404, str(error))
    piece = services.find(current.reading(), text)
    if piece is None:
        abort(404)
    return piece


def _facts(form: PieceForm, piece: services.PieceNow | None) -> services.PieceFacts:
    """What the form says; what has a page of its own stays as it is."""
    now = services.facts_now(piece) if piece else None
    return {
        "fields": (now["fields"] if now else {}) | fields_of(form),
        "build_up": now["build_up"] if now else [],
        "hanging_points": now["hanging_points"] if now else [],
        "photos": photo_uses(form),
    }
