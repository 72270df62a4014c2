"""The folder of photos: original bytes under their SHA-256, smaller ones in a cache.

A photo is on disk, hashed and synced, folder and all, before any row names it.
"""

from __future__ import annotations

import contextlib
import time
from typing import TYPE_CHECKING, ClassVar

from siteapp.store.hashed import TEMPORARY, HashedFolder, NoRoom, write_whole
from siteapp.store.images import derivative

if TYPE_CHECKING:
    from pathlib import Path

JPEG_START, JPEG_END = b"\xff\xd8", b"\xff\xd9"


class PhotoFolder(HashedFolder):
    """Photos of one laptop."""

    SIZES: ClassVar[tuple[int, ...]] = (320, 1280, 2000)

    def __init__(self, root: Path, cache: Path) -> None:
        """Use `root` for originals and `cache` for what can be made again."""
        super().__init__(root)
        self.cache = cache / "photos"

    def remove(self, sha: str) -> None:
        """Take a photo away for good, with every smaller copy of it."""
        super().remove(sha)
        for px in self.SIZES:
            self._small(sha, px).unlink(missing_ok=True)

    def derivative(self, sha: str, px: int) -> bytes:
        """The photo made smaller, longest side at most `px` (one of SIZES); made on first view, then cached."""
        if px not in self.SIZES:
            message = f"size is {px}; allowed are {', '.join(map(str, self.SIZES))}"
            raise ValueError(message)
        original = self.path(sha)
        target = self._small(sha, px)
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

    def _small(self, sha: str, px: int) -> Path:
        return self.cache / str(px) / sha[:2] / f"{sha}.jpg"
