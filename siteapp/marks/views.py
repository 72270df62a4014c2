"""Marks set on the photos of anything recorded of a piece, later, at a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, abort, render_template, request, url_for

from siteapp.marks import services, wording
from siteapp.marks.forms import MarksForm, mark_rows, photo_fields, read_marks
from siteapp.people.services import names
from siteapp.pieces.slots import WORDS
from siteapp.pieces.views import piece_or_404
from siteapp.store.models import Entry
from siteapp.store.revisions import photos_of
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import save
from siteapp.web.security import local_path

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("marks", __name__)
for helper in (wording.alt, wording.kind, wording.where, photo_fields):
    room.add_app_template_global(helper, f"marks_{helper.__name__}")


@room.get("/p/<number>/marks/<uuid:entry_id>")
@access(FITTER)
def page(number: str, entry_id: object) -> str:
    """The photos of one entry with their marks, and the form that sets them anew."""
    piece = piece_or_404(number)
    entry, photos = _photos_or_404(piece, str(entry_id))
    session = current.reading()
    stand = services.standing_sets(session, [entry.id]).get(entry.id, ())
    marks = mark_rows(services.marks_of(session, [entry.id])[entry.id], list(photos))
    data = {"marks": marks, "stands": " ".join(stand), "back": local_path(request.args.get("back"), "")}
    return _page(piece, entry, photos, MarksForm(data=data))


@room.post("/p/<number>/marks/<uuid:entry_id>")
@access(FITTER)
def record(number: str, entry_id: object) -> Response:
    """Set all marks on these photos anew."""
    piece = piece_or_404(number)
    entry, photos = _photos_or_404(piece, str(entry_id))
    form = MarksForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.set_marks(
            session,
            writer,
            piece=piece,
            of_id=entry.id,
            marks=read_marks(form, list(photos)),
            corrects=form.takes_the_place_of(),
        )
        here = url_for("marks.page", number=piece.number, entry_id=entry.id)
        return local_path(form.back.data, here)

    return save(form, write, lambda: _page(piece, entry, photos, form))


def _page(piece: PieceNow, entry: Entry, photos: dict[str, str], form: MarksForm) -> str:
    session = current.reading()
    stand = services.standing_sets(session, [entry.id]).get(entry.id, ())
    if form.newer:
        form.look_again(stand)
    return render_template(
        "marks/page.html",
        piece=piece,
        entry=entry,
        photos=photos,
        marks=services.marks_of(session, [entry.id])[entry.id],
        several=len(stand) > 1,
        back=local_path(form.back.data, ""),
        people=names(session, [entry.by_id]),
        form=form,
    )


def _photos_or_404(piece: PieceNow, entry_id: str) -> tuple[Entry, dict[str, str]]:
    """An entry of the piece and its photos: SHA-256 and caption, in order, each once."""
    session = current.reading()
    entry = session.get(Entry, entry_id)
    rows = photos_of(session, [entry_id]).get(entry_id, []) if entry and entry.piece_id == piece.piece_id else []
    if entry is None or not rows:
        abort(404, _("This piece has no such photos."))
    photos: dict[str, str] = {}
    for row in rows:
        photos.setdefault(row.sha256, row.caption or str(WORDS.get(row.slot, "")))
    return entry, photos
