"""The build-up with its sizes, and the weight that comes of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, request, url_for
from markupsafe import Markup

from siteapp.drawing.plan import plan_svg
from siteapp.pieces.build_up import services
from siteapp.pieces.build_up.area import AreaForm
from siteapp.pieces.build_up.forms import BuildUpForm, data_of
from siteapp.pieces.build_up.reading import BuildUpNow, come_to
from siteapp.pieces.models import WEIGHED
from siteapp.pieces.points.reading import plan_of, said_of
from siteapp.pieces.views import piece_or_404
from siteapp.trade.by_size import MASS_SOURCE
from siteapp.trade.errors import TradeError
from siteapp.trade.weight import HEAVIEST_KG, LAMINATE_SOURCE, compare
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import Figure, typed
from siteapp.web.i18n import _
from siteapp.web.saving import save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.trade.weight import Comparison

room = Blueprint("build_up", __name__)


@room.get("/p/<number>/build-up")
@access(MAKER)
def page(number: str) -> str:
    """Show what the piece is built up of and what that weighs, and ask what it is from now on."""
    piece = piece_or_404(number)
    return _page(piece, BuildUpForm(piece=piece, data=data_of(piece)))


@room.post("/p/<number>/build-up")
@access(MAKER)
def revise(number: str) -> Response:
    """Say what the piece is built up of."""
    piece = piece_or_404(number)
    form = BuildUpForm(typed(), piece=piece)

    def write(session: Session, writer: Writer) -> str:
        services.revise_build_up(session, writer, piece=piece, revises=form.revises.data, rows=form.build_up.rows())
        return url_for("build_up.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/area")
@access(FITTER)
def area() -> tuple[str, int]:
    """Work the area of a simple shell out; nothing is recorded."""
    asked = bool(request.args)
    form = AreaForm(request.args) if asked else AreaForm()
    good = asked and form.validate()
    shell = form.shell() if good else None
    return render_template("pieces/area.html", of=form, shell=shell), 422 if asked and not good else 200


def _page(piece: PieceNow, form: BuildUpForm) -> str:
    told = form.judged()
    now = _now(form)
    return render_template(
        "pieces/build_up.html",
        piece=piece,
        form=form,
        told=told,
        now=now,
        compared=_compared(piece, now),
        drawn=_drawn(piece, now),
        sources=f"{LAMINATE_SOURCE}; {MASS_SOURCE}",
        units={name: field.unit for name, field in form.build_up.blank_row().form._fields.items() if _is_figure(field)},
    )


def _is_figure(field: object) -> bool:
    return isinstance(field, Figure)


def _now(form: BuildUpForm) -> BuildUpNow | None:
    """What the rows come to as they stand in the form; None where one of them cannot be worked with."""
    lines = [one.line for one in form.judged() if one]
    for line in lines:
        line.material = line.material or _("a line without a name")
    try:
        return come_to(lines)
    except TradeError:
        return None


def _compared(piece: PieceNow, now: BuildUpNow | None) -> Comparison | None:
    """The lines against a weight that was weighed; None where there is none, or nothing to hold it against."""
    said = piece.particulars
    if said.mass_origin != WEIGHED or now is None or now.mass_kg is None or now.mass_kg > HEAVIEST_KG:
        return None
    return compare(now.mass_kg, said.mass_kg)


def _drawn(piece: PieceNow, now: BuildUpNow | None) -> Markup | None:
    """The piece with its balance point, where both are known."""
    whole = now.whole if now else None
    if whole is None or whole.x_mm is None or whole.y_mm is None:
        return None
    plan = replace(plan_of(piece), centre=(whole.x_mm, whole.y_mm))
    title = _("Where the weight sits, by the build-up")
    return Markup(plan_svg(plan, title=title, said=said_of(plan)))  # noqa: S704 - all words were escaped
