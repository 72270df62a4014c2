"""The lift: who, how, in which order, and the hanging plan on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, abort, make_response, render_template, request, url_for

from siteapp.dispatch.services import crate_now
from siteapp.documents.pages import PAPERS
from siteapp.hanging.lifting import services
from siteapp.hanging.lifting.forms import LiftForm
from siteapp.hanging.lifting.gathered import how_words, plan_record
from siteapp.hanging.lifting.models import NO_AID, STEPS
from siteapp.hanging.lifting.wording import SHOWN_FOR, STEP_WORDS
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.pieces.weighing.services import weight_now
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.hanging.lifting.services import LiftNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("lifting", __name__)
CRATED = ("unload", "carry")


@room.get("/p/<number>/lift")
@access(FITTER)
def page(number: str) -> str:
    """The plan as it was made last, what it comes to, and for a maker a form to make it anew."""
    piece = piece_or_404(number)
    now = services.lift_now(current.reading(), piece)
    return _page(piece, now, _filled(now) if now else _fresh())


@room.post("/p/<number>/lift")
@access(MAKER)
def record(number: str) -> Response:
    """Plan the lift."""
    piece = piece_or_404(number)
    form = LiftForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record(
            session,
            writer,
            piece=piece,
            facts=cast("services.PlanFacts", {name: form[name].data for name in services.PlanFacts.__annotations__}),
            steps=cast("list[services.StepFacts]", form.rows()),
            revises=form.revises.data,
        )
        return url_for("lifting.page", number=piece.number)

    return save(form, write, lambda: _page(piece, services.lift_now(current.reading(), piece), form))


@room.get("/p/<number>/hanging-plan.pdf")
@access(FITTER)
def plan_pdf(number: str) -> Response:
    """The hanging plan on `sheet` A4 or Letter."""
    sheet = request.args.get("sheet", PAPERS[0])
    if sheet not in PAPERS:
        abort(400, _("Sheet: “%(sheet)s” is not one. Choose A4 or Letter.", sheet=sheet[:40]))
    piece = piece_or_404(number)
    made = plan_record(current.reading(), piece, invented=current.program().settings.demo)
    if made is None:
        abort(404, _("The lift of this piece is not planned yet."))
    current.stop_reading()
    from siteapp.documents.hanging_plan.pdf import hanging_plan_pdf  # brings the design of documents along

    response = make_response(hanging_plan_pdf(made, paper=sheet))
    response.headers["Content-Type"] = "application/pdf"
    response.headers["Content-Disposition"] = f'inline; filename="hanging-plan-{piece.number}.pdf"'
    return response


def _page(piece: PieceNow, now: LiftNow | None, form: LiftForm) -> str:
    session = current.reading()
    described = crate_now(session, piece.piece_id)
    written = (now.version.entry, *now.version.replaced) if now else ()
    return render_template(
        "hanging/lifting/page.html",
        piece=piece,
        now=now,
        weight=now.weight if now else weight_now(session, piece),
        crate=described[1] if described else None,
        people=names(session, [entry.by_id for entry in written]),
        form=form,
        asks=form.unsaved or now is None,
        how_words=how_words,
        STEP_WORDS=STEP_WORDS,
        SHOWN_FOR=SHOWN_FOR,
    )


def _fresh() -> LiftForm:
    """The five steps that every plan has, waiting to be filled in."""
    return LiftForm(data={"steps": [{"step": step, "in_crate": step in CRATED} for step in STEPS]})


def _filled(now: LiftNow) -> LiftForm:
    """The form as it was filled in for the plan that stands."""
    said = now.version.said
    data: dict[str, Any] = {name: getattr(said, name) for name in services.PlanFacts.__annotations__}
    data["steps"] = [
        {name: getattr(row, name) for name in services.StepFacts.__annotations__}
        | {"aid": None if row.aid == NO_AID else row.aid}
        for row in now.steps
    ]
    return LiftForm(data=data | {"revises": now.version.entry.id})
