"""Opens the database with the settings that keep what is committed, and reads them back.

SQLite's write-ahead log can be corrupted by builds before 3.51.3 (3.44.6 and 3.50.7 have the mend) when two
connections write and checkpoint at once, so below those the rollback journal is used.
"""

from __future__ import annotations

import importlib
import sqlite3
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url

from siteapp.store.errors import UnsoundDatabase

if TYPE_CHECKING:
    from types import ModuleType

    from sqlalchemy.engine.interfaces import DBAPIConnection

    from siteapp.config import Settings

BUSY_TIMEOUT_MS = 10_000
OLDEST_SQLITE = (3, 37, 0)  # the first with STRICT tables
WRITE = "siteapp_write"


def sqlite_module(choice: str) -> ModuleType:
    """The SQLite driver asked for: the one packaged with a current SQLite where there is one, else Python's own."""
    if choice in {"auto", "pysqlite3"}:
        try:
            return importlib.import_module("pysqlite3.dbapi2")
        except ImportError:
            if choice == "pysqlite3":
                raise
    return sqlite3


def wal_is_sound(version: tuple[int, ...]) -> bool:
    """Whether this SQLite version's write-ahead log stands two writers that checkpoint at once."""
    return version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51) or (3, 44, 6) <= version < (3, 45)


def make_engine(settings: Settings) -> Engine:
    """An engine on the database of `settings`, SQLite unless another is named.

    Raises UnsoundDatabase when the database does not take the settings that keep what is committed.
    """
    if settings.database_url:
        url = make_url(settings.database_url)
        if url.get_backend_name() != "postgresql":
            message = f"SITEAPP_DATABASE_URL names {url.get_backend_name()}; allowed is postgresql"
            raise UnsoundDatabase(message)
        # Fifteen kept and fifteen more: with 32 threads a request seldom waits for a connection.
        return create_engine(url.set(drivername="postgresql+psycopg"), pool_size=15, max_overflow=15)
    module = sqlite_module(settings.sqlite_driver)
    version: tuple[int, ...] = module.sqlite_version_info
    if version < OLDEST_SQLITE:
        message = f"SQLite {module.sqlite_version} is too old; 3.37 or newer is needed"
        raise UnsoundDatabase(message)
    settings.data.mkdir(parents=True, exist_ok=True)
    engine = create_engine(
        f"sqlite:///{settings.sqlite_file}",
        module=module,
        connect_args={"isolation_level": None, "timeout": BUSY_TIMEOUT_MS / 1000},
        pool_size=15,
        max_overflow=25,
    )
    _keep_what_is_committed(engine, wal=wal_is_sound(version))
    return engine


def _keep_what_is_committed(engine: Engine, *, wal: bool) -> None:
    # In rollback-journal mode only EXTRA also syncs the folder after the journal is removed.
    wanted = {
        "journal_mode": "wal" if wal else "delete",
        "synchronous": 2 if wal else 3,
        "foreign_keys": 1,
        "recursive_triggers": 1,
        "busy_timeout": BUSY_TIMEOUT_MS,
    }

    @event.listens_for(engine, "connect")
    def _set(connection: DBAPIConnection, _record: Any) -> None:
        cursor = connection.cursor()
        try:
            cursor.execute(f"PRAGMA busy_timeout = {BUSY_TIMEOUT_MS}")
            for name, value in wanted.items():
                cursor.execute(f"PRAGMA {name} = {value}")
                cursor.execute(f"PRAGMA {name}")
                row = cursor.fetchone()
                if row is None or row[0] != value:
                    message = f"SQLite was asked for {name} = {value} and answers {row}; nothing is written to it"
                    raise UnsoundDatabase(message)
        finally:
            cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # A read that turns into a write fails at once when another writer is at work, whatever the time-out;
        # so a transaction that will write says so from the start.
        write = connection.get_execution_options().get(WRITE)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")
