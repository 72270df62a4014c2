"""What is kept: a look whether it is as it was written, the signing key, tables, and somebody's data let go."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING

from flask import Blueprint, abort, render_template, request, url_for

from siteapp.jobs.views import job_or_404
from siteapp.journey.services import WORDS
from siteapp.keeping import erasing, sheets
from siteapp.keeping.check import run as run_check
from siteapp.keeping.forms import EraseForm
from siteapp.store import signing
from siteapp.store.errors import StoreError
from siteapp.web import current
from siteapp.web.access import MAKER, access
from siteapp.web.dates import today
from siteapp.web.fields import typed
from siteapp.web.files import file_answer
from siteapp.web.i18n import _
from siteapp.web.saving import save
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.store.entries import Writer
    from siteapp.store.signing import Key

room = Blueprint("keeping", __name__)


@room.get("/keeping")
@access(MAKER)
def page() -> str:
    """What is kept here, and a quick look whether it is as it was written."""
    settings = current.program().settings
    known = signing.known(current.reading())
    current.stop_reading()
    return render_template(
        "keeping/page.html",
        report=run_check(settings, full=False),
        key=_key(),
        known=known,
        sheets=sheets.sheets(),
        unfinished=settings.erasing.exists(),
    )


@room.get("/keeping/key")
@access(MAKER)
def key_page() -> str:
    """The fingerprint of the key that certificates are signed with, to be printed and given out."""
    key = _key()
    if key is None:
        abort(404, _("There is no signing key yet: it is made with the first certificate."))
    return render_template("keeping/key.html", key=key, workshop=workshop(current.reading()), today=today())


@room.get("/keeping/tables/<name>.csv")
@access(MAKER)
def table(name: str) -> Response:
    """A table for a spreadsheet, of all pieces or of `?job=` one job's."""
    sheet = next((one for one in sheets.sheets() if one.key == name), None)
    if sheet is None:
        abort(404)
    job_id = request.args.get("job") or None
    if job_id:
        job_or_404(job_id)
    made = sheets.csv_file(current.reading(), sheet, job_id)
    return file_answer(made, sheets.MEDIA_TYPE, f"{sheet.key}-{today().isoformat()}.csv", saved=True)


@room.get("/jobs/<uuid:job_id>/erase")
@access(MAKER)
def erase_page(job_id: object) -> str:
    """Ask what is to go of somebody's data."""
    job_or_404(str(job_id))
    offered = erasing.words_to_offer(current.reading(), str(job_id))
    return _erase_page(str(job_id), EraseForm(data={"phrases": "\n".join(offered)}))


@room.post("/jobs/<uuid:job_id>/erase")
@access(MAKER)
def erase(job_id: object) -> Response:
    """Let it go; without a yes, show what would."""
    job_or_404(str(job_id))
    program = current.program()
    form = EraseForm(typed())

    def ahead(_session: Session) -> None:
        erasing.begin(program.settings)

    def write(session: Session, writer: Writer) -> str:
        erasing.erase(
            session,
            writer,
            job_id=str(job_id),
            words=form.lines(),
            photos=form.photos.data or (),
            reason=form.reason.data or "",
        )
        return url_for("keeping.erased", job_id=job_id)

    answer = save(form, write, lambda: _erase_page(str(job_id), form), ahead=ahead)
    current.stop_reading()  # nobody reads while the database is written anew, this page included
    with contextlib.suppress(StoreError):  # the page says so, and the next start tries again
        erasing.finish(program.settings)
    return answer


@room.get("/jobs/<uuid:job_id>/erased")
@access(MAKER)
def erased(job_id: object) -> str:
    """What was done, and what this laptop does not reach."""
    _entry, job = job_or_404(str(job_id))
    return render_template(
        "keeping/erased.html", job=job, job_id=job_id, unfinished=current.program().settings.erasing.exists()
    )


def _erase_page(job_id: str, form: EraseForm) -> str:
    session = current.reading()
    _entry, job = job_or_404(job_id)
    return render_template(
        "keeping/erase.html",
        job=job,
        job_id=job_id,
        form=form,
        places=erasing.places(session, job_id, form.lines()),
        kinds=WORDS,
        photos=erasing.photos_to_offer(session, job_id),
        chosen=set(form.photos.data or ()),
    )


def _key() -> Key | None:
    try:
        return signing.load(current.program().settings)
    except signing.KeyProblem:
        return None
