"""The certificate given without internet: on a stick, or by a link on the hotspot that lives an hour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import abort, make_response, render_template, request, url_for

from siteapp.documents import qr
from siteapp.handover import giving
from siteapp.handover.certificates import latest_certificate
from siteapp.handover.forms import GiveForm
from siteapp.handover.room import room
from siteapp.phones.views import places
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import MAKER, PUBLIC, access
from siteapp.web.dates import now
from siteapp.web.fields import typed
from siteapp.web.files import file_answer
from siteapp.web.i18n import _
from siteapp.web.saving import save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.handover.giving import Given
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer


@room.get("/p/<number>/handover/give")
@access(MAKER)
def give_page(number: str) -> str:
    """Ways to give the certificate, and the links that live now."""
    return _page(piece_or_404(number), GiveForm())


@room.post("/p/<number>/handover/give")
@access(MAKER)
def give(number: str) -> Response:
    """Make a link that lives an hour."""
    piece = piece_or_404(number)
    form = GiveForm(typed())

    def write(session: Session, writer: Writer) -> str:
        giving.give(
            session,
            piece=piece,
            certificate=latest_certificate(session, piece.piece_id),
            by_id=writer.by_id or "",
            secret=current.program().secret,
            now=now(),
        )
        return url_for("handover.give_page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.post("/p/<number>/handover/give/<link>/end")
@access(MAKER)
def end_link(number: str, link: str) -> Response:
    """End a link before its hour is over."""
    piece = piece_or_404(number)
    form = GiveForm(typed())

    def write(session: Session, _writer: Writer) -> str:
        giving.end(session, piece=piece, digest=link, now=now())
        return url_for("handover.give_page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/handover/give/<link>/<address>.png")
@access(MAKER)
def link_code(number: str, link: str, address: str) -> Response:
    """A link's address on this laptop as a QR code, a pixel a module; the page enlarges it."""
    piece = piece_or_404(number)
    found = next((one for one in _living(piece) if one.digest == link), None)
    base = next((place.url for place in places() if place.address == address), None)
    if found is None or base is None:
        abort(404)
    answer = make_response(qr.make(_address(base, found)).png)
    answer.content_type = "image/png"
    return answer


@room.get("/give/<token>")
@access(PUBLIC)
def given(token: str) -> Response:
    """The PDF of the certificate that a link gives, to anybody who has the link."""
    found = giving.open_link(current.reading(), token=token, now=now())
    if found is None:
        abort(404, _("This link gives nothing any more: it lives for an hour, or was ended. Ask for a new one."))
    current.stop_reading()
    from siteapp.handover.pdf import certificate_file  # brings the design of documents along

    program = current.program()
    made = certificate_file(found, program.photos, program.settings)
    if request.method == "GET":
        program.store.transact(lambda session: giving.count(session, token))
    answer = file_answer(made, "application/pdf", f"certificate-{found.number}.pdf")
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _living(piece: PieceNow) -> list[Given]:
    found = giving.links(current.reading(), piece.piece_id, living_at=now())
    # A link made with another secret (the keys' folder was set up anew) works, but its address is not known any more.
    return [one for one in found if giving.digest_of(one.token(current.program().secret)) == one.digest]


def _address(base: str, link: Given) -> str:
    return f"{base}give/{link.token(current.program().secret)}"


def _page(piece: PieceNow, form: GiveForm) -> str:
    session = current.reading()
    found = places()
    living = [(link, [(place, _address(place.url, link)) for place in found]) for link in _living(piece)]
    return render_template(
        "handover/give.html",
        piece=piece,
        form=form,
        issued=latest_certificate(session, piece.piece_id),
        places=found,
        living=living,
    )
