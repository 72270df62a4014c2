"""Sessions: one for reading, one for writing. Services get a session and never commit; whoever opened it does."""

from __future__ import annotations

import random
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar

from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from siteapp.store import heads, identity
from siteapp.store.engine import WRITE, make_engine

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from siteapp.config import Settings

T = TypeVar("T")
TRIES = 8
LONGEST_PAUSE_S = 0.05
DATA = "data folder"
# PostgreSQL's "serialization failure" and "deadlock detected": the transaction did nothing and may be run again.
RUN_AGAIN = {"40001", "40P01"}


class Store:
    """The database of one laptop."""

    def __init__(self, settings: Settings) -> None:
        """Open the database of `settings`; nothing is read or made yet."""
        self.settings = settings
        self.engine = make_engine(settings)
        self._writing = self.engine.execution_options(**{WRITE: True})

    @contextmanager
    def read(self) -> Iterator[Session]:
        """A session that reads one state of the database and keeps nothing."""
        with Session(self.engine, autoflush=False, expire_on_commit=False, info=self._info()) as session:
            yield session

    @contextmanager
    def write(self) -> Iterator[Session]:
        """A session whose work is committed as a whole at the end, or not at all when something is raised."""
        with Session(self._writing, expire_on_commit=False, info=self._info()) as session:
            session.connection()  # takes the write lock now, before anything is read
            yield session
            session.commit()
            heads.note(self.settings, session)

    def transact(self, work: Callable[[Session], T]) -> T:
        """Run `work` in a write session; again when PostgreSQL asks for it, since then nothing was done."""
        for attempt in range(1, TRIES + 1):
            try:
                with self.write() as session:
                    return work(session)
            except OperationalError as error:
                if attempt == TRIES or getattr(error.orig, "sqlstate", None) not in RUN_AGAIN:
                    raise
            time.sleep(random.uniform(0, LONGEST_PAUSE_S))  # noqa: S311 - so that two do not meet again
        raise AssertionError  # pragma: no cover - the last attempt returns or raises

    def _info(self) -> dict[str, Path]:
        return {DATA: self.settings.data}

    def begin_laptop(self) -> str:
        """The id of this laptop, made with its key the first time."""
        return identity.ensure(self)

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def data_folder(session: Session) -> Path | None:
    """The folder of what must be kept beside a session's database; None for a session that no store made."""
    return session.info.get(DATA)
