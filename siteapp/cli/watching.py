"""Watches this machine's addresses while it serves: a hotspot that is switched on later, a Wi-Fi that gives another."""

from __future__ import annotations

import sys
import threading
from typing import TYPE_CHECKING

from siteapp.cli.edge import sentence_for

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from siteapp.cli.addresses import Address

EVERY_S = 5


class Watcher:
    """Looks at the addresses every few seconds and tells when they are others than before.

    `find()` gives them, the likeliest first; `changed(now)` is told, in the watcher's own thread, and again at the next
    look if it could not do its work.
    """

    def __init__(
        self,
        find: Callable[[], Sequence[Address]],
        changed: Callable[[Sequence[Address]], None],
        known: Sequence[Address],
        every_s: float = EVERY_S,
    ) -> None:
        self.find = find
        self.changed = changed
        self.known = list(known)
        self.every_s = every_s
        self._complaint = ""
        self._over = threading.Event()

    def start(self) -> None:
        """Begin to watch."""
        threading.Thread(target=self._watch, daemon=True, name="addresses").start()

    def stop(self) -> None:
        """End the thread at its next breath."""
        self._over.set()

    def look(self) -> bool:
        """Look once; whether the addresses were others and everybody was told."""
        now = list(self.find())
        if now == self.known:
            return False
        self.changed(now)
        self.known = now
        return True

    def _watch(self) -> None:
        while not self._over.wait(self.every_s):
            try:
                self.look()
            except Exception as error:
                # A database that is busy or full is no reason to stop looking; said once, not every few seconds.
                complaint = sentence_for(error) or f"The addresses could not be noted: {error!r}."
                if complaint != self._complaint:
                    self._complaint = complaint
                    print(complaint, file=sys.stderr, flush=True)
