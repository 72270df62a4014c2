"""Brings the database to the schema that this program knows: one process at a time, a copy kept before."""

from __future__ import annotations

import os
import shutil
import subprocess
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from siteapp.store.engine import WRITE, make_engine
from siteapp.store.errors import UnsoundDatabase

if TYPE_CHECKING:
    from collections.abc import Iterator

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
    scripts = ScriptDirectory(str(SCRIPTS))
    target = scripts.get_current_head() if to == HEAD else to
    engine = make_engine(settings)
    try:
        with (
            _alone(settings),
            engine.execution_options(**{WRITE: True}).connect() as connection,
        ):
            with connection.begin():
                if engine.dialect.name == "postgresql":
                    connection.execute(
                        text("SELECT pg_advisory_xact_lock(:key)"),
                        {"key": ADVISORY_LOCK},
                    )
                known = current(connection)
                if known == target:
                    return
                _refuse_newer(scripts, known)
                if known is not None:
                    _keep_copy(settings, engine, known)
                config = Config()
                config.set_main_option("script_location", str(SCRIPTS))
                config.attributes["connection"] = connection
                command.upgrade(config, to)
    finally:
        engine.dispose()


def current(connection: Connection) -> str | None:
    """The revision a database is at; None when it is empty."""
    return MigrationContext.configure(connection).get_current_revision()


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
    dump = shutil.which("pg_dump")
    if dump is None:
        message = "pg_dump is not on this machine, so no copy can be kept before the database is migrated; install it"
        raise UnsoundDatabase(message)
    address = engine.url.set(drivername="postgresql").render_as_string(hide_password=False)
    file = str(target.with_suffix(".dump"))
    done = subprocess.run(
        [dump, "--format=custom", f"--file={file}", f"--dbname={address}"],
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        message = f"no copy could be kept before the migration: {done.stderr.strip()}"
        raise UnsoundDatabase(message)


@contextmanager
def _alone(settings: Settings) -> Iterator[None]:
    """Hold the data folder's migration lock; a second process waits here."""
    with (settings.data / "migrating.lock").open("w") as handle:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle.fileno(), msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
