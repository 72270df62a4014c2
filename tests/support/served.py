"""An application served on loopback as `serve` does, for a real browser."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING

from cheroot.wsgi import Server

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask


@contextmanager
def served(app: Flask) -> Iterator[str]:
    """The address at which it answers; it ends with the context."""
    server = Server(("127.0.0.1", 0), app)
    server.prepare()
    thread = threading.Thread(target=server.serve, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.bind_addr[1]}"
    server.stop()
    thread.join(timeout=10)
