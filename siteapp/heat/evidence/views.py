"""Fire evidence, and how warm each part may get."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, abort, render_template, request, url_for

from siteapp.heat import wording
from siteapp.heat.evidence import services
from siteapp.heat.evidence.forms import COUPON_WORDS, EvidenceForm, LimitsForm
from siteapp.heat.evidence.models import PARTS
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.dates import day_words
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("evidence", __name__)


@room.get("/p/<number>/heat/evidence")
@access(FITTER)
def page(number: str) -> str:
    """The reports that stand, and a form to add one or, with `?correct=`, to put one right."""
    piece = piece_or_404(number)
    wanted = request.args.get("correct", "")
    found = services.evidence(current.reading(), piece.piece_id)
    before = next((one for one in found if one.entry.id == wanted), None)
    if wanted and before is None:
        abort(404)
    if before is None:
        return _page(piece, EvidenceForm(data={"covers_not": str(COUPON_WORDS)}))
    data: dict[str, Any] = {name: getattr(before.said, name) for name in services.EvidenceFacts.__annotations__}
    data["reported_on"] = date.fromisoformat(before.said.reported_on) if before.said.reported_on else None
    return _page(piece, EvidenceForm(data=data | {"photos": before.slot(services.REPORT), "corrects": wanted}))


@room.post("/p/<number>/heat/evidence")
@access(MAKER)
def record(number: str) -> Response:
    """Keep a report."""
    piece = piece_or_404(number)
    form = EvidenceForm(typed())

    def write(session: Session, writer: Writer) -> str:
        said = {name: form[name].data for name in services.EvidenceFacts.__annotations__}
        said["reported_on"] = form.reported_on.plain()
        services.record_evidence(
            session,
            writer,
            piece=piece,
            facts=cast("services.EvidenceFacts", said),
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("evidence.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/heat/limits")
@access(FITTER)
def limits(number: str) -> str:
    """The limits as they stand, and a form to say them again."""
    piece = piece_or_404(number)
    return _limits_page(piece, _limits_filled(piece))


@room.post("/p/<number>/heat/limits")
@access(MAKER)
def record_limits(number: str) -> Response:
    """Keep the limits."""
    piece = piece_or_404(number)
    form = LimitsForm(typed())

    def write(session: Session, writer: Writer) -> str:
        rows = cast("list[services.LimitFacts]", form.limits.rows())
        services.record_limits(
            session, writer, piece=piece, limits=rows, note=form.note.data, revises=form.revises.data
        )
        return url_for("evidence.limits", number=piece.number)

    return save(form, write, lambda: _limits_page(piece, form))


def _page(piece: PieceNow, form: EvidenceForm) -> str:
    session = current.reading()
    found = services.evidence(session, piece.piece_id)
    return render_template(
        "heat/evidence/page.html",
        piece=piece,
        found=found,
        form=form,
        people=names(session, [one.entry.by_id for one in found]),
        day_words=lambda day: day_words(date.fromisoformat(day)),
        words=wording,
    )


def _limits_page(piece: PieceNow, form: LimitsForm) -> str:
    session = current.reading()
    now = services.limits_now(session, piece.piece_id)
    known = {part: value for part, value in now.known.items() if value is not None}
    return render_template(
        "heat/evidence/limits.html",
        piece=piece,
        now=now,
        weakest=min(known, key=lambda part: known[part], default=None),
        form=form,
        asks=form.unsaved or now.version is None,
        people=names(session, [now.version.entry.by_id] if now.version else []),
        words=wording,
    )


def _limits_filled(piece: PieceNow) -> LimitsForm:
    now = services.limits_now(current.reading(), piece.piece_id)
    if now.version is None:
        return LimitsForm(data={"limits": [{"part": part} for part in PARTS]})
    rows = [{name: getattr(row, name) for name in services.LimitFacts.__annotations__} for row in now.rows]
    return LimitsForm(data={"limits": rows, "note": now.version.said.note, "revises": now.version.entry.id})
