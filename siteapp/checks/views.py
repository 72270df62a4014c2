"""The checks of a piece, stage by stage: every line in working order, one answer at a time; and the lists there are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, abort, redirect, render_template, request, url_for

from siteapp.checks import calculations, lists, services, shelf, showing
from siteapp.checks.forms import (
    OpeningForm,
    ReleaseForm,
    TakingBackForm,
    WorkingOutForm,
    WorkingOutStageForm,
    answer_form,
    with_ids,
)
from siteapp.checks.verdicts import MET
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, Access, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _, _l
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.checks.state import LineState, StageState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.web.forms import RoomForm

room = Blueprint("checks", __name__)

STAGE_NAMES = {
    lists.READY: _l("Made ready"),
    lists.ARRIVED: _l("Arrived"),
    lists.FIXED: _l("Fixed"),
}


@room.get("/p/<number>/checks")
@access(FITTER)
def page(number: str) -> str:
    """The checks of one stage of a piece and how they were answered."""
    piece = piece_or_404(number)
    stages = _stages(piece)
    asked = request.args.get("stage")
    return _page(piece, asked if asked in lists.STAGES else showing.current_stage(stages), stages=stages)


@room.get("/p/<number>/checks/<line_key>")
@room.get("/p/<number>/checks/<line_key>/<what>")
@access(FITTER)
def line(number: str, line_key: str, **_what: str) -> Response:
    """Lead on to one check on its page: a refused form stays under this address, and may be opened again."""
    piece = piece_or_404(number)
    for stage in _stages(piece):
        found = next((one for one in stage.lines if one.key == line_key), None)
        if found:
            return redirect(_shown_at(piece, stage, found), 303)
    return redirect(url_for("checks.page", number=number), 303)


@room.post("/p/<number>/checks/<line_key>")
@access(FITTER)
def answer(number: str, line_key: str) -> Response:
    """Answer one check."""
    piece = piece_or_404(number)
    stage, line = _line_or_404(piece, line_key)
    form = answer_form(line, showing.spots(stage)[line.list_id, line.key], typed())

    def write(session: Session, writer: Writer) -> str:
        services.answer(
            session,
            writer,
            piece=piece,
            list_id=form.list_id.data,
            line_key=line_key,
            verdict=form.verdict.data,
            reading=form["reading"].data if "reading" in form else None,
            instrument=form["instrument"].data if "instrument" in form else None,
            note=form.note.data,
            second_name=form["second_name"].data if "second_name" in form else None,
            photos=photo_uses(form),
            corrects=form.takes_the_place_of(),
        )
        return _shown_at(piece, stage, line)

    return save(form, write, lambda: _page(piece, stage.stage, form, (line.list_id, line.key)))


@room.post("/p/<number>/checks/<line_key>/undo")
@access(FITTER)
def take_back(number: str, line_key: str) -> Response:
    """Take back an answer that was given by mistake."""
    piece = piece_or_404(number)
    stage, line = _line_or_404(piece, line_key)
    form = TakingBackForm(typed())

    def write(session: Session, writer: Writer) -> str:
        answer_id = form.answer.data or services.answer_of_form(form.of_form.data or "")
        services.take_back(
            session, writer, piece=piece, list_id=form.list_id.data, line_key=line_key, answer_id=answer_id
        )
        return _shown_at(piece, stage, line)

    return save(form, write, lambda: _page(piece, stage.stage, form, (line.list_id, line.key)))


@room.post("/p/<number>/checks/<line_key>/work-out")
@access(FITTER)
def work_out(number: str, line_key: str) -> Response:
    """Have one check worked out from what is recorded."""
    piece = piece_or_404(number)
    stage, line = _line_or_404(piece, line_key)
    form = WorkingOutForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.work_out(session, writer, piece=piece, list_id=form.list_id.data, line_key=line_key)
        return _shown_at(piece, stage, line)

    return save(form, write, lambda: _page(piece, stage.stage, form, (line.list_id, line.key)))


@room.post("/p/<number>/checks/work-out")
@access(FITTER)
def work_out_stage(number: str) -> Response:
    """Have every check of a stage worked out that can be."""
    piece = piece_or_404(number)
    form = WorkingOutStageForm(typed())
    stage = form.stage.data if form.stage.data in lists.STAGES else lists.READY

    def write(session: Session, writer: Writer) -> str:
        services.work_out_stage(session, writer, piece=piece, stage=stage)
        return url_for("checks.page", number=piece.number, stage=stage)

    return save(form, write, lambda: _page(piece, stage, form))


@room.post("/p/<number>/checks/open")
@access(FITTER)
def open_stage(number: str) -> Response:
    """Open the lists of a stage that apply to the piece and are not open."""
    piece = piece_or_404(number)
    form = OpeningForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.open_lists(session, writer, piece=piece, stage=form.stage.data)
        return url_for("checks.page", number=piece.number, stage=form.stage.data)

    stage = form.stage.data if form.stage.data in lists.STAGES else lists.READY
    return save(form, write, lambda: _page(piece, stage, form))


@room.post("/p/<number>/checks/release")
@access(MAKER)
def release(number: str) -> Response:
    """Let the work go on although a hold point is not met, set a list aside, or take either back."""
    piece = piece_or_404(number)
    form = ReleaseForm(typed())
    at = (form.list_id.data or "", form.line_key.data)
    stage = next((one for one in _stages(piece) for opened in one.lists if opened.list_id == at[0]), None)
    if stage is None:
        abort(404, _("This list is not one of the piece's."))
    spot = showing.spots(stage).get((at[0], at[1] or ""))
    with_ids(form, f"release-{spot or at[0][:8]}")

    def write(session: Session, writer: Writer) -> str:
        services.release(
            session,
            writer,
            piece=piece,
            list_id=at[0],
            line_key=at[1],
            reason=form.reason.data,
            corrects=form.ids("before"),
            released=form.released.data != "no",
            seen=form.ids("seen"),
        )
        anchor = f"check-{spot}" if spot else f"list-{at[0]}"
        return url_for("checks.page", number=piece.number, stage=stage.stage, _anchor=anchor)

    return save(form, write, lambda: _page(piece, stage.stage, form, at))


@room.get("/settings/lists")
@access(MAKER)
def shelved() -> str:
    """Every check list that is used, where it comes from, and what is wrong with those that are not."""
    found = shelf.shelf(current.reading())
    own = current.program().settings.data / shelf.OWN
    return render_template(
        "checks/lists.html",
        shelved=found,
        own=own,
        stages=STAGE_NAMES,
        list_fields=lists.LIST_FIELDS,
        line_fields=lists.LINE_FIELDS,
    )


def _page(
    piece: PieceNow,
    stage: str,
    refused: RoomForm | None = None,
    at: tuple[str, str | None] | None = None,
    *,
    stages: tuple[StageState, ...] | None = None,
) -> str:
    """The page of one stage; with `refused`, a form that was not taken, in the place that `at` names."""
    person = current.who()
    made = showing.page(
        current.reading(),
        piece,
        stages or _stages(piece),
        stage,
        person_id=person.person_id if person else None,
        maker=person is not None and person.level >= Access.MAKER,
        refused=refused,
        at=at,
    )
    return render_template(
        "checks/page.html",
        piece=piece,
        page=made,
        state=made.stage,
        form=refused,
        names=STAGE_NAMES,
        opening=OpeningForm(data={"stage": stage}),
        working_out=lambda line: WorkingOutForm(data={"list_id": line.list_id}),
        working_out_stage=WorkingOutStageForm(data={"stage": stage}),
        calculation=calculations.known,
        MET=MET,
    )


def _stages(piece: PieceNow) -> tuple[StageState, ...]:
    return services.states(current.reading(), piece)


def _shown_at(piece: PieceNow, stage: StageState, line: LineState) -> str:
    anchor = f"check-{showing.spots(stage)[line.list_id, line.key]}"
    return url_for("checks.page", number=piece.number, stage=stage.stage, _anchor=anchor)


def _line_or_404(piece: PieceNow, line_key: str) -> tuple[StageState, LineState]:
    """The line that a sent form is about, with its stage: of the list it names, else of the first with such a line."""
    list_id = request.form.get("list_id", "")
    found = [(stage, one) for stage in _stages(piece) for one in stage.lines if one.key == line_key]
    named = next((one for one in found if one[1].list_id == list_id), None)
    if not found:
        abort(404, _("This check is not on the piece's list."))
    return named or found[0]
