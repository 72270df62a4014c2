"""Migrated databases, made once a session and copied for each test."""

from __future__ import annotations

import itertools
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING

from siteapp.config import Settings
from siteapp.store import migrate
from siteapp.store.db import Store

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from tests.support.postgresql import Server

PACKAGED = "sqlite packaged"
OF_PYTHON = "sqlite of Python"
POSTGRESQL = "postgresql"
KINDS = (PACKAGED, OF_PYTHON, POSTGRESQL)
DRIVERS = {PACKAGED: "pysqlite3", OF_PYTHON: "sqlite3"}
TEMPLATE = "siteapp_template"


class Databases:
    """Hands out fresh databases of each kind, empty or migrated."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._migrated: dict[str, Path] = {}
        self._server: Server | None = None
        self._numbers = itertools.count()

    @contextmanager
    def fresh(self, kind: str, data: Path, *, migrated: bool = True) -> Iterator[Settings]:
        """Settings of a database of its own in `data`, which is gone afterwards."""
        if kind == POSTGRESQL:
            server = self._running()
            name = f"siteapp_{next(self._numbers)}"
            url = server.make(name, TEMPLATE if migrated else "template0")
            data.mkdir(parents=True, exist_ok=True)
            try:
                yield Settings(data=data, database_url=url)
            finally:
                server.drop(name)
            return
        settings = Settings(data=data, sqlite_driver=DRIVERS[kind])
        if migrated:
            data.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(self._template(kind), settings.sqlite_file)
        yield settings

    def _template(self, kind: str) -> Path:
        if kind not in self._migrated:
            settings = Settings(data=self._folder / DRIVERS[kind], sqlite_driver=DRIVERS[kind])
            migrate.upgrade(settings)
            self._migrated[kind] = settings.sqlite_file
        return self._migrated[kind]

    def _running(self) -> Server:
        if self._server is None:
            from tests.support.postgresql import Server, programs

            found = programs()
            if found is None:
                import pytest

                pytest.skip("no PostgreSQL server programs on this machine; `siteapp setup --tests` installs them")
            self._server = Server(found)
            settings = Settings(data=self._folder / "pg", database_url=self._server.make(TEMPLATE, "template0"))
            migrate.upgrade(settings)
        return self._server

    def stop(self) -> None:
        """Stop the server if one was started."""
        if self._server is not None:
            self._server.stop()


@contextmanager
def opened(settings: Settings) -> Iterator[Store]:
    """A store with its laptop begun."""
    store = Store(settings)
    try:
        store.begin_laptop()
        yield store
    finally:
        store.close()
