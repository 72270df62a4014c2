"""The touch-up recipe and kit."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, render_template, url_for

from siteapp.finishing.kit import services
from siteapp.finishing.kit.forms import LONGEST_RECIPE, KitForm
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

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("kit", __name__)


@room.get("/p/<number>/touch-up")
@access(FITTER)
def page(number: str) -> str:
    """The kit as it stands, and a form: what was kept, or what is put together from the record."""
    piece = piece_or_404(number)
    return _page(piece, _filled(piece))


@room.post("/p/<number>/touch-up")
@access(FITTER)
def keep(number: str) -> Response:
    """Keep recipe and kit."""
    piece = piece_or_404(number)
    form = KitForm(typed())

    def write(session: Session, writer: Writer) -> str:
        items: list[dict[str, Any]] = [
            row | {"keeps_until": row["keeps_until"].isoformat() if row["keeps_until"] else None}
            for row in form.items.rows()
        ]
        services.keep(
            session,
            writer,
            piece=piece,
            recipe=form.recipe.data,
            assembled=form.assembled.data,
            items=cast("list[services.ItemFacts]", items),
            kept=form.kept.data,
            note=form.note.data,
            photos=photo_uses(form),
            revises=form.revises.data,
        )
        return url_for("kit.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


def _filled(piece: PieceNow) -> KitForm:
    session = current.reading()
    assembled = services.assemble(session, piece.piece_id)
    now = services.kit_now(session, piece.piece_id)
    if now is None:
        items = [_row(item) for item in services.offered(session, piece.piece_id)]
        return KitForm(data={"recipe": (assembled or "")[:LONGEST_RECIPE], "assembled": assembled, "items": items})
    rows = [_row({name: getattr(item, name) for name in services.ItemFacts.__annotations__}) for item in now.items]
    said = now.version.said
    data = {"recipe": said.recipe, "assembled": assembled, "kept": said.kept, "note": said.note, "items": rows}
    return KitForm(data=data | {"photos": now.version.slot(services.KIT), "revises": now.version.entry.id})


def _row(item: Any) -> dict[str, Any]:
    return dict(item) | {"keeps_until": date.fromisoformat(item["keeps_until"]) if item["keeps_until"] else None}


def _page(piece: PieceNow, form: KitForm) -> str:
    session = current.reading()
    now = services.kit_now(session, piece.piece_id)
    return render_template(
        "finishing/kit/page.html",
        piece=piece,
        now=now,
        form=form,
        asks=form.unsaved or now is None,
        assembled=services.assemble(session, piece.piece_id),
        today=today(),
        day_words=lambda day: day_words(date.fromisoformat(day)),
        people=names(session, [now.version.entry.by_id] if now else []),
    )
