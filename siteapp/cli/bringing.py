"""`bring-in`: particulars of a job's pieces from a TOML or CSV file, all or nothing."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from siteapp.cli.edge import Refusal, prepare
from siteapp.config import Settings

if TYPE_CHECKING:
    import argparse

    from sqlalchemy.orm import Session

    from siteapp.pieces.bringing.judged import Judged
    from siteapp.store.db import Store

SHOWN = 10


def add(parser: argparse.ArgumentParser) -> None:
    """Arguments of `bring-in`."""
    parser.add_argument("file", type=Path, metavar="FILE", help="TOML or CSV, in UTF-8; the page has examples of both")
    parser.add_argument("--job", required=True, metavar="JOB", help="the job's title, or its id")
    parser.add_argument("--as", dest="person", metavar="PERSON", help="the maker who brings it in")
    parser.add_argument("--check", action="store_true", help="only say what it would make and change")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Bring one file in, or say what is wrong in it; exit code 1 when nothing was brought in for that."""
    text = _text(arguments.file)
    settings = Settings.from_env()
    prepare(settings)
    from siteapp.pieces.bringing.judged import judge
    from siteapp.pieces.bringing.writing import brought_in, form_id_of
    from siteapp.store.db import Store
    from siteapp.web.parts import when

    store = Store(settings)
    with store.read() as session:
        job_id = _job(session, arguments.job)
        by_id = _maker(session, arguments.person) if arguments.person else None
        judged = judge(session, job_id, text)
        before = brought_in(session, form_id_of(job_id, text))
        at = before.recorded_at if before else None
    if judged.problems:
        for problem in judged.problems:
            print(problem, file=sys.stderr)
        if judged.left_off:
            print(f"and {judged.left_off} more", file=sys.stderr)
        print("Nothing was brought in.", file=sys.stderr)
        return 1
    if at is not None:
        print(f"This very file was brought into this job on {when(at)}; nothing was changed.")
        return 0
    _say(judged)
    if arguments.check:
        print("Nothing was brought in: --check only looks.")
        return 0
    numbers = _bring_in(store, job_id, by_id, text, judged)
    for number in numbers:
        print(f"  {number[:4]}-{number[4:]}")
    print("Brought in." if numbers else "This very file was brought in meanwhile; nothing was changed.")
    return 0


def _text(path: Path) -> str:
    from siteapp.pieces.bringing.judged import text_of
    from siteapp.pieces.bringing.told import LARGEST_BYTES, Unreadable

    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        message = f"{path} cannot be read: {(error.strerror or '').lower()}."
        raise Refusal(message) from error
    try:
        return text_of(data)
    except Unreadable as unreadable:
        raise Refusal("; ".join(str(problem) for problem in unreadable.problems)) from None


def _job(session: Session, wanted: str) -> str:
    from siteapp.jobs.services import all_jobs

    plain = wanted.strip().casefold()
    jobs = [(entry.job_id or "", job.title) for entry, job in all_jobs(session)]
    found = [job_id for job_id, title in jobs if plain in {job_id, title.strip().casefold()}]
    if not found:
        titles = ", ".join(repr(title) for _job_id, title in jobs[:SHOWN]) or "none yet"
        message = f"There is no job {wanted!r}; the jobs are: {titles}."
        raise Refusal(message)
    if len(found) > 1:
        message = f"{len(found)} jobs are called {wanted!r}; give the id of one: {', '.join(found[:SHOWN])}."
        raise Refusal(message)
    return found[0]


def _maker(session: Session, wanted: str) -> str:
    from siteapp.people.models import MAKER
    from siteapp.people.services import all_people

    plain = wanted.strip().casefold()
    found = next((one for one in all_people(session) if one.name.strip().casefold() == plain), None)
    if found is None:
        message = f"Nobody here is called {wanted!r}; `person list` shows the names."
        raise Refusal(message)
    if found.role != MAKER or not found.active:
        message = f"{found.name} may not bring particulars in; a maker may."
        raise Refusal(message)
    return found.person_id


def _say(judged: Judged) -> None:
    for draft in judged.made:
        print(f"line {draft.line}: new: {draft.title}")
    for draft in judged.revised:
        number = draft.piece.number if draft.piece else ""
        said = [one.words for one in (*draft.changed.fields, *draft.changed.lines)]
        print(f"line {draft.line}: {number[:4]}-{number[4:]} {draft.title}: {', '.join(said)}")
    counts = f"{len(judged.made)} new, {len(judged.revised)} revised, {len(judged.unchanged)} as they are"
    print(counts)


def _bring_in(store: Store, job_id: str, by_id: str | None, text: str, judged: Judged) -> list[str]:
    from siteapp.pieces.bringing.writing import bring_in, form_id_of
    from siteapp.store import form_posts
    from siteapp.store.entries import Writer

    laptop_id, form_id = store.begin_laptop(), form_id_of(job_id, text)
    content = form_posts.fingerprint("bring-in", {"text": text})

    def work(session: Session) -> list[str]:
        # With the answer kept beside the rows, the page knows that this file was brought in, and the command too.
        if form_posts.begin(session, form_id=form_id, by_id=by_id, content=content):
            return []
        writer = Writer(laptop_id=laptop_id, by_id=by_id, form_id=form_id)
        numbers = bring_in(session, writer, job_id=job_id, judged=judged)
        form_posts.finish(session, form_id=form_id, answer=form_posts.Answer(303, f"/jobs/{job_id}"))
        return numbers

    return store.transact(work)
