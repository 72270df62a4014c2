"""What waits on a phone until the laptop has it: the page that lists it, and who and where the laptop is."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from flask import Blueprint, g, jsonify, render_template
from markupsafe import Markup
from sqlalchemy import select

from siteapp.store.models import LaptopStart
from siteapp.web import current
from siteapp.web.access import PUBLIC, access
from siteapp.web.i18n import _
from siteapp.web.security import csrf_token

if TYPE_CHECKING:
    from flask import Response
    from jinja2 import Environment

room = Blueprint("waiting", __name__)


def install(environment: Environment) -> None:
    """Give templates what a page tells its scripts."""
    environment.globals["page_data"] = page_data
    environment.globals["waiting_words"] = words


def page_data() -> Markup:
    """Attributes of the page: the laptop it came from, its time, and who it was made for, with their token.

    A page kept for later by a browser must not hold a token; these pages are never stored (`Cache-Control`).
    """
    person = current.who()
    values = {"laptop": current.program().laptop_id, "now": utc_text(), "csrf": csrf_token()}
    if person:
        values |= {"person": person.person_id, "person-name": person.name}
    return Markup("").join(Markup(' data-{}="{}"').format(name, value) for name, value in values.items())


@room.get("/waiting")
@access(PUBLIC)
def page() -> str:
    """List what waits on this phone; the list itself is in the phone and never here."""
    return render_template("web/waiting.html")


@room.get("/waiting/hello")
@access(PUBLIC)
def hello() -> Response:
    """Say who is signed in on this device, with a token for sending, and which laptops' records these are.

    A restored backup goes on under a new identity, so that every laptop that ever wrote here is named: what was meant
    for one of them belongs here.
    """
    person = current.who()
    return jsonify(
        person={"id": person.person_id, "name": person.name} if person else None,
        locked=person is None and g.who is not None,
        csrf=csrf_token(),
        laptops=list(current.reading().scalars(select(LaptopStart.laptop_id))),
        now=utc_text(),
    )


def utc_text() -> str:
    """The laptop's time, for phones whose clock is wrong."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def words() -> dict[str, str | dict[str, str]]:
    """What a page's scripts say about saving. They fill in `{n}` and the like; plurals go by `Intl.PluralRules`."""
    return {
        "saved": _("All saved on the laptop"),
        "typing": _("Not saved yet"),
        "keeping": _("Keeping it on this phone …"),
        "sending": _("Kept on this phone. Sending to the laptop …"),
        "photo": _("Sending photo {place} of {count}: {percent} %"),
        "waiting": {"one": _("{n} thing waiting on this phone"), "other": _("{n} things waiting on this phone")},
        "look": {"one": _("{n} needs a look"), "other": _("{n} need a look")},
        "away": _("the laptop does not answer"),
        "awayLong": _("The laptop does not answer. What waits here is sent by itself as soon as it does."),
        "address": _(
            "This page was opened at {host}. If the laptop shows another address now, what waits here is sent when the "
            "laptop is at {host} again, or taken there as a file."
        ),
        "memory": _("This phone's store takes nothing more. Keep this page open until it says that all is saved."),
        "signIn": _("sign in, and it is sent"),
        "signInLong": _("It is sent when you have signed in."),
        "others": {
            "one": _("{n} thing by {name}: it waits until {name} signs in on this phone"),
            "other": _("{n} things by {name}: they wait until {name} signs in on this phone"),
        },
        "elsewhere": _("Made with another laptop, which had this address then. It waits for that one."),
        "keptNow": _("Kept on this phone at {time}. It is sent by itself."),
        "keptHere": _("Kept in this page only, since this phone's store takes nothing more. Keep the page open."),
        "savedNow": _("Saved on the laptop."),
        "unreadable": _("A photo could not be read on this phone. Choose it again; nothing else is lost."),
        "broughtBack": _("What you typed at {time} is back. It is not saved yet."),
        "status401": _("The laptop asks who you are: sign in."),
        "status403": _("The laptop did not take it from you."),
        "status404": _("The laptop has no page for this any more."),
        "status409": _("Somebody changed this meanwhile. Nothing is lost: look at both and send yours again."),
        "status413": _("A photo in it is too large for the laptop."),
        "status422": _("The laptop found something that cannot be saved as it is."),
        "photoGone": _("This phone does not have one of its photos any more. Send the rest without it."),
        "clock": _("This phone's clock is {minutes} minutes away from the laptop's. Both times are kept."),
        "pressed": _("Pressed"),
        "undone": _("Taken back, in case it had reached the laptop"),
        "damaged": _("This file was not made here, or was cut off. Nothing was taken in."),
        "takenIn": {"one": _("{n} thing taken in from the file"), "other": _("{n} things taken in from the file")},
    }
