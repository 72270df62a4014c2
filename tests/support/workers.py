"""Processes that save forms as the server's do, and may be killed at any moment."""

from __future__ import annotations

import multiprocessing
import os
import random
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid5

from siteapp.jobs.models import Job
from siteapp.store import entries, form_posts
from siteapp.store.db import Store
from siteapp.store.entries import PhotoUse, Writer
from siteapp.store.form_posts import Answer
from tests import factories

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy.orm import Session

    from siteapp.config import Settings

# Started once and then forked, so that a worker begins in milliseconds.
PROCESSES: Any = multiprocessing.get_context("forkserver" if os.name == "posix" else "spawn")
if os.name == "posix":
    PROCESSES.set_forkserver_preload(["tests.support.workers", "psycopg", "pysqlite3"])
SPACE = UUID("6c1f7a52-7d0b-4a38-9c51-5e2f0d8b1a11")
BY = str(uuid5(SPACE, "somebody"))
THREADS = 2
MIXED = 0.25


@dataclass(frozen=True)
class Form:
    """What one form will write: entries in some jobs' chains, each with a body and perhaps a photo."""

    number: int

    @property
    def id(self) -> str:
        """Its id, the same whoever sends it."""
        return str(uuid5(SPACE, f"form {self.number}"))

    @property
    def jobs(self) -> list[str | None]:
        """The jobs it writes to, in order; None is the workshop."""
        rng = random.Random(self.number)
        count = rng.randint(1, 4)
        if rng.random() < MIXED:
            # In any order, so that two of them may wait for each other on PostgreSQL.
            return [rng.choice([None, *JOBS]) for _ in range(count)]
        return [rng.choice([None, *JOBS])] * count

    @property
    def entry_ids(self) -> list[str]:
        """Ids of the entries it makes."""
        return [str(uuid5(UUID(self.id), f"entry/note/{number}")) for number in range(1, len(self.jobs) + 1)]

    @property
    def answer(self) -> Answer:
        """What it is answered."""
        return Answer(303, f"/form/{self.number}")

    @property
    def content(self) -> str:
        """Its fingerprint."""
        return form_posts.fingerprint("/notes", {"number": self.number})


JOBS = [str(uuid5(SPACE, f"job {number}")) for number in range(3)]


def post(store: Store, laptop_id: str, form: Form) -> Answer:
    """Save a form as the web's one write path does."""

    def work(session: Session) -> Answer:
        stored = form_posts.begin(session, form_id=form.id, by_id=BY, content=form.content)
        if stored:
            return stored
        writer = Writer(laptop_id=laptop_id, by_id=BY, form_id=form.id)
        for number, job_id in enumerate(form.jobs):
            body = Job(title=f"{form.number}.{number}", client="-", place="-")
            photos = (
                [PhotoUse(factories.a_photo(session, store, f"photo of form {form.number}".encode()))]
                if number == 0 and form.number % 3 == 0
                else []
            )
            entries.append(session, writer, kind="note", job_id=job_id, bodies=[body], photos=photos)
        form_posts.finish(session, form_id=form.id, answer=form.answer)
        return form.answer

    return store.transact(work)


def run(settings: Settings, laptop_id: str, numbers: list[int], acknowledged: Path) -> None:
    """Post forms from several threads; write down each that was answered, after it was."""
    store = Store(settings)
    waiting = iter(numbers)
    taking = threading.Lock()
    handle = os.open(acknowledged, os.O_WRONLY | os.O_APPEND | os.O_CREAT)

    def take() -> None:
        while True:
            with taking:
                number = next(waiting, None)
            if number is None:
                return
            form = Form(number)
            answer = post(store, laptop_id, form)
            os.write(handle, f"{number} {answer.location}\n".encode())

    threads = [threading.Thread(target=take) for _ in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    os.close(handle)
    store.close()
