"""Ends a run in which a browser does nothing any more: its driver would wait without an end."""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from collections.abc import Callable


class Stuck(Exception):
    """Nothing went on for too long."""


class Watch:
    """Calls `bite` from a thread of its own when there was no beat for so many seconds."""

    def __init__(self, bite: Callable[[], None], longest_s: float) -> None:
        self._bite = bite
        self._longest_s = longest_s
        self._last = time.monotonic()
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._look, daemon=True)
        self.bitten = False

    def beat(self) -> None:
        """Something went on. Raises Stuck when it is too late for that."""
        self._last = time.monotonic()
        if self.bitten:
            message = f"nothing went on for {self._longest_s:.0f} s"
            raise Stuck(message)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_about: object) -> None:
        self._over.set()
        self._thread.join()

    def _look(self) -> None:
        while not self._over.wait(1):
            if time.monotonic() - self._last > self._longest_s:
                self.bitten = True
                self._bite()
                return
