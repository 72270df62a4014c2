"""Snags of a piece: raised, cleared, accepted as left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, abort, redirect, render_template, request, url_for

from siteapp.marks.forms import read_marks
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.snags import services
from siteapp.snags.forms import LONGEST_NAME, AcceptForm, ClearForm, SnagForm
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _, _l
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.snags.services import SnagNow
    from siteapp.store.entries import Writer

room = Blueprint("snags", __name__)
ENDINGS = {
    services.CLEARED: _l("cleared"),
    services.ACCEPTED: _l("left as it is, accepted by the client"),
    services.CHECK_MET: _l("ended: its check is met"),
    services.TAKEN_BACK: _l("ended: the answer that raised it was taken back"),
}


@room.get("/p/<number>/snags")
@access(FITTER)
def page(number: str) -> str:
    """The snags of a piece, open ones first, and a form to raise one.

    `?raise=1` shows the form at once, `?place=` fills in where, `?again=` the words and the place of a snag that ended.
    """
    piece = piece_or_404(number)
    place, again = request.args.get("place", "")[:LONGEST_NAME], request.args.get("again", "")
    before = services.find_snag(current.reading(), piece.piece_id, again) if again else None
    if before:
        return _page(piece, SnagForm(data={"what": before.said.words, "place": before.said.place}), asks=True)
    return _page(piece, SnagForm(data={"place": place} if place else None), asks=bool(place or "raise" in request.args))


@room.post("/p/<number>/snags")
@access(FITTER)
def record(number: str) -> Response:
    """Raise a snag."""
    piece = piece_or_404(number)
    form = SnagForm(typed())

    def write(session: Session, writer: Writer) -> str:
        photos = photo_uses(form)
        snag_id = services.raise_snag(
            session,
            writer,
            piece=piece,
            words=form.what.data,
            place=form.place.data,
            photos=photos,
            marks=read_marks(form, [photo.sha256 for photo in photos]),
        )
        return url_for("snags.one", number=piece.number, snag_id=snag_id)

    return save(form, write, lambda: _page(piece, form, asks=True))


@room.get("/p/<number>/snags/<uuid:snag_id>")
@access(FITTER)
def one(number: str, snag_id: object) -> str:
    """One snag: its photos with their marks, where it came from, how it ended or can end."""
    piece = piece_or_404(number)
    return _one(piece, _snag_or_404(piece, snag_id), ClearForm(), AcceptForm())


@room.post("/p/<number>/snags/<uuid:snag_id>")
@access(FITTER)
def clear(number: str, snag_id: object) -> Response:
    """A snag is put right."""
    piece = piece_or_404(number)
    snag = _snag_or_404(piece, snag_id)
    form = ClearForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.clear_snag(
            session, writer, piece=piece, snag_id=snag.entry.id, said=form.done.data, photos=photo_uses(form)
        )
        return url_for("snags.one", number=piece.number, snag_id=snag.entry.id)

    return save(form, write, lambda: _one(piece, _snag_or_404(piece, snag_id), form, AcceptForm()))


@room.post("/p/<number>/snags/<uuid:snag_id>/accepted")
@access(MAKER)
def accept(number: str, snag_id: object) -> Response:
    """The client accepts a snag as it is."""
    piece = piece_or_404(number)
    snag = _snag_or_404(piece, snag_id)
    form = AcceptForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.accept_snag(
            session,
            writer,
            piece=piece,
            snag_id=snag.entry.id,
            accepted_by=form.accepted_by.data,
            said=form.client_words.data,
        )
        return url_for("snags.one", number=piece.number, snag_id=snag.entry.id)

    return save(form, write, lambda: _one(piece, _snag_or_404(piece, snag_id), ClearForm(), form))


@room.get("/p/<number>/snags/<uuid:snag_id>/accepted")
@access(FITTER)
def accepted(number: str, snag_id: object) -> Response:
    """Lead back to the snag: a refused acceptance stays under this address, and may be opened again."""
    return redirect(url_for("snags.one", number=number, snag_id=snag_id), 303)


def _page(piece: PieceNow, form: SnagForm, *, asks: bool) -> str:
    session = current.reading()
    snags = services.snags(session, piece.piece_id)
    return render_template(
        "snags/page.html",
        piece=piece,
        open=[snag for snag in snags if snag.open],
        # What ended last is looked for first.
        ended=sorted((snag for snag in snags if not snag.open), key=lambda snag: snag.end.recorded_at, reverse=True),
        form=form,
        asks=asks or not snags,
        ENDINGS=ENDINGS,
    )


def _one(piece: PieceNow, snag: SnagNow, clear: ClearForm, accept: AcceptForm) -> str:
    told = [entry for entry in (snag.entry, snag.end) if entry]
    who = current.who()
    return render_template(
        "snags/one.html",
        piece=piece,
        snag=snag,
        people=names(current.reading(), [entry.by_id for entry in told]),
        form=accept if accept.unsaved else clear,
        clear=clear,
        accept=accept,
        may_accept=who is not None and who.level >= MAKER,
        ENDINGS=ENDINGS,
    )


def _snag_or_404(piece: PieceNow, snag_id: object) -> SnagNow:
    snag = services.find_snag(current.reading(), piece.piece_id, str(snag_id))
    if snag is None:
        abort(404, _("This piece has no such snag."))
    return snag
