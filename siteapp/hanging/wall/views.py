"""The wall as found: what was looked at, what it comes to, a form for it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, render_template, url_for

from siteapp.checks import calculations
from siteapp.checks.lists import WALL
from siteapp.hanging.wall import judging, models, services, showing
from siteapp.hanging.wall.forms import NO, PHOTO_FIELDS, YES, WallForm
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.dates import today
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.checks.calculations import WorkedOut
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.store.revisions import Version

room = Blueprint("wall", __name__)


@room.get("/p/<number>/wall")
@access(FITTER)
def page(number: str) -> str:
    """The wall as it was found last, what that comes to, and a form to look again."""
    piece = piece_or_404(number)
    before = services.wall_now(current.reading(), piece.piece_id)
    return _page(piece, _filled(before) if before else WallForm(data={"found_on": today()}))


@room.post("/p/<number>/wall")
@access(FITTER)
def record(number: str) -> Response:
    """Record the wall as found."""
    piece = piece_or_404(number)
    form = WallForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record(
            session, writer, piece=piece, facts=_facts(form), photos=photo_uses(form), revises=form.revises.data
        )
        return url_for("wall.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


def _page(piece: PieceNow, form: WallForm) -> str:
    session = current.reading()
    stand = services.walls(session, piece.piece_id)
    people = names(session, [entry.by_id for one in stand for entry in (one.entry, *one.replaced)])
    return render_template(
        "hanging/wall/page.html",
        piece=piece,
        stand=stand,
        told=[showing.told(one.said) for one in stand],
        worked=_worked(session, piece),
        spoken=showing.spoken,
        day_words=showing.day_words,
        people=people,
        form=form,
        asks=form.unsaved or not stand,
        ASSUMPTIONS=judging.ASSUMPTIONS,
        SOURCE=judging.SOURCE,
    )


def _worked(session: Session, piece: PieceNow) -> WorkedOut:
    """What the wall comes to, by whoever knows what is asked for."""
    known = calculations.known(WALL)
    if known and known.work_out:
        return known.work_out(session, piece)
    return services.judge_all([one.said for one in services.walls(session, piece.piece_id)], None)


def _facts(form: WallForm) -> services.WallFacts:
    said = {name: form[name].data for name in services.WallFacts.__annotations__}
    said["sound"] = {YES: True, NO: False}.get(form.sound.data or "")
    said["found_on"] = form.found_on.plain()
    said["from_form"] = form.from_form.data or None
    return cast("services.WallFacts", said)


def _filled(before: Version[models.WallFound]) -> WallForm:
    """The form as it was filled in for the wall that stands."""
    data: dict[str, Any] = {name: getattr(before.said, name) for name in services.WallFacts.__annotations__}
    data["sound"] = {True: YES, False: NO}.get(before.said.sound) if before.said.sound is not None else None
    blank = {models.NOT_LOOKED, models.NOT_KNOWN}
    data |= {
        name: None for name in ("services_front", "services_back", "asbestos") if getattr(before.said, name) in blank
    }
    data |= {field: before.slot(slot) for field, slot in PHOTO_FIELDS.items()}
    return WallForm(data=data | {"found_on": today(), "found_by": None, "from_form": False, "revises": before.entry.id})
