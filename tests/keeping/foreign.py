"""Changes made to a database by another program, with none of the care that this one takes."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import psycopg

from siteapp.store.engine import sqlite_module

if TYPE_CHECKING:
    from collections.abc import Iterator

    from siteapp.config import Settings


@contextmanager
def connection(settings: Settings) -> Iterator[Any]:
    """A plain connection: on SQLite without foreign keys and without `recursive_triggers`, each statement committed."""
    if settings.database_url:
        with psycopg.connect(settings.database_url, autocommit=True) as opened:
            yield opened
        return
    opened = sqlite_module(settings.sqlite_driver).connect(settings.sqlite_file, isolation_level=None)
    try:
        yield opened
    finally:
        opened.close()


def error_of(settings: Settings) -> type[Exception]:
    """What the driver raises."""
    error: type[Exception]
    error = psycopg.Error if settings.database_url else sqlite_module(settings.sqlite_driver).Error
    return error


def disarm(opened: Any, settings: Settings, *tables: str) -> list[str]:
    """Take the triggers of some tables away; returns the statements that put them back."""
    if settings.database_url:
        for table in tables:
            opened.execute(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        return [f"ALTER TABLE {table} ENABLE TRIGGER USER" for table in tables]
    back = []
    for table in tables:
        query = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ?"
        for name, text in opened.execute(query, (table,)).fetchall():
            opened.execute(f"DROP TRIGGER {name}")
            back.append(text)
    return back
