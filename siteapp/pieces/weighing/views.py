"""The piece on scales."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for
from markupsafe import Markup

from siteapp.drawing.plan import PlanPad, plan_svg
from siteapp.people.services import names
from siteapp.pieces.points.reading import plan_of, said_of
from siteapp.pieces.views import piece_or_404
from siteapp.pieces.weighing import services
from siteapp.pieces.weighing.forms import WeighingForm, data_of
from siteapp.pieces.weighing.models import LYING
from siteapp.trade.weight import SCALES_SOURCE
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.pieces.weighing.reading import Weighed, WeightNow
    from siteapp.store.entries import Writer

room = Blueprint("weighing", __name__)


@room.get("/p/<number>/weighing")
@access(FITTER)
def page(number: str) -> str:
    """Show what the piece weighs and where its weight sits, and ask what scales show; or put a weighing right."""
    piece = piece_or_404(number)
    wanted = request.args.get("corrects", "")
    known = services.weighings(current.reading(), piece) if wanted else []
    before = next((one for one in known if one.entry.id == wanted), None)
    return _page(piece, WeighingForm(data=data_of(before) if before else {"revises": piece.revision.id}))


@room.post("/p/<number>/weighing")
@access(FITTER)
def record(number: str) -> Response:
    """Record what the scales showed."""
    piece = piece_or_404(number)
    form = WeighingForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record_weighing(
            session,
            writer,
            piece=piece,
            revises=form.revises.data,
            scales=form.scales.data,
            lying=form.lying.rows(),
            on_edge=form.on_edge.rows(),
            note=form.note.data,
            photos=photo_uses(form),
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("weighing.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


def _page(piece: PieceNow, form: WeighingForm) -> str:
    session = current.reading()
    done = services.weighings(session, piece)
    now = services.weight_now(session, piece)
    return render_template(
        "pieces/weighing.html",
        piece=piece,
        form=form,
        now=now,
        done=done,
        people=names(session, [one.entry.by_id for one in done]),
        drawn=_drawn(piece, now, done),
        source=SCALES_SOURCE,
    )


def _drawn(piece: PieceNow, now: WeightNow, done: Sequence[Weighed]) -> Markup:
    """The piece with the scales of the last weighing under it and its balance point, as far as they are known."""
    scales = [row for row in done[0].readings if row.way == LYING] if done else []
    plan = replace(
        plan_of(piece),
        pads=tuple(
            PlanPad(row.x_mm, row.y_mm, f"{written(row.mass_kg, 1)} kg")
            for row in scales
            if row.x_mm is not None and row.y_mm is not None
        ),
        centre=None if now.x.mm is None or now.y.mm is None else (now.x.mm, now.y.mm),
    )
    title = _("Where the scales stood and where the weight sits")
    return Markup(plan_svg(plan, title=title, said=said_of(plan)))  # noqa: S704 - all words were escaped
