"""Several workers, forms sent again and again, workers killed: each form is kept once and whole, or not at all."""

from __future__ import annotations

import os
import random
import time
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import func, select

from siteapp.jobs.models import Job
from siteapp.keeping import check
from siteapp.store.models import Entry, EntryPhoto, FormPost, Photo
from siteapp.store.photos import PhotoFolder
from tests.support import workers
from tests.support.workers import PROCESSES, Form

if TYPE_CHECKING:
    from pathlib import Path

    from siteapp.store.db import Store

WORKERS = 4
FORMS = int(os.environ.get("SITEAPP_TESTS_FORMS", "60"))
KILLS = int(os.environ.get("SITEAPP_TESTS_KILLS", "8"))
SEED = int(os.environ.get("SITEAPP_TESTS_SEED", "20260303"))
# Failures come as an exit code of the worker, whose traceback is on standard error.
ENDED, KILLED = 0, -9


def acknowledged(folder: Path) -> set[int]:
    """Numbers of the forms that were answered; a torn last line is an answer that was not given."""
    lines = [line for file in folder.glob("*.acks") for line in file.read_text().splitlines(keepends=True)]
    told = [line.split() for line in lines if line.endswith("\n")]
    assert all(Form(int(number)).answer.location == location for number, location in told)
    return {int(number) for number, _location in told}


def wait_for(file: Path, lines: int) -> None:
    """Until a worker has been answered so many times."""
    end = time.monotonic() + 60
    while not file.exists() or file.read_bytes().count(b"\n") < lines:
        assert time.monotonic() < end
        time.sleep(0.001)


def assert_kept(store: Store, forms: range, acked: set[int]) -> None:
    """Each acknowledged form exactly once and whole, each other wholly or not at all; every chain 1…n."""
    with store.read() as session:
        there = {entry.id: entry for entry in session.scalars(select(Entry))}
        posts = {post.id: post for post in session.scalars(select(FormPost))}
        titles = dict(session.execute(select(Job.title, func.count()).group_by(Job.title)).all())
        chains = session.execute(
            select(Entry.chain, func.count(), func.min(Entry.seq), func.max(Entry.seq)).group_by(Entry.chain)
        ).all()
        named = set(session.scalars(select(EntryPhoto.sha256)))
        on_record = set(session.scalars(select(Photo.sha256)))
    whole = 0
    for number in forms:
        form = Form(number)
        found = [entry_id for entry_id in form.entry_ids if entry_id in there]
        rows = [title for title in titles if title.split(".")[0] == str(number)]
        if form.id in posts:
            whole += 1
            assert found == form.entry_ids
            assert sorted(rows) == [f"{number}.{place}" for place in range(len(form.jobs))]
            assert (posts[form.id].status, posts[form.id].location) == (303, form.answer.location)
        else:
            assert number not in acked, f"form {number} was acknowledged and is not there"
            assert (found, rows) == ([], [])
    assert all(count == 1 for count in titles.values())
    assert len(there) == 1 + sum(len(Form(number).jobs) for number in forms if Form(number).id in posts)
    assert all((low, high) == (1, count) for _chain, count, low, high in chains)
    photos = PhotoFolder(store.settings.photos, store.settings.cache)
    assert named <= on_record
    assert all(photos.exists(sha) for sha in on_record)
    assert [str(one) for one in check.run(store.settings).findings] == []
    assert whole >= len(acked)


def test_workers_that_send_the_same_forms_at_once_keep_each_once(database: Store, tmp_path: Path) -> None:
    laptop = database.begin_laptop()
    rng = random.Random(SEED)
    processes = []
    for number in range(WORKERS):
        numbers = [*range(FORMS), *rng.choices(range(FORMS), k=FORMS // 4)]
        rng.shuffle(numbers)
        arguments = (database.settings, laptop, numbers, tmp_path / f"{number}.acks")
        processes.append(PROCESSES.Process(target=workers.run, args=arguments))
    for process in processes:
        process.start()
    for process in processes:
        process.join(100)
        assert process.exitcode == ENDED
    acked = acknowledged(tmp_path)
    assert acked == set(range(FORMS))
    assert_kept(database, range(FORMS), acked)


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")
def test_workers_killed_at_any_moment_lose_nothing_they_acknowledged(database: Store, tmp_path: Path) -> None:
    laptop = database.begin_laptop()
    rng = random.Random(SEED + 1)
    forms = range(100_000)
    killed, reached = 0, 0
    while killed < KILLS:
        pair = []
        for _ in range(2):
            # Forms that no worker has sent yet, and some that one was killed over.
            numbers = [*rng.sample(range(max(reached, 1)), min(reached, 10)), *range(reached, reached + 1_000)]
            reached += 25
            file = tmp_path / f"{reached}.acks"
            process = PROCESSES.Process(target=workers.run, args=(database.settings, laptop, numbers, file))
            process.start()
            pair.append((process, file))
        for process, file in pair:
            wait_for(file, lines=rng.randint(1, 15))
            time.sleep(rng.uniform(0, 0.02))
            process.kill()
            process.join(60)
            assert process.exitcode == KILLED
            killed += 1
    acked = acknowledged(tmp_path)
    assert acked
    forms = range(max(acked) + 2_000)
    assert_kept(database, forms, acked)
    # The phones send again what was not acknowledged, and some of what was; then everything is there once.
    again = [*sorted(acked)[:20], *(number for number in range(reached) if number not in acked)]
    workers.run(database.settings, laptop, again, tmp_path / "again.acks")
    assert acknowledged(tmp_path) == acked | set(again)
    assert_kept(database, forms, acked | set(again))
