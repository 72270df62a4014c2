"""Photos on disk against photos on record."""

from __future__ import annotations

import hashlib
import re
from itertools import islice
from typing import TYPE_CHECKING

from sqlalchemy import Text, select, type_coerce

from siteapp.keeping import chains
from siteapp.keeping.findings import Finding
from siteapp.keeping.tables import Base
from siteapp.store.models import Entry, EntryPhoto, ErasedPhoto, Photo
from siteapp.store.photos import PhotoFolder

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from sqlalchemy import Connection

    from siteapp.config import Settings
    from siteapp.keeping.chains import Reading
    from siteapp.keeping.findings import Report

CHUNK = 500
BLOCK = 1024 * 1024
SHA256 = type_coerce(Photo.sha256, Text())
ERASED = type_coerce(ErasedPhoto.sha256, Text())
NAME = re.compile("[0-9a-f]{64}")


def walk(reading: Reading, settings: Settings, report: Report, *, full: bool) -> Iterator[int]:
    """Every photo on record has its file, of its size and (if `full`) its hash; yields how many were looked at."""
    folder = PhotoFolder(settings.photos, settings.cache)
    looked, last = 0, ""
    while True:
        query = select(SHA256, Photo.bytes).where(last < SHA256).order_by(SHA256).limit(CHUNK)
        with reading() as connection:
            photos = connection.execute(query).all()
            hashes = [sha for sha, _size in photos]
            erased = set(connection.scalars(select(ERASED).where(chains.among(ErasedPhoto.sha256, hashes))))
        report.count("photos erased", len(erased))
        for sha, size in photos:
            fault = _still_there(folder, sha) if sha in erased else _fault(folder, sha, size, full=full)
            if fault:
                with reading() as connection:
                    report.add([_of(connection, sha, fault)])
            looked, last = looked + 1, sha
            yield looked
        report.count("photos", len(photos))
        if not photos:
            break
    report.count("files in the photos folder that nothing names", _strays(reading, folder))


def hash_of(path: Path) -> str:
    """SHA-256 of a file, read block by block."""
    digest = hashlib.sha256()
    with path.open("rb") as stream:
        while block := stream.read(BLOCK):
            digest.update(block)
    return digest.hexdigest()


def _fault(folder: PhotoFolder, sha: str, size: int, *, full: bool) -> str | None:
    if not NAME.fullmatch(sha):
        return "is on record under a name that is no hash"
    path = folder.path(sha)
    try:
        there = path.stat().st_size
        if there == size and (not full or hash_of(path) == sha):
            return None
    except FileNotFoundError:
        return "has no file"
    except OSError as error:
        return f"has a file that cannot be read ({error.strerror})"
    return "has a file that is not as it was written"


def _still_there(folder: PhotoFolder, sha: str) -> str | None:
    return "was erased, and its file is still there" if NAME.fullmatch(sha) and folder.exists(sha) else None


def _of(connection: Connection, sha: str, fault: str) -> Finding:
    """A finding about a photo, with the first entry that shows it."""
    piece = Base.metadata.tables["piece"]
    query = (
        select(Entry.chain, Entry.seq, Entry.id, Entry.kind, piece.c.number)
        .join(EntryPhoto, EntryPhoto.entry_id == Entry.id)
        .outerjoin(piece, piece.c.piece_id == Entry.piece_id)
        .where(chains.among(EntryPhoto.sha256, [sha]))
        .order_by(Entry.recorded_at, Entry.id)
        .limit(1)
    )
    used = connection.execute(query).first()
    return Finding(f"the photo {sha} {fault}", *(tuple(used) if used else ()))


def _strays(reading: Reading, folder: PhotoFolder) -> int:
    """Files that no row names: photos whose form never came are no fault, but somebody may want to know of them."""
    files = (file for file in folder.root.rglob("*") if file.is_file())
    strays = 0
    while names := [file.name for file in islice(files, CHUNK)]:
        hashes = [name for name in names if NAME.fullmatch(name)]
        with reading() as connection:
            known = connection.execute(select(Photo.sha256).where(Photo.sha256.in_(hashes))).all()
        strays += len(names) - len(known)
    return strays
