"""The store opens, writes and reads on every kind of database."""

from __future__ import annotations

import socket
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from siteapp.jobs.services import all_jobs
from siteapp.store.models import Entry, FormPost
from tests import factories
from tests.support.loopback import ReachedOut

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.store.db import Store


def test_what_is_written_is_read_back(database: Store) -> None:
    with database.write() as session:
        job_id = factories.a_job(session)
    with database.read() as session:
        assert [entry.job_id for entry, _job in all_jobs(session)] == [job_id]


def test_work_that_raises_leaves_nothing(database: Store) -> None:
    def work(session: Session) -> None:
        factories.a_job(session)
        raise RuntimeError

    with pytest.raises(RuntimeError):
        database.transact(work)
    with database.read() as session:
        assert all_jobs(session) == []
        assert session.scalars(select(Entry.kind)).all() == ["laptop_start"]
        assert session.scalars(select(FormPost)).all() == []


def test_the_guard_sees_what_reaches_beyond_loopback() -> None:
    from tests.conftest import GUARD

    with pytest.raises(ReachedOut):
        socket.getaddrinfo("somewhere.invalid", 9)  # RFC 2606: a name of nobody
    assert GUARD.tried == ["socket.getaddrinfo 'somewhere.invalid'"]
    GUARD.tried.clear()
