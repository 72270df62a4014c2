"""The appliance from its plate, distances measured, the section drawn from them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any, cast

from flask import Blueprint, render_template, url_for

from siteapp.heat import wording
from siteapp.heat.appliance import drawn, services
from siteapp.heat.appliance.forms import ELSEWHERE, NO, YES, ApplianceForm, DistancesForm
from siteapp.people.services import names
from siteapp.pieces.views import piece_or_404
from siteapp.trade.heat import COUNTRIES
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.dates import day_words, today
from siteapp.web.fields import typed
from siteapp.web.saving import photo_uses, save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

room = Blueprint("appliance", __name__)
FLAGS = {YES: True, NO: False}
SAID = {True: YES, False: NO, None: ""}
PHOTO_SLOTS = {"plate_photos": services.PLATE, "photos": services.APPLIANCE, "papers": services.PAPERS_SLOT}


@room.get("/p/<number>/heat/appliance")
@access(FITTER)
def page(number: str) -> str:
    """The appliance as it was described last, and a form to describe it again."""
    piece = piece_or_404(number)
    return _page(piece, _filled(piece))


@room.post("/p/<number>/heat/appliance")
@access(FITTER)
def record(number: str) -> Response:
    """Describe the appliance."""
    piece = piece_or_404(number)
    form = ApplianceForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record_appliance(
            session, writer, piece=piece, facts=_facts(form), photos=photo_uses(form), revises=form.revises.data
        )
        return url_for("appliance.page", number=piece.number)

    return save(form, write, lambda: _page(piece, form))


@room.get("/p/<number>/heat/distances")
@access(FITTER)
def distances(number: str) -> str:
    """The distances as they were measured last, what they are held against, and a form to measure again."""
    piece = piece_or_404(number)
    return _distances_page(piece, _distances_filled(piece))


@room.post("/p/<number>/heat/distances")
@access(FITTER)
def record_distances(number: str) -> Response:
    """Keep a round of measuring."""
    piece = piece_or_404(number)
    form = DistancesForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.record_distances(
            session,
            writer,
            piece=piece,
            facts={
                "measured_by": form.measured_by.data,
                "measured_on": form.measured_on.plain(),
                "tape": form.tape.data,
                "note": form.note.data,
            },
            things=_things(form),
            photos=photo_uses(form),
            revises=form.revises.data,
        )
        return url_for("appliance.distances", number=piece.number)

    return save(form, write, lambda: _distances_page(piece, form))


def _page(piece: PieceNow, form: ApplianceForm) -> str:
    session = current.reading()
    stand = services.appliances(session, piece.piece_id)
    return render_template(
        "heat/appliance/page.html",
        piece=piece,
        stand=stand,
        form=form,
        asks=form.unsaved or not stand,
        people=names(session, [entry.by_id for one in stand for entry in (one.entry, *one.replaced)]),
        day_words=lambda day: day_words(date.fromisoformat(day)),
        words=wording,
    )


def _distances_page(piece: PieceNow, form: DistancesForm) -> str:
    session = current.reading()
    now = services.distances_now(session, piece)
    described = services.appliance_now(session, piece.piece_id)
    written = (now.version.entry, *now.version.replaced) if now.version else ()
    return render_template(
        "heat/appliance/distances.html",
        piece=piece,
        now=now,
        appliance=described.said if described else None,
        section=drawn.section(piece, described.said if described else None, now.held),
        form=form,
        asks=form.unsaved or now.version is None,
        people=names(session, [entry.by_id for entry in written]),
        day_words=lambda day: day_words(date.fromisoformat(day)),
        words=wording,
        ASSUMPTIONS=services.ASSUMPTIONS,
    )


def _facts(form: ApplianceForm) -> services.ApplianceFacts:
    said: dict[str, Any] = {name: form[name].data for name in services.ApplianceFacts.__annotations__ if name in form}
    said["kind"] = form.appliance_kind.data
    said["country"] = form.country.data
    said["flue_shielded"] = FLAGS.get(form.flue_shielded.data or "")
    said["seen_on"] = form.seen_on.plain()
    return cast("services.ApplianceFacts", said)


def _filled(piece: PieceNow) -> ApplianceForm:
    before = services.appliance_now(current.reading(), piece.piece_id)
    if before is None:
        return ApplianceForm(data={"seen_on": today()})
    said = before.said
    data: dict[str, Any] = {name: getattr(said, name) for name in services.ApplianceFacts.__annotations__}
    data |= {"appliance_kind": said.kind, "flue_shielded": SAID[said.flue_shielded], "seen_on": today()}
    if said.country is not None and said.country not in COUNTRIES:
        data["country"] = ELSEWHERE
    data |= {field: before.slot(slot) for field, slot in PHOTO_SLOTS.items()}
    return ApplianceForm(data=data | {"seen_by": None, "revises": before.entry.id})


def _things(form: DistancesForm) -> list[services.ThingFacts]:
    rows = form.things.rows()
    told = [
        {**row, "combustible": FLAGS.get(row["combustible"] or ""), "metal_fixing": row["metal_fixing"] or None}
        for row in rows
    ]
    return cast("list[services.ThingFacts]", told)


def _distances_filled(piece: PieceNow) -> DistancesForm:
    now = services.distances_now(current.reading(), piece)
    if now.version is None:
        return DistancesForm(data={"measured_on": today(), "things": [{"thing": piece.title[:160], "place": "above"}]})
    rows = [
        {name: getattr(row, name) for name in services.ThingFacts.__annotations__}
        | {"combustible": SAID[row.combustible]}
        for row in now.rows
    ]
    said = now.version.said
    return DistancesForm(
        data={
            "things": rows,
            "tape": said.tape,
            "note": said.note,
            "measured_on": today(),
            "photos": now.version.slot(services.TAPE),
            "revises": now.version.entry.id,
        }
    )
