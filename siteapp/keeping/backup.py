"""A backup: a folder that holds everything that must not be lost, and a manifest to prove it by.

    siteapp-backup-20260301T093000Z/
        manifest.json   every other file with its size and SHA-256, and what is not in it
        siteapp.db      the database as one consistent state (PostgreSQL: siteapp.dump)
        heads.jsonl     the noted heads of the chains, signed
        photos/ab/ab…   original photos
        certificates/ab/ab…  issued certificates, as they were signed

The order matters, since others may write meanwhile: noted heads first, which must not be ahead of the database; then
the database; then photos and certificates, each of which was on disk before the row that names it. This laptop's
private keys stay at home: who restores a backup begins a new laptop, so that two machines never write one chain.
Passphrases are in the database, as hashes; keep a backup as you would keep the laptop.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import inspect, select

from siteapp.keeping.certificates import certificate_files
from siteapp.keeping.findings import silent
from siteapp.store import dumps, migrate
from siteapp.store.engine import make_engine
from siteapp.store.errors import StoreError
from siteapp.store.hashed import HashedFolder, sync_folder
from siteapp.store.identity import LAPTOP
from siteapp.store.models import ErasedPhoto, Photo, Setting

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from sqlalchemy import Engine

    from siteapp.config import Settings
    from siteapp.keeping.findings import Progress

FORMAT = 1
MANIFEST = "manifest.json"
DATABASES = {"sqlite": "siteapp.db", "postgresql": "siteapp.dump"}
HEADS = "heads.jsonl"
UNFINISHED = ".part"
NOT_IN_IT = (
    "the private keys of the laptop: the one that signs certificates is saved by `key save`",
    "smaller copies of photos, which can be made again",
)
BLOCK = 1024 * 1024


class BackupError(StoreError):
    """A backup could not be made or brought back; the message says why, and what to do."""


class IncompleteBackup(BackupError):
    """A backup was written, but photos that the database names were not whole when it was."""

    def __init__(self, path: Path, missing: int, damaged: int) -> None:
        super().__init__(
            f"the backup {path} was written, but {missing} photos or certificates were gone and {damaged} damaged "
            "before it began; run `check` to see which, and keep the backups you made earlier"
        )
        self.path = path


@dataclass(frozen=True)
class Kept:
    """One file of a backup."""

    path: str
    bytes: int
    sha256: str


def make(settings: Settings, target: Path | None = None, progress: Progress | None = None) -> Path:
    """Write a backup into the folder `target` and return its own folder; others may go on writing.

    Without `target` it goes beside the data folder, into one of the same name with `-backups` behind it. The backup
    is there whole or not at all. Raises BackupError, and IncompleteBackup when photos on record were not on disk.
    """
    progress = progress or silent
    if not settings.database_url and not settings.sqlite_file.exists():
        message = f"there is no database at {settings.sqlite_file}, so there is nothing to back up"
        raise BackupError(message)
    folder = target or settings.data.with_name(f"{settings.data.name}-backups")
    if settings.data.resolve() in (folder.resolve(), *folder.resolve().parents):
        message = f"{folder} is inside the data folder, and would be lost with it; choose another, best on another disk"
        raise BackupError(message)
    with _whole(folder) as (unfinished, finished):
        missing, damaged = _fill(settings, unfinished, progress)
    if missing or damaged:
        raise IncompleteBackup(finished, len(missing), len(damaged))
    return finished


def copy(source: Path, target: Path) -> tuple[int, str]:
    """Copy a file to disk, durably; returns its size and the SHA-256 of what was written."""
    digest, size = hashlib.sha256(), 0
    target.parent.mkdir(parents=True, exist_ok=True)
    with source.open("rb") as reading, target.open("xb") as writing:
        while block := reading.read(BLOCK):
            digest.update(block)
            size += writing.write(block)
        writing.flush()
        os.fsync(writing.fileno())
    return size, digest.hexdigest()


@contextmanager
def _whole(folder: Path) -> Iterator[tuple[Path, Path]]:
    """A new folder that gets its name when it is full, and is gone when it cannot be filled."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    folder.mkdir(parents=True, exist_ok=True)
    names = (f"siteapp-backup-{stamp}{more}" for more in ("", *(f"-{number}" for number in range(2, 1000))))
    finished = next(folder / name for name in names if not (folder / name).exists())
    unfinished = folder / f"{finished.name}-{os.getpid()}{UNFINISHED}"
    unfinished.mkdir(mode=0o700)
    try:
        yield unfinished, finished
        for inner in (*(path for path in unfinished.rglob("*") if path.is_dir()), unfinished):
            sync_folder(inner)
        unfinished.rename(finished)
        sync_folder(folder)
    except BaseException:
        shutil.rmtree(unfinished, ignore_errors=True)
        raise


def _fill(settings: Settings, folder: Path, progress: Progress) -> tuple[list[str], list[str]]:
    kept: list[Kept] = []
    engine = make_engine(settings)
    try:
        progress(0, 1, "database")
        if settings.heads_file.exists():
            kept.append(Kept(HEADS, *copy(settings.heads_file, folder / HEADS)))
        facts = _facts(engine)
        kept.append(_database(engine, folder))
        missing, damaged = _files(settings, engine, folder, kept, progress)
    finally:
        engine.dispose()
    manifest = {
        "what": "siteapp backup",
        "format": FORMAT,
        "made_at": datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        **facts,
        "files": [asdict(one) for one in kept],
        "missing_photos": missing,
        "damaged_photos": damaged,
        "not_in_it": NOT_IN_IT,
    }
    with (folder / MANIFEST).open("x", encoding="utf-8") as stream:
        json.dump(manifest, stream, indent=1)
        stream.flush()
        os.fsync(stream.fileno())
    return missing, damaged


def _facts(engine: Engine) -> dict[str, Any]:
    with engine.connect() as connection:
        revision = migrate.current(connection)
        if revision is None:
            message = "the database is empty, so there is nothing to back up"
            raise BackupError(message)
        laptop = connection.scalar(select(Setting.value).where(Setting.name == LAPTOP))
    return {"database": engine.dialect.name, "revision": revision, "laptop_id": laptop}


def _database(engine: Engine, folder: Path) -> Kept:
    name = DATABASES[engine.dialect.name]
    if engine.dialect.name == "sqlite":
        migrate.copy_sqlite(engine, folder / name)
    else:
        dumps.write(engine.url, folder / name)
    return Kept(name, *_hash(folder / name))


def _files(
    settings: Settings, engine: Engine, folder: Path, kept: list[Kept], progress: Progress
) -> tuple[list[str], list[str]]:
    # Asked of the live database, after its copy was taken: at least the files that the copy names.
    with engine.connect() as connection:
        photos = set(connection.scalars(select(Photo.sha256)))
        certificates: list[str] = []
        # A database that was not migrated yet has no such tables.
        if inspect(connection).has_table(ErasedPhoto.__tablename__):
            photos -= set(connection.scalars(select(ErasedPhoto.sha256)))
            certificates = list(connection.scalars(certificate_files()))
    wanted = [(HashedFolder(settings.photos), "photos", sha) for sha in sorted(photos)]
    wanted += [(HashedFolder(settings.certificates), "certificates", sha) for sha in certificates]
    missing: list[str] = []
    damaged: list[str] = []
    for done, (files, name, sha) in enumerate(wanted, start=1):
        source = files.path(sha)
        path = f"{name}/{source.relative_to(files.root).as_posix()}"
        try:
            size, found = copy(source, folder / path)
        except FileNotFoundError:
            missing.append(sha)
        else:
            kept.append(Kept(path, size, found))
            if found != sha:
                damaged.append(sha)  # kept all the same: half a picture is more than none
        progress(done, len(wanted), name)
    return missing, damaged


def _hash(path: Path) -> tuple[int, str]:
    digest = hashlib.sha256()
    with path.open("rb") as stream:
        while block := stream.read(BLOCK):
            digest.update(block)
        os.fsync(stream.fileno())
        return stream.tell(), digest.hexdigest()
