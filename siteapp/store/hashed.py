"""Folders whose files are named by the SHA-256 of what is in them, and files that are there whole or not at all."""

from __future__ import annotations

import errno
import hashlib
import os
import re
from typing import TYPE_CHECKING
from uuid import uuid4

from siteapp.store.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

TEMPORARY = ".part"
SHA256 = re.compile("[0-9a-f]{64}")


class NoRoom(StoreError):
    """The disk is full."""


class HashedFolder:
    """Files under the SHA-256 of their bytes. Safe for several threads and processes at once."""

    def __init__(self, root: Path) -> None:
        """Use `root`; it is made when first needed."""
        self.root = root

    def path(self, sha: str) -> Path:
        """Where the file of this hash is, or would be. Raises ValueError for what is no hash."""
        if not SHA256.fullmatch(sha):
            message = f"{sha[:80]!r} is not a SHA-256 in lower-case hexadecimal"
            raise ValueError(message)
        return self.root / sha[:2] / sha

    def exists(self, sha: str) -> bool:
        """Whether the file is here."""
        return self.path(sha).is_file()

    def read(self, sha: str) -> bytes:
        """The file's bytes."""
        return self.path(sha).read_bytes()

    def read_whole(self, sha: str) -> bytes:
        """The file's bytes. Raises ValueError when they are not those that it is named by."""
        data = self.read(sha)
        if hashlib.sha256(data).hexdigest() != sha:
            message = f"the file {sha} is not as it was written"
            raise ValueError(message)
        return data

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

    def remove(self, sha: str) -> None:
        """Take the file away for good; one that is not here is no fault."""
        path = self.path(sha)
        path.unlink(missing_ok=True)
        if path.parent.is_dir():
            sync_folder(path.parent)

    def hashes(self) -> Iterator[str]:
        """Hashes of every file in the folder, in order."""
        for folder in sorted(self.root.glob("[0-9a-f][0-9a-f]")):
            yield from sorted(file.name for file in folder.iterdir() if SHA256.fullmatch(file.name))


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
