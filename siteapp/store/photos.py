"""The folder of photos: original bytes under their SHA-256, smaller ones in a cache.

A photo is on disk, hashed and synced, folder and all, before any row names it.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import time
from typing import TYPE_CHECKING, ClassVar
from uuid import uuid4

from siteapp.store.errors import StoreError
from siteapp.store.images import derivative

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

TEMPORARY = ".part"
JPEG_START, JPEG_END = b"\xff\xd8", b"\xff\xd9"
SHA256 = re.compile("[0-9a-f]{64}")


class NoRoom(StoreError):
    """The disk is full."""


class PhotoFolder:
    """Photos of one laptop. Safe for several threads and processes at once."""

    SIZES: ClassVar[tuple[int, ...]] = (320, 1280, 2000)

    def __init__(self, root: Path, cache: Path) -> None:
        """Use `root` for originals and `cache` for what can be made again."""
        self.root = root
        self.cache = cache / "photos"

    def path(self, sha: str) -> Path:
        """Where the photo of this hash is, or would be. Raises ValueError for what is no hash."""
        if not SHA256.fullmatch(sha):
            message = f"{sha[:80]!r} is not a SHA-256 in lower-case hexadecimal"
            raise ValueError(message)
        return self.root / sha[:2] / sha

    def exists(self, sha: str) -> bool:
        """Whether the photo is here."""
        return self.path(sha).is_file()

    def read(self, sha: str) -> bytes:
        """The photo's original bytes."""
        return self.path(sha).read_bytes()

    def put(self, data: bytes) -> str:
        """Keep bytes on disk and return their SHA-256. Kept twice, they are there once.

        An existing file is hashed before it is believed; a damaged one is replaced. Raises NoRoom on a full disk.
        """
        sha = hashlib.sha256(data).hexdigest()
        target = self.path(sha)
        if target.is_file() and hashlib.sha256(target.read_bytes()).hexdigest() == sha:
            # Whoever wrote it may have been stopped between naming it and making the name durable.
            sync_folder(target.parent)
            sync_folder(self.root)
            return sha
        write_whole(target, data)
        return sha

    def derivative(self, sha: str, px: int) -> bytes:
        """The photo made smaller, longest side at most `px` (one of SIZES); made on first view, then cached."""
        if px not in self.SIZES:
            message = f"size is {px}; allowed are {', '.join(map(str, self.SIZES))}"
            raise ValueError(message)
        original = self.path(sha)
        target = self.cache / str(px) / sha[:2] / f"{sha}.jpg"
        with contextlib.suppress(OSError):
            small = target.read_bytes()
            # Not synced when written, so a power cut may have left it empty or full of zeros.
            if small.startswith(JPEG_START) and small.endswith(JPEG_END):
                return small
        small = derivative(original.read_bytes(), px)
        # A cache that cannot be written is no reason not to show the photo.
        with contextlib.suppress(NoRoom, OSError):
            write_whole(target, small, sync=False)
        return small

    def hashes(self) -> Iterator[str]:
        """Hashes of every photo in the folder, in order."""
        for folder in sorted(self.root.glob("[0-9a-f][0-9a-f]")):
            yield from sorted(file.name for file in folder.iterdir() if SHA256.fullmatch(file.name))

    def sweep(self, older_than_s: float) -> int:
        """Remove temporaries left by writes that never ended, if older than this; returns how many."""
        swept = 0
        before = time.time() - older_than_s
        for file in (*self.root.glob(f"*/*{TEMPORARY}"), *self.cache.glob(f"*/*/*{TEMPORARY}")):
            # Another process may be sweeping too, or just ending the write.
            with contextlib.suppress(FileNotFoundError):
                if file.stat().st_mtime < before:
                    file.unlink()
                    swept += 1
        return swept


def write_whole(target: Path, data: bytes, *, sync: bool = True) -> None:
    """Write a file so that it is there whole or not at all: aside, synced, renamed, its folder synced."""
    temporary = target.with_name(f"{target.name}.{uuid4().hex}{TEMPORARY}")
    try:
        _make_folder(target.parent)
        with temporary.open("xb") as stream:
            stream.write(data)
            stream.flush()
            if sync:
                os.fsync(stream.fileno())
        temporary.replace(target)
        if sync:
            sync_folder(target.parent)
            # The folder may be one that another process has just made and not yet synced.
            sync_folder(target.parent.parent)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        if error.errno in {errno.ENOSPC, errno.EDQUOT}:
            message = "The laptop's disk is full, so this was not kept. Make room, then send it again."
            raise NoRoom(message) from error
        raise


def sync_folder(folder: Path) -> None:
    """Make a folder's names durable; systems that cannot open a folder do it by themselves."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _make_folder(folder: Path) -> None:
    if folder.is_dir():
        return
    _make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync_folder(folder.parent)
