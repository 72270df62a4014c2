"""Particulars brought in from a file: looked at first, then brought in; and example files to begin from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, abort, make_response, redirect, render_template, request, url_for

from siteapp.jobs.views import job_or_404
from siteapp.people.services import names
from siteapp.pieces.bringing import examples
from siteapp.pieces.bringing.forms import BringInForm
from siteapp.pieces.bringing.judged import judge
from siteapp.pieces.bringing.told import LARGEST_BYTES, MOST_PIECES, ROW_FIELDS
from siteapp.pieces.bringing.words import one_of
from siteapp.pieces.bringing.writing import bring_in, brought_in, form_id_of
from siteapp.pieces.changes import field_of, label
from siteapp.pieces.forms import FIELDS
from siteapp.web import current
from siteapp.web.access import MAKER, access
from siteapp.web.fields import typed
from siteapp.web.saving import SEE_OTHER, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.bringing.judged import Judged
    from siteapp.store.entries import Writer
    from siteapp.store.models import FormPost

room = Blueprint("bringing", __name__)
BRING = "bring"
EXAMPLES = {
    "toml": ("pieces.toml", "application/toml"),
    "semicolons": ("pieces.csv", "text/csv; charset=utf-8"),
    "commas": ("pieces.csv", "text/csv; charset=utf-8"),
}


@room.get("/jobs/<uuid:job_id>/bring-in")
@access(MAKER)
def page(job_id: object) -> str:
    """Ask for a file."""
    return _page(str(job_id), BringInForm())


@room.post("/jobs/<uuid:job_id>/bring-in")
@access(MAKER)
def take(job_id: object) -> Response:
    """Say what a file would make and change; bring it in when that was looked at."""
    job = str(job_id)
    job_or_404(job)
    form = BringInForm(typed())
    form.validate()
    form.take_file()
    if form.errors:
        return make_response(_page(job, form), 422)
    judged = judge(current.reading(), job, form.text.data)
    looked_at, form.seen.data = form.seen.data, judged.seen()
    if judged.problems:
        return make_response(_page(job, form, judged), 422)
    before = brought_in(current.reading(), form_id_of(job, form.text.data))
    if request.form.get("do") != BRING or not looked_at:
        return make_response(_page(job, form, judged, before=before))
    if before is not None:
        me = current.who()
        mine = me is not None and before.by_id == me.person_id and before.location is not None
        return redirect(before.location, SEE_OTHER) if mine else make_response(_page(job, form, judged, before), 409)
    if looked_at != form.seen.data:
        return make_response(_page(job, form, judged, late=True), 409)
    return _bring_in(job, form, judged)


@room.get("/jobs/<uuid:job_id>/bring-in/example/<kind>")
@access(MAKER)
def example(job_id: object, kind: str) -> Response:
    """An invented example to begin from, as TOML or as CSV."""
    job_or_404(str(job_id))
    if kind not in EXAMPLES:
        abort(404)
    if kind == "toml":
        text = examples.as_toml(examples.EXAMPLE)
    else:
        # Spreadsheets know UTF-8 by the mark at its beginning.
        text = "\ufeff" + examples.as_csv(examples.EXAMPLE, ";" if kind == "semicolons" else ",")
    name, media_type = EXAMPLES[kind]
    response = make_response(text.encode())
    response.headers["Content-Type"] = media_type
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _bring_in(job: str, form: BringInForm, judged: Judged) -> Response:
    # Under the text's own id: sent from another page or by the command, the same text makes nothing twice.
    form.form_id.data = form_id_of(job, form.text.data)

    def write(session: Session, writer: Writer) -> str:
        bring_in(session, writer, job_id=job, judged=judged)
        return url_for("pieces.job", job_id=job)

    def again() -> str:
        now = judge(current.reading(), job, form.text.data)
        form.seen.data = form.seen.typed = now.seen()
        return _page(job, form, now)

    return save(form, write, again)


def _page(
    job_id: str,
    form: BringInForm,
    judged: Judged | None = None,
    before: FormPost | None = None,
    *,
    late: bool = False,
) -> str:
    _entry, job = job_or_404(job_id)
    form.seen.typed = form.seen.data
    return render_template(
        "pieces/bring_in.html",
        job=job,
        job_id=job_id,
        form=form,
        judged=judged,
        before=before,
        by=names(current.reading(), [before.by_id]).get(before.by_id or "", "") if before else "",
        late=late,
        fields=[(name, field_of(name)) for name in FIELDS],
        rows={one_of(rows): [(name, label(name, rows)) for name in names] for rows, names in ROW_FIELDS.items()},
        most=MOST_PIECES,
        largest=LARGEST_BYTES,
    )
