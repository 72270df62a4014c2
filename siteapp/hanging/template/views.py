"""Where the piece goes, and the full-size template."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from flask import Blueprint, abort, make_response, render_template, request, url_for
from markupsafe import Markup

from siteapp.documents.template import MOST_SHEETS, PAPERS_MM, TooManySheets, cut, template_pdf
from siteapp.drawing.dxf import template_dxf
from siteapp.drawing.plan import plan_svg
from siteapp.drawing.template import trimmed
from siteapp.hanging.template import drawn, services
from siteapp.hanging.template.forms import TemplateForm, data_of, facts_of
from siteapp.people.services import names
from siteapp.pieces.points.reading import plan_of, said_of
from siteapp.pieces.views import piece_or_404
from siteapp.trade.errors import TradeError
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import save
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.hanging.template.services import TemplateNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("template", __name__)


@room.get("/p/<number>/template")
@access(FITTER)
def page(number: str) -> str:
    """Where the piece goes, the template's papers, and for makers a form to set it."""
    piece = piece_or_404(number)
    stand = services.templates(current.reading(), piece)
    return _page(piece, TemplateForm(data=data_of(stand[0])) if stand else TemplateForm())


@room.post("/p/<number>/template", endpoint="set")
@access(MAKER)
def record(number: str) -> Response:
    """Set where the piece goes and what is asked."""
    piece = piece_or_404(number)
    form = TemplateForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record(session, writer, piece=piece, facts=facts_of(form), revises=form.revises.data)
        return url_for("template.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/template.pdf")
@access(FITTER)
def pdf(number: str) -> Response:
    """The template at full size on sheets of A4, Letter or A3 (`page`)."""
    piece = _drawable_or_404(number)
    paper = request.args.get("page") or "A4"
    if paper not in PAPERS_MM:
        abort(400, _("page: “%(said)s” is not taken. Choose A4, Letter or A3.", said=paper[:40]))
    session = current.reading()
    now = services.template_now(session, piece)
    program = current.program()
    told = drawn.record_of(piece, now, maker=workshop(session).name or None, invented=program.settings.demo)
    current.stop_reading()
    try:
        made = template_pdf(told, paper=paper)
    except TooManySheets as many:
        abort(400, _too_many(many, paper))
    except TradeError as error:
        abort(400, str(error))
    return _file(made, "application/pdf", f"template-{piece.number}-{paper}.pdf", "inline")


@room.get("/p/<number>/template.dxf")
@access(FITTER)
def dxf(number: str) -> Response:
    """The template as a DXF, in millimetres."""
    piece = _drawable_or_404(number)
    now = services.template_now(current.reading(), piece)
    told = drawn.template_of(piece, now)
    current.stop_reading()
    return _file(template_dxf(told, _), "image/vnd.dxf", f"template-{piece.number}.dxf", "attachment")


def _page(piece: PieceNow, form: TemplateForm) -> str:
    session = current.reading()
    stand = services.templates(session, piece)
    now = services.template_now(session, piece)
    told = drawn.template_of(piece, now)
    return render_template(
        "hanging/template/page.html",
        piece=piece,
        form=form,
        stand=stand,
        now=now,
        asked=drawn.asked(now.version.said) if now else (),
        level=trimmed(told.level_mm - told.datum[1]),
        papers=_papers(piece, now) if drawn.drawable(piece) else (),
        people=names(session, [entry.by_id for one in stand for entry in (one.entry, *one.replaced)]),
        picture=_picture(piece, now),
        trimmed=trimmed,
    )


def _papers(piece: PieceNow, now: TemplateNow | None) -> list[tuple[str, int | None, str]]:
    """Each paper with the number of its sheets, None when they are too many, and what is to be said then."""
    told = drawn.template_of(piece, now)
    found: list[tuple[str, int | None, str]] = []
    for paper in PAPERS_MM:
        try:
            found.append((paper, len(cut(told, paper).tiles), ""))
        except TooManySheets as many:
            found.append((paper, None, _too_many(many, paper)))
        except TradeError as error:
            found.append((paper, None, str(error)))
    return found


def _picture(piece: PieceNow, now: TemplateNow | None) -> Markup | None:
    """The plan with its level line; None when there is nothing to draw."""
    if not drawn.drawable(piece):
        return None
    told = drawn.template_of(piece, now)
    plan = replace(plan_of(piece), level_mm=told.level_mm)
    title = _("Where the holes go, as seen from the front")
    return Markup(plan_svg(plan, title=title, said=said_of(plan)))  # noqa: S704 - all words were escaped


def _drawable_or_404(number: str) -> PieceNow:
    piece = piece_or_404(number)
    if not drawn.drawable(piece):
        abort(404, _("There is nothing to draw yet: give the hanging points, or width and height, first."))
    return piece


def _too_many(many: TooManySheets, paper: str) -> str:
    return _(
        "On %(paper)s it takes %(count)s sheets, more than the %(most)s that anybody joins true. Take larger paper, or "
        "the DXF to a plotter.",
        paper=paper,
        count=many.count,
        most=MOST_SHEETS,
    )


def _file(data: bytes, media_type: str, name: str, how: str) -> Response:
    response = make_response(data)
    response.headers["Content-Type"] = media_type
    response.headers["Content-Disposition"] = f'{how}; filename="{name}"'
    return response
