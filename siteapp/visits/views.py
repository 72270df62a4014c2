"""Visits to the site, its contacts, and what is still to bring."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from flask import Blueprint, abort, render_template, url_for

from siteapp.jobs.views import job_or_404
from siteapp.people.services import all_people, names
from siteapp.visits import services
from siteapp.visits.forms import (
    BroughtForm,
    ContactsForm,
    ToBringForm,
    VisitForm,
    data_of,
    dialled,
    people_of,
    visit_form,
)
from siteapp.web import current, dates
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import typed
from siteapp.web.i18n import _l
from siteapp.web.saving import save

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.store.entries import Writer

room = Blueprint("visits", __name__)
WEEKDAYS = (_l("Mon"), _l("Tue"), _l("Wed"), _l("Thu"), _l("Fri"), _l("Sat"), _l("Sun"))


@room.get("/jobs/<uuid:job_id>/visits")
@access(FITTER)
def page(job_id: object) -> str:
    """Who is at the site when, whom to ask there, and what is still to bring."""
    return _page(str(job_id), ToBringForm())


@room.post("/jobs/<uuid:job_id>/visits")
@access(FITTER)
def add_to_bring(job_id: object) -> Response:
    """Note one thing more to bring."""
    job_or_404(str(job_id))
    form = ToBringForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.add_to_bring(session, writer, job_id=str(job_id), words=form.thing.data)
        return url_for("visits.page", job_id=job_id, _anchor="bring")

    return save(form, write, lambda: _page(str(job_id), form))


@room.post("/jobs/<uuid:job_id>/visits/brought")
@access(FITTER)
def bring(job_id: object) -> Response:
    """Say that a thing is in the van, or not needed."""
    job_or_404(str(job_id))
    form = BroughtForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.bring(session, writer, job_id=str(job_id), item_id=form.item_id.data, how=form.how.data)
        return url_for("visits.page", job_id=job_id, _anchor="bring")

    return save(form, write, lambda: _page(str(job_id), ToBringForm(), form))


@room.get("/jobs/<uuid:job_id>/visits/new")
@access(FITTER)
def new(job_id: object) -> str:
    """Ask for a visit."""
    return _visit_page(str(job_id), visit_form(_crew()), None)


@room.post("/jobs/<uuid:job_id>/visits/new")
@access(FITTER)
def plan(job_id: object) -> Response:
    """Note a visit."""
    job_or_404(str(job_id))
    crew = _crew()
    form = visit_form(crew, typed())

    def write(session: Session, writer: Writer) -> str:
        people = people_of(form.people.rows(), crew)
        services.plan_visit(session, writer, job_id=str(job_id), facts=_facts(form), people=people)
        return url_for("visits.page", job_id=job_id)

    return save(form, write, lambda: _visit_page(str(job_id), form, None))


@room.get("/jobs/<uuid:job_id>/visits/<uuid:visit_id>")
@access(MAKER)
def edit(job_id: object, visit_id: object) -> str:
    """Ask what is to be said of a visit from now on."""
    visit = _visit_or_404(str(job_id), str(visit_id))
    return _visit_page(str(job_id), visit_form(_crew(visit), data=data_of(visit)), visit)


@room.post("/jobs/<uuid:job_id>/visits/<uuid:visit_id>")
@access(MAKER)
def revise(job_id: object, visit_id: object) -> Response:
    """Revise a visit."""
    visit = _visit_or_404(str(job_id), str(visit_id))
    crew = _crew(visit)
    form = visit_form(crew, typed())

    def write(session: Session, writer: Writer) -> str:
        people = people_of(form.people.rows(), crew)
        services.revise_visit(
            session, writer, job_id=str(job_id), revises=form.revises.data or "", facts=_facts(form), people=people
        )
        return url_for("visits.page", job_id=job_id)

    return save(form, write, lambda: _visit_page(str(job_id), form, visit))


@room.get("/jobs/<uuid:job_id>/contacts")
@access(FITTER)
def contacts(job_id: object) -> str:
    """Ask whom to ask at the site."""
    now = services.contacts_now(current.reading(), str(job_id))
    data: dict[str, Any] = {"revises": now.entry.id, "note": now.said.note} if now else {}
    data["people"] = [vars(one) for one in now.people] if now else []
    return _contacts_page(str(job_id), ContactsForm(data=data))


@room.post("/jobs/<uuid:job_id>/contacts")
@access(FITTER)
def set_contacts(job_id: object) -> Response:
    """Say whom to ask at the site from now on."""
    job_or_404(str(job_id))
    form = ContactsForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.set_contacts(
            session,
            writer,
            job_id=str(job_id),
            revises=form.revises.data,
            people=form.people.rows(),
            note=form.note.data,
        )
        return url_for("visits.page", job_id=job_id, _anchor="contacts")

    return save(form, write, lambda: _contacts_page(str(job_id), form))


def _page(job_id: str, form: ToBringForm, refused: BroughtForm | None = None) -> str:
    entry, job = job_or_404(job_id)
    session = current.reading()
    told = services.visits(session, job_id)
    today = dates.today().isoformat()
    brought = services.brought(session, job_id)
    bring = [(one, _brought_form(one, refused)) for one in services.still_to_bring(session, job_id)]
    return render_template(
        "visits/page.html",
        job=job,
        job_id=entry.job_id,
        coming=[one for one in told if one.said.day >= today],
        past=[one for one in reversed(told) if one.said.day < today],
        today=today,
        contacts=services.contacts_now(session, job_id),
        dialled=dialled,
        day_words=_day_words,
        bring=bring,
        brought=brought,
        # A word on a thing that is no longer to bring has no line of its own to stand in.
        astray=refused if refused and all(item is not refused for _one, item in bring) else None,
        people=names(session, [one.entry.by_id for one in (*told, *brought)]),
        form=form,
    )


def _brought_form(one: services.BringNow, refused: BroughtForm | None) -> BroughtForm:
    same = refused is not None and refused.item_id.data == one.entry.id
    form = refused if refused is not None and same else BroughtForm(data={"item_id": one.entry.id})
    form.how.id = f"how-{one.entry.id}"
    return form


def _visit_page(job_id: str, form: VisitForm, visit: services.VisitNow | None) -> str:
    _entry, job = job_or_404(job_id)
    return render_template("visits/edit.html", job=job, job_id=job_id, form=form, visit=visit)


def _contacts_page(job_id: str, form: ContactsForm) -> str:
    _entry, job = job_or_404(job_id)
    return render_template("visits/contacts.html", job=job, job_id=job_id, form=form)


def _crew(visit: services.VisitNow | None = None) -> dict[str, str]:
    """Who can be chosen: everybody who may sign in, and whoever is named already."""
    named = {one.person_id for one in visit.people} if visit else set()
    everybody = all_people(current.reading())
    return {one.person_id: one.name for one in everybody if one.active or one.person_id in named}


def _visit_or_404(job_id: str, visit_id: str) -> services.VisitNow:
    told: Sequence[services.VisitNow] = services.visits(current.reading(), job_id)
    found = [one for one in told if one.said.visit_id == visit_id]
    if not found:
        abort(404)
    return found[-1]


def _facts(form: VisitForm) -> services.VisitFacts:
    return {
        "day": form.day.data.isoformat(),
        "from_time": form.from_time.data,
        "until_time": form.until_time.data,
        "purpose": form.purpose.data,
        "note": form.note.data,
    }


def _day_words(day: str) -> str:
    read = date.fromisoformat(day)
    return f"{WEEKDAYS[read.weekday()]} {dates.day_words(read)}"
