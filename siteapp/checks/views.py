"""The checks of a piece: every line in working order, one answer at a time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from flask import Blueprint, abort, redirect, render_template, request, url_for

from siteapp.checks import services, verdicts
from siteapp.checks.forms import AnswerForm, answer_form
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.checks.state import Answer, LineState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("checks", __name__)


@dataclass(frozen=True)
class Shown:
    """A line as the page shows it: with its form, people's names, and its earlier answers as history."""

    line: LineState
    form: AnswerForm
    people: Mapping[str, str]
    earlier: list[dict[str, Any]]

    def by(self, said: Answer) -> str:
        """The name of who answered; empty when not known."""
        return self.people.get(said.by_id or "", "")


@room.get("/p/<number>/checks")
@access(FITTER)
def page(number: str) -> str:
    """Every check of a piece and how it was answered."""
    return _page(piece_or_404(number))


@room.get("/p/<number>/checks/<line_key>")
@access(FITTER)
def line(number: str, line_key: str) -> Response:
    """Lead on to one check on its page: a refused answer stays under this address, and may be opened again."""
    return redirect(url_for("checks.page", number=number, _anchor=f"check-{line_key}"), 303)


@room.post("/p/<number>/checks/<line_key>")
@access(FITTER)
def answer(number: str, line_key: str) -> Response:
    """Answer one check."""
    piece = piece_or_404(number)
    line = _line_or_404(piece, line_key, request.form.get("list_id", ""))
    form = answer_form(line, typed())

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
            photos=photo_uses(form),
            corrects=form.takes_the_place_of(),
        )
        return url_for("checks.page", number=piece.number, _anchor=f"check-{line_key}")

    return save(form, write, lambda: _page(piece, line_key, form))


def _page(piece: PieceNow, line_key: str | None = None, form: AnswerForm | None = None) -> str:
    """The page; with `form`, which was refused, in its line."""
    session = current.reading()
    state = services.state(session, piece)
    people = names(session, [one.by_id for line in state.lines for one in line.answers])
    shown = []
    for line in state.lines:
        refused = form if form and line.key == line_key and line.list_id == form.list_id.data else None
        if refused is not None and refused.newer:
            refused.look_again(line)
        shown.append(_shown(line, refused or answer_form(line), people))
    following = next((line for line in state.lines if line.verdict != verdicts.MET), None)
    return render_template(
        "checks/page.html", piece=piece, state=state, lines=shown, following=following, form=form, MET=verdicts.MET
    )


def _shown(line: LineState, form: AnswerForm, people: Mapping[str, str]) -> Shown:
    earlier = [
        {"when": one.at, "by": people.get(one.by_id or "", ""), "words": _words(one), "note": one.note or ""}
        for one in line.earlier
    ]
    return Shown(line, form, people, earlier)


def _words(said: Answer) -> str:
    spoken = {"met": _("met"), "not met": _("not met"), "cannot tell": _("cannot tell")}[said.said]
    return f"{spoken}, {said.measured}" if said.measured else spoken


def _line_or_404(piece: PieceNow, line_key: str, list_id: str) -> LineState:
    lines = [line for line in services.state(current.reading(), piece).lines if line.key == line_key]
    found = next((line for line in lines if line.list_id == list_id), lines[0] if lines else None)
    if found is None:
        abort(404, _("This check is not on the piece's list."))
    return found
