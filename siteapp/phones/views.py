"""The crew's set-up card, the address as a QR code, and where a phone says what waits on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from flask import Blueprint, abort, g, jsonify, make_response, render_template, request

from siteapp.documents import qr
from siteapp.people.services import utc_now
from siteapp.phones import services
from siteapp.phones.models import MOST
from siteapp.web import current
from siteapp.web.access import PUBLIC, access
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

    from siteapp.phones.services import Sheet

room = Blueprint("phones", __name__)


@dataclass(frozen=True)
class Place:
    """An address that phones can reach: alone, and as it is typed."""

    address: str
    url: str


@room.get("/phones")
@access(PUBLIC)
def card() -> str:
    """The crew's set-up card: how a phone gets here and stays here."""
    return render_template("phones/card.html", places=places())


@room.get("/phones/<address>.png")
@access(PUBLIC)
def code(address: str) -> Response:
    """One of the present addresses as a QR code, a pixel a module; the page enlarges it."""
    url = next((place.url for place in places() if place.address == address), None)
    if url is None:
        abort(404)
    answer = make_response(qr.make(url).png)
    answer.content_type = "image/png"
    return answer


@room.post("/waiting/report")
@access(PUBLIC)
def report() -> Response:
    """A device says how much waits on it (form fields `waiting` and `look`, whole numbers 0 to 10000); answers in JSON.

    A device on which nobody ever signed in gets the same answer and is not kept.
    """
    numbers = {field: _number(request.form.get(field, "")) for field in ("waiting", "look")}
    if problems := [_problem(field) for field, number in numbers.items() if number is None]:
        return make_response(jsonify(saved=False, problems=problems), 422)
    # A person whose sign-in is locked is still the one whose phone this is.
    person = g.get("who")
    said = services.Report(
        device=current.device(),
        person_id=person.person_id if person else None,
        host=_host() or "",
        waiting=numbers["waiting"] or 0,
        look=numbers["look"] or 0,
    )
    now = utc_now()
    if not services.is_news(current.reading(), said, now):
        return jsonify(saved=True)
    current.stop_reading()
    return jsonify(saved=current.program().store.transact(lambda session: services.keep_report(session, said, now)))


def _number(text: str) -> int | None:
    plain = text.isascii() and text.isdecimal() and len(text) <= len(str(MOST))
    return int(text) if plain and int(text) <= MOST else None


def _problem(field: str) -> dict[str, str]:
    text = request.form.get(field, "")[:40]
    message = _("%(field)s: “%(text)s” is not one of 0 to %(most)s.", field=field, text=text, most=MOST)
    return {"field": field, "message": message}


def start_sheet() -> dict[str, Any] | None:
    """What the start page shows of phones, for `phones/_sheet.html`; None for whoever it does not concern.

    On the laptop itself everybody sees the address; names and numbers only who is signed in.
    """
    person = current.who()
    here = current.on_the_laptop()
    if not here and (person is None or person.role != "maker"):
        return None
    told: Sheet | None = None
    if person is not None:
        told = services.sheet(current.reading(), laptop_id=current.program().laptop_id, now=utc_now())
    found = places(told.addresses if told else None)
    served = _serves_addresses()
    return {
        "places": found,
        "served": served or bool(found),
        "change": told.change if told and served else None,
        "phones": told.phones if told else (),
        "present": {place.address for place in found},
    }


def places(known: tuple[str, ...] | None = None) -> list[Place]:
    """Where phones reach this laptop, the likeliest first.

    Started for phones, the process that serves notes its addresses. Otherwise the address that a request came by is
    one that works, unless it is the laptop's own.
    """
    settings = current.program().settings
    if _serves_addresses():
        if known is None:
            known = services.addresses_now(current.reading(), current.program().laptop_id)
        return [Place(address, f"http://{address}:{settings.port}/") for address in known]
    host = _host()
    if host is None or host in services.LAPTOP:
        return []
    return [Place(host, request.host_url)]


def _serves_addresses() -> bool:
    settings = current.program().settings
    return settings.lan or settings.on_every_address


def _host() -> str | None:
    """The address that this request came by, without its port."""
    return urlsplit(request.host_url).hostname
