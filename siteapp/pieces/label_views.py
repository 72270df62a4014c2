"""The labels of a piece: their page, their pictures, and their PDFs, one piece's or those of a whole job."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import abort, make_response, render_template, request, url_for

from siteapp.documents.label.layout import lay
from siteapp.documents.label.picture import svg
from siteapp.documents.label.sizes import FORMS, LabelError
from siteapp.documents.label.words import unprintable
from siteapp.documents.qr import QrTooSmall
from siteapp.jobs.views import job_or_404
from siteapp.pieces import labels, services
from siteapp.pieces.views import piece_or_404, room
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from werkzeug.wrappers import Response

    from siteapp.documents.label.sizes import LabelForm
    from siteapp.documents.records import LabelRecord

__all__ = ["room"]

REFUSED = (LabelError, QrTooSmall)


@dataclass(frozen=True)
class Shown:
    """A form of label on the page: its picture's and its PDF's address, what was cut, or why it cannot be made."""

    kind: str
    form: LabelForm
    picture: str
    pdf: str
    cut: tuple[str, ...]
    smallest_pt: float | None
    problem: str


@room.get("/p/<number>/label")
@access(FITTER)
def label_page(number: str) -> tuple[str, int]:
    """The labels of a piece as pictures, and what may be asked of their printing."""
    piece = piece_or_404(number)
    said = labels.record(current.reading(), piece)
    form = labels.LabelsForm(request.args or None)
    wanted = form.wanted()
    shown = [_shown(said, _of_kind(kind, wanted), piece.number) for kind in FORMS]
    said_so = {name: value for name, value in request.args.items() if value}
    page = render_template(
        "pieces/labels.html",
        piece=piece,
        asked=form,
        wanted=wanted,
        shown=shown,
        names=labels.NAMES,
        unprintable=unprintable(said, str),
        linked=said.link is not None,
        pdf=url_for("pieces.label", number=piece.number, **said_so) if wanted else None,
        job_pdf=url_for("pieces.labels_of_job", job_id=piece.job_id, **said_so) if wanted else None,
    )
    return page, 200 if wanted else 422


@room.get("/p/<number>/label.svg")
@access(FITTER)
def label_picture(number: str) -> Response:
    """One label as a picture for its page."""
    piece = piece_or_404(number)
    said = labels.record(current.reading(), piece)
    wanted = _wanted_or_400()
    if wanted.form is None:
        abort(400, _("A picture shows one label: choose which."))
    try:
        picture = svg(lay(said, wanted.form, str), said.title)
    except REFUSED as error:
        abort(400, str(error))
    return _file(picture.encode("utf-8"), "image/svg+xml", f'inline; filename="label-{piece.number}.svg"')


@room.get("/p/<number>/label.pdf")
@access(FITTER)
def label(number: str) -> Response:
    """The piece's labels as a PDF; without parameters the back label alone on its page."""
    piece = piece_or_404(number)
    said = labels.record(current.reading(), piece)
    return _printed([said], f"label-{piece.number}")


@room.get("/jobs/<uuid:job_id>/labels.pdf")
@access(FITTER)
def labels_of_job(job_id: object) -> Response:
    """The labels of every piece of a job, one after another."""
    job_or_404(str(job_id))
    session = current.reading()
    numbers = [number for _id, number, _said in services.pieces_of(session, str(job_id))]
    found = services.find_all(session, numbers)
    said = [labels.record(session, found[number]) for number in numbers if number in found]
    if not said:
        abort(404, _("This job has no piece yet, so there is no label to print."))
    return _printed(said, "labels")


def _of_kind(kind: str, wanted: labels.Wanted | None) -> LabelForm:
    """The form that was asked for, when it is of this kind; else the usual one."""
    return wanted.form if wanted and wanted.form and wanted.form.kind == kind else FORMS[kind]


def _shown(said: LabelRecord, form: LabelForm, number: str) -> Shown:
    usual = FORMS[form.kind]
    sizes = {"width": form.width_mm, "height": form.height_mm}
    size = {} if (form.width_mm, form.height_mm) == (usual.width_mm, usual.height_mm) else sizes
    picture, pdf = (
        url_for(f"pieces.{endpoint}", number=number, form=form.kind, **{name: f"{mm:g}" for name, mm in size.items()})
        for endpoint in ("label_picture", "label")
    )
    try:
        laid = lay(said, form, str)
    except REFUSED as error:
        return Shown(form.kind, form, picture, pdf, (), None, str(error))
    return Shown(form.kind, form, picture, pdf, tuple(laid.cut), laid.smallest_pt, "")


def _wanted_or_400() -> labels.Wanted:
    form = labels.LabelsForm(request.args or None)
    wanted = form.wanted()
    if wanted is None:
        abort(400, " ".join(message for _label, message, _where in form.problems()))
    return wanted


def _printed(said: Sequence[LabelRecord], name: str) -> Response:
    wanted = _wanted_or_400()
    current.stop_reading()
    try:
        made = labels.pdf(said, wanted)
    except REFUSED as error:
        abort(400, _("%(why)s. Choose another size on the label's page.", why=error))
    return _file(made, "application/pdf", f'inline; filename="{name}.pdf"')


def _file(data: bytes, media_type: str, disposition: str) -> Response:
    response = make_response(data)
    response.headers["Content-Type"] = media_type
    response.headers["Content-Disposition"] = disposition
    return response
