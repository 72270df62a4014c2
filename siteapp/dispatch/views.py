"""The crate and the look before dispatch."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import Blueprint, render_template, request, url_for

from siteapp.checks import services as checks
from siteapp.dispatch import services
from siteapp.dispatch.forms import CRATE_FIELDS, SLOT_FIELDS, CrateForm, LookForm
from siteapp.dispatch.looks import SPOKEN
from siteapp.dispatch.weights import held
from siteapp.marks.services import marks_of
from siteapp.people.services import names
from siteapp.pieces.slots import WORDS
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import Figure, typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("dispatch", __name__)


@room.get("/p/<number>/dispatch")
@access(FITTER)
def page(number: str) -> str:
    """The crate as it is now and what changed, and how the piece looked before it was packed."""
    piece = piece_or_404(number)
    session = current.reading()
    stand = services.crates(session, piece.piece_id)
    revisions = services.crate_revisions(session, piece.piece_id)
    looks = services.dispatches(session, piece.piece_id)
    wrote = [entry for entry, _changes in revisions]
    wrote += [entry for one in looks for entry in (one.entry, *one.replaced)]
    return render_template(
        "dispatch/page.html",
        piece=piece,
        crates=[(entry, said, held(said, piece.particulars)) for entry, said in reversed(stand)],
        revisions=revisions,
        looks=looks,
        marks=marks_of(session, [one.entry.id for one in looks]),
        people=names(session, [entry.by_id for entry in wrote]),
        ready=checks.state(session, piece, checks.READY),
        SPOKEN=SPOKEN,
        WORDS=WORDS,
        labels={name: (field.label.text, _unit(field)) for name, field in CrateForm()._fields.items()},
    )


@room.get("/p/<number>/dispatch/crate")
@access(FITTER)
def crate_form(number: str) -> str:
    """Ask what the piece travels in; what was said last is offered again."""
    piece = piece_or_404(number)
    found = services.crate_now(current.reading(), piece.piece_id)
    form = CrateForm(data={**services.crate_facts(found[1]), "revises": found[0].id} if found else None)
    return _crate_page(piece, form)


@room.post("/p/<number>/dispatch/crate")
@access(FITTER)
def describe_crate(number: str) -> Response:
    """Describe the crate, anew or for the first time."""
    piece = piece_or_404(number)
    form = CrateForm(typed())

    def write(session: Session, writer: Writer) -> str:
        facts = cast("services.CrateFacts", {name: form[name].data for name in CRATE_FIELDS})
        services.describe_crate(session, writer, piece=piece, facts=facts, revises=form.revises.data)
        return url_for("dispatch.page", number=piece.number)

    return save(form, write, lambda: _crate_page(piece, form))


@room.get("/p/<number>/dispatch/look")
@access(FITTER)
def look_form(number: str) -> str:
    """Ask for photos before the piece is packed, and what was found; or put such a look right."""
    piece = piece_or_404(number)
    wanted = request.args.get("corrects", "")
    known = services.dispatches(current.reading(), piece.piece_id) if wanted else []
    before = next((one for one in known if one.entry.id == wanted), None)
    return _look_page(piece, _filled(before) if before else LookForm())


@room.post("/p/<number>/dispatch/look")
@access(FITTER)
def record(number: str) -> Response:
    """Record how the piece looked before it was packed."""
    piece = piece_or_404(number)
    form = LookForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record_dispatch(
            session,
            writer,
            piece=piece,
            found=form.found.data,
            packed_by=form.packed_by.data,
            note=form.note.data,
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("dispatch.page", number=piece.number, _anchor="looks")

    return save(form, write, lambda: _look_page(piece, form))


def _crate_page(piece: PieceNow, form: CrateForm) -> str:
    return render_template("dispatch/crate.html", piece=piece, form=form)


def _look_page(piece: PieceNow, form: LookForm) -> str:
    return render_template("dispatch/look.html", piece=piece, form=form)


def _filled(before: services.Dispatched) -> LookForm:
    """The form as it was filled in for a look that is to be put right."""
    said = {name: getattr(before.said, name) for name in ("found", "packed_by", "note")}
    photos = {name: before.slot(slot) for name, slot in SLOT_FIELDS.items()}
    return LookForm(data={**said, **photos, "corrects": before.entry.id})


def _unit(field: object) -> str:
    return field.unit if isinstance(field, Figure) else ""
