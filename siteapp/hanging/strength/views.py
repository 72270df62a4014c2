"""The piece's own strength: each hanging point with its proof and its load, and a form to say how they were proved."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, url_for

from siteapp.hanging.strength import judging, services
from siteapp.hanging.strength.forms import PROOF_WORDS, StrengthForm, lines_of
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.trade.strength import ASSUMPTIONS, COUPON, COUPON_ASSUMPTIONS, SOURCE
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, Access, access
from siteapp.web.dates import day_words
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.hanging.strength.services import StrengthNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("strength", __name__)


@room.get("/p/<number>/strength")
@access(FITTER)
def page(number: str) -> str:
    """What the piece's own hanging points were proved for, and what they must carry."""
    piece = piece_or_404(number)
    return _page(piece, None)


@room.post("/p/<number>/strength")
@access(MAKER)
def record(number: str) -> Response:
    """Say how the hanging points were proved."""
    piece = piece_or_404(number)
    form = StrengthForm(typed())
    known = _labels(piece)

    def write(session: Session, writer: Writer) -> str:
        services.record(
            session,
            writer,
            piece=piece,
            points=form.facts(known),
            note=form.note.data,
            photos=photo_uses(form),
            revises=form.revises.data,
        )
        return url_for("strength.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


def _page(piece: PieceNow, form: StrengthForm | None) -> str:
    session = current.reading()
    now = services.strength_now(session, piece)
    stand = services.told(session, piece.piece_id)
    person = current.who()
    maker = person is not None and person.level >= Access.MAKER
    form = form or (_filled(piece, now) if maker and piece.hanging_points else None)
    wrote = [entry for one in stand for entry in (one.entry, *one.replaced)]
    coupon = any(one.said is not None and one.said.proof == COUPON for one in now.points)
    return render_template(
        "hanging/strength/page.html",
        piece=piece,
        now=now,
        stand=stand,
        form=form,
        maker=maker,
        people=names(session, [entry.by_id for entry in wrote]),
        assumptions=ASSUMPTIONS + (COUPON_ASSUMPTIONS if coupon else ()),
        SOURCE=SOURCE,
        PROOF_WORDS=PROOF_WORDS,
        load_words=judging.load_words,
        proof_words=judging.proof_words,
        day_words=lambda day: day_words(date.fromisoformat(day)),
    )


def _filled(piece: PieceNow, now: StrengthNow) -> StrengthForm:
    """The form as it stands told; points of which nothing is told stand together in its last line."""
    said = [one.said for one in now.points if one.said is not None]
    form = StrengthForm(data={"points": lines_of(said, _labels(piece))})
    if now.version:
        form.revises.data = now.version.entry.id
        form.note.data = now.version.said.note
        form.photos.hashes.extend(now.version.slot(services.SLOT))
    return form


def _labels(piece: PieceNow) -> list[str]:
    return [point.label for point in piece.hanging_points]
