"""Handover: what the client reads, their acceptance; the certificate and its public page."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING, Any

from flask import Blueprint, abort, make_response, render_template, url_for

from siteapp.arrival.services import arrivals
from siteapp.checks.services import open_holds
from siteapp.checks.services import state as check_state
from siteapp.finishing.services import sessions
from siteapp.handover import services
from siteapp.handover.forms import CHOICES, WORDS_TO_AGREE, CertificateForm, HandoverForm
from siteapp.handover.record import Choices, left_open
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.trade.piece_number import BadNumber
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, PUBLIC, access
from siteapp.web.fields import typed
from siteapp.web.saving import save
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.handover.models import Certificate
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("handover", __name__)
# Said once by a workshop and offered again with every certificate; the rest belongs to one piece.
OF_THE_WORKSHOP = ("copyright_line", "moral_rights")


@room.get("/p/<number>/handover")
@access(FITTER)
def page(number: str) -> str:
    """What the client reads, and the form they sign."""
    return _page(piece_or_404(number), HandoverForm(data={"said": str(WORDS_TO_AGREE)}))


@room.post("/p/<number>/handover")
@access(MAKER)
def hand_over(number: str) -> Response:
    """Keep the client's acceptance."""
    piece = piece_or_404(number)
    form = HandoverForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.hand_over(
            session,
            writer,
            piece=piece,
            signed_name=form.signed_name.data,
            said=form.said.data,
            note=form.note.data,
            signature_sha256=form.drawn.sha,
            corrects=[form.corrects.data] if form.corrects.data else [],
        )
        return url_for("handover.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/handover/correct")
@access(MAKER)
def correct(number: str) -> str:
    """Ask what is right about a handover that was recorded wrong."""
    piece = piece_or_404(number)
    handed = services.handover_now(current.reading(), piece.piece_id)
    if handed is None:
        abort(404)
    head, told = handed
    form = HandoverForm(data={"said": told.said, "note": told.note, "signed_name": told.signed_name})
    form.corrects.data = head.id
    if told.signature_sha256:
        form.drawn.take(told.signature_sha256)
    return _page(piece, form)


@room.get("/p/<number>/handover/certificate")
@access(MAKER)
def certificate_form(number: str) -> str:
    """Ask what only the maker can say of the certificate; what was said before is offered."""
    piece = piece_or_404(number)
    return _certificate_page(piece, CertificateForm(data=_offer(piece)))


@room.post("/p/<number>/handover/certificate")
@access(MAKER)
def issue(number: str) -> Response:
    """Issue the certificate."""
    piece = piece_or_404(number)
    form = CertificateForm(typed())
    invented = current.program().settings.demo

    def write(session: Session, writer: Writer) -> str:
        said = {name: form[name].data for name in CHOICES}
        hung_on = form.hung_on.data.isoformat() if form.hung_on.data else None
        choices = Choices(**said, hung_on=hung_on, invented=invented)
        services.issue_certificate(session, writer, piece=piece, choices=choices)
        return url_for("handover.page", number=piece.number)

    return save(form, write, lambda: _certificate_page(piece, form))


@room.get("/p/<number>/certificate.pdf")
@access(FITTER)
def certificate(number: str) -> Response:
    """The latest certificate of a piece, made from its frozen record."""
    found = _latest_or_404(number)
    current.stop_reading()
    from siteapp.handover.pdf import certificate_file  # brings the design of documents along

    program = current.program()
    made = certificate_file(found, program.photos, program.settings.cache)
    return _file(made, "application/pdf", f'inline; filename="certificate-{found.number}.pdf"')


@room.get("/p/<number>/certificate.json")
@access(FITTER)
def frozen(number: str) -> Response:
    """The frozen record of the latest certificate, byte for byte as its digest was taken."""
    found = _latest_or_404(number)
    said = f'attachment; filename="certificate-{found.number}.json"'
    return _file(found.record.encode("utf-8"), "application/json", said)


@room.get("/c/<number>")
@access(PUBLIC)
def public(number: str) -> str:
    """What anybody may know of a certificate: that it was issued, when, its digest, whether a newer one is there."""
    try:
        text = services.parse_certificate_number(number)
    except BadNumber as error:
        abort(404, str(error))
    found = services.find_certificate(current.reading(), text)
    if found is None:
        abort(404)
    return render_template("handover/certificate_public.html", found=found)


def _latest_or_404(number: str) -> Certificate:
    found = services.latest_certificate(current.reading(), piece_or_404(number).piece_id)
    if found is None:
        abort(404)
    return found[1]


def _file(data: bytes, media_type: str, disposition: str) -> Response:
    response = make_response(data)
    response.headers["Content-Type"] = media_type
    response.headers["Content-Disposition"] = disposition
    return response


def _page(piece: PieceNow, form: HandoverForm) -> str:
    session = current.reading()
    handed = services.handover_now(session, piece.piece_id)
    issued = services.latest_certificate(session, piece.piece_id)
    holds = open_holds(session, piece)
    return render_template(
        "handover/page.html",
        piece=piece,
        form=form,
        handed=handed,
        correcting=bool(form.corrects.data),
        issued=issued,
        holds=holds,
        refusal=services.refusal(holds) if holds else "",
        left_open=left_open(check_state(session, piece)),
        arrived=arrivals(session, piece.piece_id)[:1],
        states=sessions(session, piece.piece_id),
        people=names(session, [handed[0].by_id, issued[0].by_id if issued else None]) if handed else {},
    )


def _certificate_page(piece: PieceNow, form: CertificateForm) -> str:
    session = current.reading()
    return render_template(
        "handover/certificate.html",
        piece=piece,
        form=form,
        handed=services.handover_now(session, piece.piece_id),
        issued=services.latest_certificate(session, piece.piece_id),
    )


def _offer(piece: PieceNow) -> dict[str, Any]:
    """What the maker said in the last certificate of this piece, or as maker in the last of any."""
    session = current.reading()
    mine, last = services.latest_certificate(session, piece.piece_id), services.last_issued(session)
    before = json.loads(mine[1].record) if mine else {}
    anybody = before or (json.loads(last.record) if last else {})
    maker = anybody.get("maker", {})
    person = current.who()
    offer: dict[str, Any] = {
        "maker": maker.get("name") or (person.name if person else None),
        "workshop": maker.get("workshop") or workshop(session).name,
        "place": maker.get("place"),
        "contact": "\n".join(maker.get("contact", ())) or piece.particulars.who_to_ask,
        "touch_up": before.get("touch_up"),
        "fire_condition": before.get("fire", {}).get("condition"),
        "expected_wear": "\n".join(before.get("expected_wear", ())),
        "inspections": "\n".join(before.get("inspections", ())),
    }
    offer |= {name: anybody.get(name) for name in OF_THE_WORKSHOP}
    offer["hung_on"] = _hung_on(piece, before)
    return offer


def _hung_on(piece: PieceNow, before: dict[str, Any]) -> date | None:
    """The day said before, else the day of the latest answer to a check."""
    if "hung_on" in before:
        return date.fromisoformat(before["hung_on"])
    answers = [line.answer for line in check_state(current.reading(), piece).lines]
    days = [answer.at.astimezone().date() for answer in answers if answer]
    return max(days, default=None)
