"""Jobs: the list, one job with its pieces, taking one on, revising it."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import Blueprint, abort, render_template, url_for

from siteapp.jobs import services
from siteapp.jobs.forms import FACTS, JobForm
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.fields import typed
from siteapp.web.saving import save

if TYPE_CHECKING:
    from sqlalchemy.orm import Session
    from werkzeug.wrappers import Response

    from siteapp.jobs.models import Job
    from siteapp.store.entries import Writer
    from siteapp.store.models import Entry

room = Blueprint("jobs", __name__)


@room.get("/jobs")
@access(FITTER)
def listing() -> str:
    """Every job."""
    return render_template("jobs/list.html", jobs=services.all_jobs(current.reading()))


@room.get("/jobs/new")
@access(MAKER)
def new() -> str:
    """Ask for a new job."""
    return render_template("jobs/edit.html", form=JobForm(), job=None)


@room.post("/jobs/new")
@access(MAKER)
def make() -> Response:
    """Take a job on."""
    form = JobForm(typed())

    def write(session: Session, writer: Writer) -> str:
        return url_for("pieces.job", job_id=services.make_job(session, writer, _facts(form)))

    return save(form, write, lambda: render_template("jobs/edit.html", form=form, job=None))


@room.get("/jobs/<uuid:job_id>/edit")
@access(MAKER)
def edit(job_id: object) -> str:
    """Ask what is to be said of a job from now on."""
    entry, job = job_or_404(str(job_id))
    form = JobForm(data={name: getattr(job, name) for name in FACTS} | {"revises": entry.id})
    return render_template("jobs/edit.html", form=form, job=job)


@room.post("/jobs/<uuid:job_id>/edit")
@access(MAKER)
def revise(job_id: object) -> Response:
    """Revise a job."""
    _entry, job = job_or_404(str(job_id))
    form = JobForm(typed())

    def write(session: Session, writer: Writer) -> str:
        services.revise_job(
            session,
            writer,
            job_id=str(job_id),
            revises=form.revises.data,
            facts=_facts(form),
        )
        return url_for("pieces.job", job_id=job_id)

    return save(form, write, lambda: render_template("jobs/edit.html", form=form, job=job))


def job_or_404(job_id: str) -> tuple[Entry, Job]:
    """The job's latest revision, or the page that says there is none."""
    found = services.job_now(current.reading(), job_id)
    if found is None:
        abort(404)
    return found


def _facts(form: JobForm) -> services.JobFacts:
    return cast("services.JobFacts", {name: form[name].data or None for name in FACTS})
