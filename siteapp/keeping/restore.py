"""Brings a backup back into an empty data folder, as a new laptop.

Everything is made ready in a folder aside (within the data folder, so on the same disk), and moved into its place at
the end, the database last: a data folder without a database is an empty one, so that a restore which is cut off
anywhere can simply be begun again.
"""

from __future__ import annotations

import json
import re
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, inspect, text

from siteapp.keeping.backup import DATABASES, FORMAT, MANIFEST, UNFINISHED, BackupError, Kept, copy
from siteapp.keeping.findings import silent
from siteapp.people.models import SignIn, SignInDelay
from siteapp.store import dumps, identity, migrate, triggers
from siteapp.store.db import Store
from siteapp.store.engine import make_engine
from siteapp.store.hashed import sync_folder

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from siteapp.config import Settings
    from siteapp.keeping.findings import Progress

ASIDE = ".restoring"
MOVING = "moving"
# A manifest is a file like any other: it may not lead out of the folder.
NAME = re.compile(r"(siteapp\.db|siteapp\.dump|heads\.jsonl|(photos|certificates)/[0-9a-f]{2}/[0-9a-f]{64})")
HASH = re.compile("[0-9a-f]{64}")


def restore(settings: Settings, source: Path, progress: Progress | None = None) -> None:
    """Bring the backup in the folder `source` back; wholly, or nothing is changed.

    Everybody is signed out, and a new laptop begins whose first entry names the heads of the chains it found. Raises
    BackupError when the backup is not as it was written or the data folder is not empty, and UnsoundDatabase when the
    backup comes from a newer program.
    """
    progress = progress or silent
    kind = "postgresql" if settings.database_url else "sqlite"
    kept = _read(source, kind)
    aside = settings.data / ASIDE
    _sweep(settings, aside)
    _refuse_occupied(settings)
    aside.mkdir(mode=0o700, parents=True)
    try:
        for done, one in enumerate(kept):
            progress(done, len(kept), "files")
            _take(source, aside, one)
        progress(len(kept), len(kept), "files")
        if kind == "sqlite":
            _begin(settings.with_(data=aside))
            _move(aside, settings)
        else:
            with _emptied_on_failure(settings):
                dumps.load(_url(settings), aside / DATABASES[kind])
                (aside / DATABASES[kind]).unlink()
                _begin(settings.with_(data=aside))
                _move(aside, settings)
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _read(source: Path, kind: str) -> list[Kept]:
    """What the manifest names. Raises BackupError when it is not one that this program can bring back here."""
    if source.name.endswith(UNFINISHED):
        message = f"{source} is a backup that was never finished"
        raise BackupError(message)
    try:
        said = json.loads((source / MANIFEST).read_text("utf-8"))
    except OSError as error:
        message = f"{source} is no backup: there is no {MANIFEST} in it that can be read"
        raise BackupError(message) from error
    except ValueError as error:
        raise BackupError(_damaged(source, MANIFEST)) from error
    try:
        if said["what"] != "siteapp backup" or said["format"] != FORMAT:
            message = f"{source} is a backup in a form that this program does not know; use a newer one"
            raise BackupError(message)
        kept = [_kept(file) for file in said["files"]]
        made_from = said["database"]
    except (KeyError, TypeError, ValueError) as error:
        raise BackupError(_damaged(source, MANIFEST)) from error
    if made_from != kind:
        wanted = "unset" if made_from == "sqlite" else "set"
        message = f"{source} was made from {made_from}; {wanted} SITEAPP_DATABASE_URL to bring it back"
        raise BackupError(message)
    if DATABASES[kind] not in {one.path for one in kept}:
        raise BackupError(_damaged(source, MANIFEST))
    return kept


def _kept(file: dict[str, Any]) -> Kept:
    kept = Kept(str(file["path"]), int(file["bytes"]), str(file["sha256"]))
    if not NAME.fullmatch(kept.path) or not HASH.fullmatch(kept.sha256):
        message = f"{kept.path!r} is no file of a backup"
        raise ValueError(message)
    return kept


def _take(source: Path, aside: Path, one: Kept) -> None:
    try:
        size, sha256 = copy(source / one.path, aside / one.path)
    except FileNotFoundError as error:
        message = f"{source / one.path} is missing from the backup; nothing was changed"
        raise BackupError(message) from error
    if (size, sha256) != (one.bytes, one.sha256):
        raise BackupError(_damaged(source, one.path))


def _damaged(source: Path, path: str) -> str:
    return f"{source / path} is not as it was written, so nothing was brought back; use another backup"


def _places(settings: Settings) -> tuple[Path, ...]:
    return (
        settings.sqlite_file,
        settings.photos,
        settings.certificates,
        settings.keys,
        settings.heads_file,
        settings.copies,
    )


def _sweep(settings: Settings, aside: Path) -> None:
    """Take away what a restore left that was cut off. It had found these places empty, so all in them is its own."""
    if (aside / MOVING).exists() and not settings.sqlite_file.exists():
        for place in _places(settings):
            shutil.rmtree(place, ignore_errors=True) if place.is_dir() else place.unlink(missing_ok=True)
    shutil.rmtree(aside, ignore_errors=True)


def _refuse_occupied(settings: Settings) -> None:
    for place in _places(settings):
        if place.exists() and (place.is_file() or any(place.iterdir())):
            message = f"{place} is there already; choose an empty folder with SITEAPP_DATA, or move this one aside"
            raise BackupError(message)
    if settings.database_url:
        engine = make_engine(settings)
        try:
            if inspect(engine).get_table_names():
                message = "the database that SITEAPP_DATABASE_URL names is not empty; name an empty one"
                raise BackupError(message)
        finally:
            engine.dispose()


def _begin(settings: Settings) -> None:
    """Bring the database up to date, sign everybody out, begin the new laptop."""
    migrate.upgrade(settings)
    store = Store(settings)
    try:
        with store.write() as session:
            session.execute(delete(SignIn))
            session.execute(delete(SignInDelay))
        identity.begin(store)
    finally:
        store.close()


def _move(aside: Path, settings: Settings) -> None:
    """Move everything into its place, the database last; back again if one cannot be moved."""
    database = settings.sqlite_file.name
    found = sorted(aside.iterdir(), key=lambda path: (path.name.startswith(database), path.name == database))
    moved: list[Path] = []
    (aside / MOVING).touch()
    try:
        for path in found:
            target = settings.data / path.name
            if target.is_dir():
                target.rmdir()  # empty, or it would have been refused
            path.rename(target)
            moved.append(target)
        sync_folder(settings.data)
    except BaseException:
        for target in moved:
            target.rename(aside / target.name)
        raise


@contextmanager
def _emptied_on_failure(settings: Settings) -> Iterator[None]:
    """Leave the PostgreSQL database as empty as it was found when something after its loading fails."""
    try:
        yield
    except BaseException:
        engine = make_engine(settings)
        try:
            with engine.begin() as connection:
                names = inspect(connection).get_table_names()
                for name in names:
                    connection.execute(text(f'DROP TABLE "{name}" CASCADE'))
                for name in names:
                    connection.execute(text(f'DROP FUNCTION IF EXISTS "recorded_{name}_delete"()'))
                connection.execute(text(f"DROP FUNCTION IF EXISTS {triggers.FUNCTION}()"))
        finally:
            engine.dispose()
        raise


def _url(settings: Settings) -> Any:
    engine = make_engine(settings)
    engine.dispose()
    return engine.url
