"""The web server: cheroot, with an end to every wait for a client that does not send what it announced."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from typing import TYPE_CHECKING, Any

from cheroot import server as cheroot_server
from cheroot import wsgi

from siteapp.config import MEGABYTE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from siteapp.config import Settings

THREADS = 32
BACKLOG = 128
SILENCE_S = 10  # between two pieces of a request
HEADERS_S = 20  # for all of a request's headers
BODY_S = 30  # for a body, and one second more for each SLOWEST_BYTES_PER_S it announces
SLOWEST_BYTES_PER_S = 25_000
STOPPING_S = 1
HEADER_BYTES = 64 * 1024
# The application refuses what is too large in a page of its own; this is for what never gets that far.
BODY_MARGIN_BYTES = 8 * MEGABYTE


class Deadlines:
    """Closes the sockets of clients that took longer than they were given. One thread for all of them."""

    def __init__(self) -> None:
        self._watched: dict[int, tuple[float, socket.socket, Callable[[], bool]]] = {}
        self._lock = threading.Lock()
        self._over = threading.Event()
        threading.Thread(target=self._sweep, daemon=True, name="deadlines").start()

    @contextlib.contextmanager
    def within(self, seconds: float, connection: socket.socket, waiting: Callable[[], bool]) -> Iterator[None]:
        """Cut `connection` off when, after `seconds`, `waiting()` says that it still owes us something."""
        key = id(connection)
        with self._lock:
            self._watched[key] = (time.monotonic() + seconds, connection, waiting)
        try:
            yield
        finally:
            with self._lock:
                self._watched.pop(key, None)

    def stop(self) -> None:
        """End the thread."""
        self._over.set()

    def _sweep(self) -> None:
        while not self._over.wait(0.5):
            now = time.monotonic()
            with self._lock:
                late = [entry for entry in self._watched.values() if entry[0] < now and entry[2]()]
            for _deadline, connection, _waiting in late:
                with contextlib.suppress(OSError):
                    connection.shutdown(socket.SHUT_RDWR)


class Request(cheroot_server.HTTPRequest):
    """One request, read within its time."""

    def parse_request(self) -> None:
        """Read the headers."""
        with self.server.deadlines.within(HEADERS_S, self.conn.socket, lambda: not self.ready):
            super().parse_request()

    def respond(self) -> None:
        """Read the body and answer."""
        length = self.inheaders.get(b"Content-Length", b"")
        announced = int(length) if length.isdigit() else 0
        if not announced and b"Transfer-Encoding" not in self.inheaders:
            super().respond()
            return
        seconds = BODY_S + announced / SLOWEST_BYTES_PER_S
        with self.server.deadlines.within(seconds, self.conn.socket, self._body_is_owed):
            super().respond()

    def _body_is_owed(self) -> bool:
        body = getattr(self, "rfile", None)
        remaining = getattr(body, "remaining", None)
        return remaining > 0 if remaining is not None else not getattr(body, "closed", True)


class Connection(cheroot_server.HTTPConnection):
    """A connection whose requests have their time."""

    RequestHandlerClass = Request

    def communicate(self) -> bool:
        """Answer the next request; hang up on who came by an address that is not served."""
        only = self.server.only_at
        return (only is None or self._came_to() in only) and super().communicate()

    def _came_to(self) -> str:
        # OSError: the other end has hung up already.
        with contextlib.suppress(OSError):
            return str(self.socket.getsockname()[0])
        return ""


class Server(wsgi.Server):
    """A server for one application, which may be given to it after its port is bound."""

    ConnectionClass = Connection

    def __init__(self, settings: Settings) -> None:
        super().__init__(
            (settings.host, settings.port),
            None,
            numthreads=THREADS,
            server_name="siteapp",
            request_queue_size=BACKLOG,
            timeout=SILENCE_S,
            shutdown_timeout=STOPPING_S,
        )
        self.software = "siteapp"
        self.max_request_header_size = HEADER_BYTES
        self.max_request_body_size = settings.max_photo_bytes + BODY_MARGIN_BYTES
        self.deadlines = Deadlines()
        # Of the addresses it is bound to, those at which it answers; None for all of them.
        self.only_at: frozenset[str] | None = None

    def stop(self, *arguments: Any) -> None:
        """Stop serving; requests at work get a second."""
        self.deadlines.stop()
        super().stop(*arguments)
