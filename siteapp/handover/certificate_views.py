"""Certificates: issued, opened, superseded, withdrawn, and what anybody may know of one."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from flask import abort, render_template, request, url_for

from siteapp.documents.pages import PAPERS
from siteapp.handover import issuing, record
from siteapp.handover.certificates import (
    CertificateNow,
    certificates,
    find_certificate,
    latest_certificate,
    parse_certificate_number,
)
from siteapp.handover.forms import CHOICES, CertificateForm, WithdrawalForm
from siteapp.handover.never import never_in_record
from siteapp.handover.offers import certificate_offer
from siteapp.handover.record import Choices
from siteapp.handover.room import room
from siteapp.handover.signed import signed_now
from siteapp.jobs import redaction
from siteapp.jobs.services import job_now
from siteapp.pieces.views import piece_or_404
from siteapp.trade.piece_number import BadNumber
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, PUBLIC, access
from siteapp.web.dates import day_words
from siteapp.web.fields import typed
from siteapp.web.files import file_answer
from siteapp.web.i18n import _
from siteapp.web.saving import save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


@room.get("/p/<number>/handover/certificate")
@access(MAKER)
def certificate_form(number: str) -> str:
    """Ask what only the maker can say of the certificate; what was said before is offered."""
    piece = piece_or_404(number)
    person = current.who()
    offer = certificate_offer(current.reading(), piece, maker=person.name if person else None)
    return _certificate_page(piece, CertificateForm(data=offer))


@room.post("/p/<number>/handover/certificate")
@access(MAKER)
def issue(number: str) -> Response:
    """Issue the certificate."""
    piece = piece_or_404(number)
    form = CertificateForm(typed())
    program = current.program()
    made: list[issuing.Made] = []

    def choices() -> Choices:
        said = {name: form[name].data for name in CHOICES}
        said["paper"] = said["paper"] or PAPERS[0]
        hung_on = form.hung_on.data.isoformat() if form.hung_on.data else None
        return Choices(**said, hung_on=hung_on, invented=program.settings.demo)

    def ahead(session: Session) -> None:
        made[:] = [
            issuing.make_certificate(
                session,
                settings=program.settings,
                photos=program.photos,
                piece=piece,
                choices=choices(),
                why=form.why.data,
            )
        ]

    def write(session: Session, writer: Writer) -> str:
        issuing.issue_certificate(
            session, writer, piece=piece, choices=choices(), why=form.why.data, made=next(iter(made), None)
        )
        return url_for("handover.page", number=piece.number)

    return save(form, write, lambda: _certificate_page(piece, form), ahead=ahead)


SHORTEST_PART = 16  # hexadecimal digits of a digest


@room.get("/p/<number>/certificate.pdf")
@access(FITTER)
def certificate(number: str) -> Response:
    """A certificate of a piece, made from its frozen record: the one that stands, or the one named by `?number=`.

    With `?download=1` it is saved rather than shown. A withdrawn one says so on every page.
    """
    piece = piece_or_404(number)
    found = _asked_for(piece)
    _refuse_erased(found)
    withdrawn = withdrawal_words(current.reading(), piece.job_id, found)
    current.stop_reading()
    from siteapp.handover.pdf import certificate_file  # brings the design of documents along

    program = current.program()
    made = certificate_file(found.certificate, program.photos, program.settings, withdrawn=withdrawn)
    return file_answer(made, "application/pdf", f"certificate-{found.number}.pdf", saved="download" in request.args)


@room.get("/p/<number>/address-leaf.pdf")
@access(MAKER)
def leaf(number: str) -> Response:
    """The leaf with the site's address, kept with the certificate and no part of it."""
    piece = piece_or_404(number)
    session = current.reading()
    found = latest_certificate(session, piece.piece_id)
    job = job_now(session, piece.job_id)
    address = [] if job is None else [job[1].place, *(job[1].address or "").splitlines()]
    paper = json.loads(found.certificate.record).get("paper", "A4") if found else "A4"
    current.stop_reading()
    from siteapp.documents.certificate.leaf import leaf_pdf

    made = leaf_pdf(
        piece.particulars.title, piece.number, address, certificate=found.number if found else None, paper=paper
    )
    return file_answer(made, "application/pdf", f"address-{piece.number}.pdf")


@room.get("/p/<number>/certificate.json")
@access(FITTER)
def frozen(number: str) -> Response:
    """The frozen record of a certificate, byte for byte as its digest was taken; which one as for the PDF."""
    found = _asked_for(piece_or_404(number))
    _refuse_erased(found)
    data = found.certificate.record.encode("utf-8")
    return file_answer(data, "application/json", f"certificate-{found.number}.json", saved=True)


@room.get("/p/<number>/handover/certificates/<certificate_number>/withdraw")
@access(MAKER)
def withdrawal_form(number: str, certificate_number: str) -> str:
    """Ask why a certificate does not stand any more."""
    piece = piece_or_404(number)
    return _withdrawal_page(piece, _of_piece_or_404(piece, certificate_number), WithdrawalForm())


@room.post("/p/<number>/handover/certificates/<certificate_number>/withdraw")
@access(MAKER)
def withdraw(number: str, certificate_number: str) -> Response:
    """Withdraw a certificate."""
    piece = piece_or_404(number)
    found = _of_piece_or_404(piece, certificate_number)
    form = WithdrawalForm(typed())

    def write(session: Session, writer: Writer) -> str:
        issuing.withdraw_certificate(session, writer, piece=piece, number=found.number, reason=form.reason.data)
        return url_for("handover.page", number=piece.number)

    return save(form, write, lambda: _withdrawal_page(piece, found, form))


@room.get("/c/<number>")
@access(PUBLIC)
def public(number: str) -> str:
    """What anybody may know of a certificate: when it was issued, its digest, whether it stands and why not."""
    return public_page(number)


def public_page(number: str, part: str | None = None) -> str:
    """The page of a certificate; `part` is the digest that the code on a paper names."""
    session = current.reading()
    try:
        text = parse_certificate_number(number)
    except BadNumber as error:
        abort(404, str(error))
    found = find_certificate(session, text)
    if found is None:
        abort(404)
    fits = part is None or (len(part) >= SHORTEST_PART and found.now.certificate.record_digest.startswith(part.lower()))
    return render_template(
        "handover/certificate_public.html",
        found=found,
        fits=fits,
        coded=part is not None,
        reason=_reason(session, found.job_id, found.now),
    )


def withdrawal_words(session: Session, job_id: str, found: CertificateNow) -> str | None:
    """Since when and why a certificate does not stand any more; None when it was not withdrawn."""
    if found.withdrawn is None:
        return None
    day = day_words(found.withdrawn[0].happened_at.astimezone().date())
    return _("On %(day)s: %(reason)s", day=day, reason=_reason(session, job_id, found))


def _refuse_erased(found: CertificateNow) -> None:
    if found.erased:
        words = _("This laptop's copy of %(number)s was let go when somebody's data were erased.", number=found.number)
        abort(410, words)


def _reason(session: Session, job_id: str, found: CertificateNow) -> str | None:
    if found.withdrawn is None:
        return None
    return redaction.redact_words(found.withdrawn[1], redaction.secrets_of(session, job_id))


def _asked_for(piece: PieceNow) -> CertificateNow:
    session = current.reading()
    if asked := request.args.get("number"):
        return _of_piece_or_404(piece, asked)
    found = latest_certificate(session, piece.piece_id)
    if found is None:
        last = next(iter(reversed(certificates(session, piece.piece_id))), None)
        if last is None:
            abort(404, _("No certificate was issued for this piece."))
        words = withdrawal_words(session, piece.job_id, last)
        abort(404, _("The certificate %(number)s was withdrawn. %(words)s", number=last.number, words=words))
    return found


def _of_piece_or_404(piece: PieceNow, typed_number: str) -> CertificateNow:
    try:
        number = parse_certificate_number(typed_number)
    except BadNumber as error:
        abort(404, str(error))
    chain = certificates(current.reading(), piece.piece_id)
    found = next((one for one in chain if one.number == number), None)
    if found is None:
        abort(404, _("This piece has no certificate %(number)s.", number=number))
    return found


def _certificate_page(piece: PieceNow, form: CertificateForm) -> str:
    session = current.reading()
    chain = certificates(session, piece.piece_id)
    handed = signed_now(session, piece.piece_id)
    # What would be frozen now, apart from what this form asks.
    nothing = Choices(maker="")
    plain = record.freeze(session, piece=piece, handed=handed, number="", choices=nothing) if handed else {}
    return render_template(
        "handover/certificate.html",
        piece=piece,
        form=form,
        handed=handed,
        last=chain[-1] if chain else None,
        never=never_in_record(plain),
    )


def _withdrawal_page(piece: PieceNow, found: CertificateNow, form: WithdrawalForm) -> str:
    return render_template("handover/withdraw.html", piece=piece, found=found, form=form)
