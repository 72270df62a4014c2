"""Is this certificate as it was issued? Asked by anybody, with a file, a photo of the paper, or a number."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from flask import make_response, redirect, render_template, url_for

from siteapp.handover import verifying
from siteapp.handover.certificates import find_certificate, parse_certificate_number
from siteapp.handover.forms import VerifyForm
from siteapp.handover.room import room
from siteapp.trade.piece_number import BadNumber
from siteapp.web import current
from siteapp.web.access import PUBLIC, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

    from siteapp.handover.verifying import Outcome

STATE_WORDS = {
    verifying.STANDS: _l("As issued, and it stands"),
    verifying.REPLACED: _l("As issued, and superseded"),
    verifying.TAKEN_BACK: _l("As issued, and withdrawn"),
    verifying.ALTERED: _l("Altered"),
    verifying.FOREIGN: _l("Not from this workshop"),
    verifying.CANNOT_TELL: _l("Cannot tell"),
}


@room.get("/verify")
@access(PUBLIC)
def verify_page() -> str:
    """Ask for a certificate."""
    return _page(VerifyForm(), None)


@room.post("/verify")
@access(PUBLIC)
def verify() -> Response:
    """Say what a file is; it is looked at and not kept."""
    form = VerifyForm(typed())
    valid = form.validate()
    if valid and form.number.data:
        return _by_number(form)
    data = form.file.data
    if not valid or data is None:
        if valid:
            form.file.refuse(_("Choose the certificate's file or a photo of it, or type its number."))
        return make_response(_page(form, None), 422)
    workshop = verifying.Workshop(current.reading(), current.program().settings)
    outcome = verifying.verify(data, workshop)
    current.stop_reading()
    return make_response(_page(VerifyForm(), outcome, form.file.name_sent))


@room.get("/c/<number>/<part>")
@access(PUBLIC)
def from_code(number: str, part: str) -> str:
    """What the code on a certificate leads to: its page, and whether it names the record that was issued."""
    from siteapp.handover.certificate_views import public_page

    return public_page(number, part)


@room.get("/C/<number>")
@room.get("/C/<number>/<part>")
@access(PUBLIC)
def upper(number: str, part: str | None = None) -> Response:
    """A certificate's code is in capitals, which make it smaller."""
    if part is None:
        return redirect(url_for("handover.public", number=number.upper()), 308)
    return redirect(url_for("handover.from_code", number=number.upper(), part=part.lower()), 308)


def _by_number(form: VerifyForm) -> Response:
    try:
        number = parse_certificate_number(form.number.data)
    except BadNumber as error:
        form.number.refuse(str(error))
        return make_response(_page(form, None), 422)
    if find_certificate(current.reading(), number) is None:
        form.number.refuse(_("No certificate %(number)s is known on this laptop.", number=number))
        return make_response(_page(form, None), 422)
    return redirect(url_for("handover.public", number=number), 303)


def _page(form: VerifyForm, outcome: Outcome | None, name: str | None = None) -> str:
    return render_template(
        "handover/verify.html",
        form=form,
        outcome=outcome,
        name=name,
        words=STATE_WORDS[outcome.state] if outcome else None,
        states=verifying,
        at=datetime.fromisoformat(outcome.at) if outcome and outcome.at else None,
    )
