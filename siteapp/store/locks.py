"""One process at a time, by a lock on a file in the data folder; the lock goes with the process that holds it."""

from __future__ import annotations

import os
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from siteapp.config import Settings


@contextmanager
def alone(settings: Settings, doing: str) -> Iterator[None]:
    """Hold the data folder's lock for `doing`; a second process waits here."""
    settings.data.mkdir(parents=True, exist_ok=True)
    with (settings.data / f"{doing}.lock").open("w") as handle:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle.fileno(), msvcrt.LK_LOCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
