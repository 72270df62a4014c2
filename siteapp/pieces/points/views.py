"""Hanging points of a piece: typed from the front or from the back, drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, url_for
from markupsafe import Markup

from siteapp.drawing.plan import Plan, from_the_back, plan_svg
from siteapp.pieces.models import HangingPoint
from siteapp.pieces.points import reading, services
from siteapp.pieces.points.forms import PointsForm, data_of, turned
from siteapp.pieces.views import piece_or_404
from siteapp.web.access import MAKER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("points", __name__)


@dataclass(frozen=True)
class Drawn:
    """The piece from both sides, and one point's places in words; without a width only the front."""

    front: Markup
    back: Markup | None
    mirror: str | None


@room.get("/p/<number>/points")
@access(MAKER)
def page(number: str) -> str:
    """Show where the hanging points are, and ask where they are to be from now on."""
    piece = piece_or_404(number)
    form = PointsForm(piece=piece, data=data_of(piece))
    return _page(piece, form)


@room.post("/p/<number>/points")
@access(MAKER)
def revise(number: str) -> Response:
    """Say where the hanging points are."""
    piece = piece_or_404(number)
    form = PointsForm(typed(), piece=piece)

    def write(session: Session, writer: Writer) -> str:
        services.revise_points(
            session,
            writer,
            piece=piece,
            revises=form.revises.data,
            measured_from=form.measured_from.data,
            rows=form.hanging_points.rows(),
        )
        return url_for("points.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


def _page(piece: PieceNow, form: PointsForm) -> str:
    return render_template("pieces/points.html", piece=piece, form=form, drawn=_drawn(piece, form))


def _drawn(piece: PieceNow, form: PointsForm) -> Drawn:
    """Both drawings from what stands in the form, as far as it can be read."""
    rows = turned(form.hanging_points.rows(), form.measured_from.data, piece.particulars.width_mm)
    points = [HangingPoint(**row) for row in rows if row["x_mm"] is not None and row["y_mm"] is not None]
    for point in points:
        point.label = point.label or "?"
    front = reading.plan_of(piece, points)
    title = _("Hanging points from the front")
    drawn = Markup(plan_svg(front, title=title, said=reading.said_of(front)))  # noqa: S704 - all words were escaped
    if piece.particulars.width_mm is None:
        return Drawn(drawn, None, None)
    back = from_the_back(front, seen=_("seen from the back"))
    title = _("Hanging points from the back")
    behind = Markup(plan_svg(back, title=title, said=reading.said_of(back)))  # noqa: S704 - as above
    return Drawn(drawn, behind, _mirror(front))


def _mirror(front: Plan) -> str | None:
    """Where the point that is furthest from the middle appears from either side."""
    middle = (front.width_mm or 0.0) / 2
    aside = [point for point in front.points if point.x_mm != middle]
    if not aside:
        return None
    point = max(aside, key=lambda one: abs(one.x_mm - middle))
    if point.x_mm < middle:
        return _("%(label)s is on the left from the front, and on the right from the back.", label=point.label)
    return _("%(label)s is on the right from the front, and on the left from the back.", label=point.label)
