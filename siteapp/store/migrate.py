"""Brings the database to the schema that this program knows: one process at a time, a copy kept before."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, text

from siteapp.store import dumps
from siteapp.store.engine import WRITE, make_engine
from siteapp.store.errors import UnsoundDatabase
from siteapp.store.locks import alone

if TYPE_CHECKING:
    from alembic.script import ScriptDirectory
    from sqlalchemy import Connection, Engine

    from siteapp.config import Settings

SCRIPTS = Path(__file__).resolve().parents[2] / "migrations"
HEAD = "head"
# Any number will do, so long as every siteapp process asks PostgreSQL for the same one.
ADVISORY_LOCK = 7_236_021


def upgrade(settings: Settings, *, to: str = HEAD) -> None:
    """Bring the database to revision `to`; nothing is changed when one of the steps fails.

    Raises UnsoundDatabase when the database was written by a newer program, or when no copy could be kept first.
    """
    settings.data.mkdir(parents=True, exist_ok=True)
    target = newest() if to == HEAD else to
    engine = make_engine(settings)
    try:
        writing = engine.execution_options(**{WRITE: True})
        with alone(settings, "migrating"), writing.connect() as connection, connection.begin():
            if engine.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": ADVISORY_LOCK})
            known = current(connection)
            if known == target:
                return
            # Imported only where there is something to do: it takes a third of a start that has nothing to migrate.
            from alembic import command
            from alembic.config import Config
            from alembic.script import ScriptDirectory

            _refuse_newer(ScriptDirectory(str(SCRIPTS)), known)
            if known is not None:
                _keep_copy(settings, engine, known)
            config = Config()
            config.set_main_option("script_location", str(SCRIPTS))
            config.attributes["connection"] = connection
            command.upgrade(config, to)
    finally:
        engine.dispose()


def newest() -> str:
    """The revision that this program's migrations lead to; their files are named by it, in order."""
    return max(path.name.partition("_")[0] for path in (SCRIPTS / "versions").glob("*_*.py"))


def current(connection: Connection) -> str | None:
    """The revision a database is at; None when it is empty."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def copy_sqlite(source: Engine, target: Path) -> None:
    """Copy a SQLite database whole and consistent (VACUUM INTO), also while others write to it.

    The copy is on disk under its final name or not there at all.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    temporary = target.with_name(target.name + ".part")
    temporary.unlink(missing_ok=True)
    raw = source.raw_connection()
    try:
        raw.cursor().execute("VACUUM INTO ?", (str(temporary),))
    finally:
        raw.close()
    handle = os.open(temporary, os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
    temporary.replace(target)


def _refuse_newer(scripts: ScriptDirectory, known: str | None) -> None:
    if known is not None and known not in {script.revision for script in scripts.walk_revisions()}:
        message = f"the database is at revision {known}, written by a newer siteapp; use that one, or restore a backup"
        raise UnsoundDatabase(message)


def _keep_copy(settings: Settings, engine: Engine, known: str) -> None:
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    target = settings.copies / f"before-{known}-{stamp}"
    settings.copies.mkdir(parents=True, exist_ok=True)
    if engine.dialect.name == "sqlite":
        other = make_engine(settings)
        try:
            copy_sqlite(other, target.with_suffix(".db"))
        finally:
            other.dispose()
        return
    dumps.write(engine.url, target.with_suffix(".dump"))
