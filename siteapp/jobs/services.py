"""Jobs: made, revised, read. The only code that writes their rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from sqlalchemy import select

from siteapp.jobs.models import Job
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.models import Entry
from siteapp.store.revisions import standing_bodies
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.store.entries import Writer


class JobFacts(TypedDict):
    """What a job says."""

    title: str
    client: str
    place: str
    address: str | None
    access_notes: str | None
    brief: str | None


def make_job(session: Session, writer: Writer, facts: JobFacts) -> str:
    """Take a commission on; returns the job's id."""
    job_id = writer.new_id("job")
    entries.append(session, writer, kind="job", job_id=job_id, bodies=[Job(**facts)])
    return job_id


def revise_job(session: Session, writer: Writer, *, job_id: str, revises: str, facts: JobFacts) -> None:
    """Say something else about a job.

    Raises Superseded when `revises` is not its latest revision, StoreError when it is none of this job's.
    """
    query = select(Entry.id).join(Job, Job.entry_id == Entry.id).where(Entry.job_id == job_id)
    if revises not in set(session.scalars(query)):
        raise StoreError(_("This revises no such job. Open the page again."))
    entries.append(
        session,
        writer,
        kind="job",
        job_id=job_id,
        bodies=[Job(**facts)],
        corrects=[revises],
    )


def job_now(session: Session, job_id: str) -> tuple[Entry, Job] | None:
    """A job as its latest revision has it, with that revision's entry; None when there is no such job."""
    found = standing_bodies(session, Job, job_id=job_id)
    return found[-1] if found else None


def all_jobs(session: Session) -> list[tuple[Entry, Job]]:
    """Every job's latest revision, the most recently revised first."""
    latest = {entry.job_id: (entry, job) for entry, job in standing_bodies(session, Job)}
    return list(reversed(latest.values()))
