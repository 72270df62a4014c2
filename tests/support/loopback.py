"""Fails a test whose own process reaches beyond this machine, even when the code under test swallows the refusal.

An audit hook (PEP 578) sees every socket that Python opens, whichever library asked for it. Programs that a test
starts are not seen.
"""

from __future__ import annotations

import ipaddress
import sys
from typing import Any

WATCHED = {"socket.connect", "socket.sendto", "socket.sendmsg", "socket.getaddrinfo", "socket.gethostbyname"}
HERE = {"localhost", "", None}


class ReachedOut(BaseException):
    """Not an Exception, so that `except Exception` does not hide it from the place where it happened."""


class Guard:
    """Remembers what was tried while it watches."""

    def __init__(self) -> None:
        self.tried: list[str] = []
        self.watching = False
        sys.addaudithook(self._hook)

    def _hook(self, event: str, args: tuple[Any, ...]) -> None:
        if not self.watching or event not in WATCHED:
            return
        place = args[0] if event.startswith("socket.get") else args[1]
        if event.startswith("socket.get"):
            host = place
        elif isinstance(place, tuple):
            host = place[0]
        else:
            return  # a Unix socket's path, or a socket already connected
        if not is_loopback(host):
            self.tried.append(f"{event} {host!r}")
            message = f"a test reached beyond loopback: {event} {host!r}"
            raise ReachedOut(message)


def is_loopback(host: str | bytes | None) -> bool:
    """Whether a host is this machine's own."""
    text = host.decode() if isinstance(host, bytes) else host
    if text in HERE:
        return True
    try:
        return ipaddress.ip_address(text).is_loopback
    except ValueError:
        return False
