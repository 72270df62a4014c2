"""The file of noted heads: signed, short, and put right after a kill or a power cut."""

from __future__ import annotations

import json
import multiprocessing
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from siteapp.keeping import check
from siteapp.store import heads, identity, keys
from siteapp.store.db import Store
from siteapp.store.models import ChainHead, LaptopStart
from tests import factories

if TYPE_CHECKING:
    from siteapp.config import Settings
    from tests.support.databases import Databases

SPAWN = multiprocessing.get_context("spawn")


def said(store: Store) -> heads.HeadsFile:
    with store.read() as session:
        return heads.read(store.settings.heads_file, identity.public_keys(session))


def in_database(store: Store) -> dict[str, tuple[int, str]]:
    with store.read() as session:
        return {head.chain: (head.seq, head.digest) for head in session.scalars(select(ChainHead))}


def noted(store: Store) -> dict[str, tuple[int, str]]:
    return {chain: (head.seq, head.digest) for chain, head in said(store).heads.items()}


def test_every_commit_notes_the_heads_it_moved(database: Store) -> None:
    with database.write() as session:
        factories.a_job(session)
        factories.a_person(session)
    assert noted(database) == in_database(database)
    assert said(database).faults == ()


def test_nothing_is_noted_of_work_that_was_given_up(store: Store) -> None:
    before = store.settings.heads_file.read_bytes()

    def work(session: object) -> None:
        factories.a_job(session)  # type: ignore[arg-type]
        raise RuntimeError

    with pytest.raises(RuntimeError):
        store.transact(work)
    assert store.settings.heads_file.read_bytes() == before


def test_the_next_start_notes_what_a_kill_left_unnoted(store: Store) -> None:
    before = store.settings.heads_file.read_bytes()
    with store.write() as session:
        factories.a_job(session)
    store.settings.heads_file.write_bytes(before)
    assert noted(store) != in_database(store)
    store.begin_laptop()
    assert noted(store) == in_database(store)


def test_the_next_start_mends_a_line_that_a_power_cut_tore(store: Store) -> None:
    with store.write() as session:
        factories.a_job(session)
    whole = store.settings.heads_file.read_bytes()
    store.settings.heads_file.write_bytes(whole[:-30])
    assert said(store).faults == ()
    store.begin_laptop()
    with store.write() as session:
        factories.a_job(session)
    assert said(store).faults == ()
    assert noted(store) == in_database(store)
    assert check.run(store.settings).findings == []


def test_a_start_makes_the_file_short_and_keeps_another_laptops_lines_as_signed(store: Store) -> None:
    first = store.begin_laptop()
    with store.write() as session:
        factories.a_job(session)
    of_first = {line for line in store.settings.heads_file.read_text().splitlines() if first in line}
    identity.begin(store)
    for _ in range(heads.FEW_LINES + 20):
        with store.write() as session:
            factories.a_person(session)
    long = len(store.settings.heads_file.read_text().splitlines())
    store.begin_laptop()
    lines = store.settings.heads_file.read_text().splitlines()
    assert long > heads.FEW_LINES > len(lines) == len(in_database(store)) == 3
    assert {line for line in lines if first in line} == of_first
    assert said(store).faults == ()
    assert noted(store) == in_database(store)


def test_a_line_that_somebody_else_signed_is_named(store: Store, settings: Settings) -> None:
    other = settings.with_(data=settings.data / "other")
    keys.make(other)
    with store.write() as session:
        factories.a_job(session)
    text = store.settings.heads_file.read_text()
    line = json.loads(text.splitlines()[-1])
    line["signature"] = keys.sign(other, b"{}")
    store.settings.heads_file.write_text(text + json.dumps(line) + "\n")
    assert said(store).faults == ("line 3 of the heads file is not signed by the laptop whose chain it names",)
    store.begin_laptop()  # leaves it to be seen
    assert len(said(store).faults) == 1
    assert [str(one) for one in check.run(store.settings, full=False).findings] == list(said(store).faults)


def begin(settings: Settings, ready: object, results: object) -> None:
    store = Store(settings)
    ready.wait()  # type: ignore[attr-defined]
    results.put(store.begin_laptop())  # type: ignore[attr-defined]
    store.close()


def test_processes_that_start_at_once_begin_one_laptop(databases: Databases, settings: Settings) -> None:
    with databases.fresh("sqlite packaged", settings.data) as fresh:
        ready, results = SPAWN.Barrier(3), SPAWN.Queue()
        processes = [SPAWN.Process(target=begin, args=(fresh, ready, results)) for _ in range(3)]
        for process in processes:
            process.start()
        ids = {results.get(timeout=60) for _ in processes}
        for process in processes:
            process.join()
        store = Store(fresh)
        with store.read() as session:
            assert set(session.scalars(select(LaptopStart.laptop_id))) == ids
        assert len(ids) == 1
        store.close()
        results.close()
