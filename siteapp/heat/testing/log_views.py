"""A logger's file or pasted lines: looked at first, then kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import abort, render_template, request, url_for

from siteapp.heat.testing import services
from siteapp.heat.testing.forms import LogForm
from siteapp.heat.testing.logs import READER, Unreadable, read_log
from siteapp.heat.testing.room import room
from siteapp.heat.testing.state import heat_test_now
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _
from siteapp.web.saving import save

if TYPE_CHECKING:
    from typing import Any

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.heat.testing.logs import Log
    from siteapp.heat.testing.state import HeatTestNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

SHOWN_POINTS = 3
PASTED = "pasted"


@room.get("/p/<number>/heat/test/<uuid:test_id>/log")
@access(FITTER)
def log_form(number: str, test_id: object) -> str:
    """Ask for a file or its lines; `?correct=` brings those of a file that was read wrong."""
    piece, test = _test_or_404(number, test_id)
    wanted = request.args.get("correct", "")
    before = next((one for one in test.logs if one.entry.id == wanted), None)
    if wanted and before is None:
        abort(404)
    if before is None:
        return _page(piece, test, LogForm(), None)
    form = LogForm(data={"text": before.said.text, "file_name": before.said.file_name})
    form.corrects.data = wanted
    return _page(piece, test, form, None)


@room.post("/p/<number>/heat/test/<uuid:test_id>/log")
@access(FITTER)
def take_log(number: str, test_id: object) -> Response:
    """Look at what was sent; once every column has its probe or none, keep it."""
    piece, test = _test_or_404(number, test_id)
    sent = typed()
    form = LogForm(sent)
    form.take_file()
    found = _look(form, test)
    labels = [probe.label for probe in test.probes]
    if found is not None and sent is not None:
        form = _with_columns(form, found, labels)

    def write(session: Session, writer: Writer) -> str:
        points = _points(form, found)
        services.record_log(
            session,
            writer,
            piece=piece,
            test_id=test.test_id,
            file_name=form.file_name.data or PASTED,
            text=form.text.data or "",
            points=points,
            left_out="; ".join(found.left_out) or None if found else None,
            reader=READER,
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("heat_test.one", number=piece.number, test_id=test.test_id)

    return save(form, write, lambda: _page(piece, test, form, found))


def _test_or_404(number: str, test_id: object) -> tuple[PieceNow, HeatTestNow]:
    piece = piece_or_404(number)
    test = heat_test_now(current.reading(), piece.piece_id, str(test_id))
    if test is None:
        abort(404)
    return piece, test


def _look(form: LogForm, test: HeatTestNow) -> Log | None:
    """What the lines hold; None with the reason put to the form."""
    if form.text.is_blank():
        return None
    try:
        found = read_log(
            form.text.data or "",
            lit_at=test.lit_at.astimezone(),
            first_minutes=form.first_minutes.data or 0.0,
            fahrenheit=form.unit.data == "f",
        )
    except Unreadable as unreadable:
        form.text.refuse(_("Its lines: %(why)s", why=unreadable))
        return None
    if found.fahrenheit and form.unit.data != "f":
        names = ", ".join(found.fahrenheit)
        form.unit.refuse(
            _("Figures are in: the header says °F (%(names)s). Choose °F, or put the header right.", names=names)
        )
    return found


def _with_columns(form: LogForm, found: Log, labels: list[str]) -> LogForm:
    """Have the form's rows be the columns found; refused once when nobody has said yet which probe each is."""
    said = {row["column"]: row["probe"] for row in form.columns.rows()}
    names = [column.name for column in found.columns]
    if set(said) != set(names):
        free = [label for label in labels if label not in names]
        rows: list[dict[str, Any]] = [
            {"column": name, "probe": name if name in labels else (free.pop(0) if free else "")} for name in names
        ]
        form.columns.process(None, rows)
        form.columns.refuse(_("Which column is which probe: look at it here, then keep it."))
    for entry in form.columns.entries:
        entry.form.probe.choices = [("", _("none: leave it out")), *((label, label) for label in labels)]
    return form


def _points(form: LogForm, found: Log | None) -> dict[str, list[tuple[float, float]]]:
    by_name = {column.name: column for column in found.columns} if found else {}
    points: dict[str, list[tuple[float, float]]] = {}
    for row in form.columns.rows():
        if row["probe"] and row["column"] in by_name:
            points.setdefault(row["probe"], []).extend(by_name[row["column"]].points)
    return points


def _page(piece: PieceNow, test: HeatTestNow, form: LogForm, found: Log | None) -> str:
    return render_template(
        "heat/testing/log.html", piece=piece, test=test, form=form, found=found, shown_points=SHOWN_POINTS
    )
