"""Runs the programs that set-up needs, follows what they print, and says in a sentence why one failed.

Standard library only.
"""

from __future__ import annotations

import contextlib
import os
import queue
import re
import shutil
import subprocess
import threading
from typing import IO, TYPE_CHECKING, NoReturn, TextIO

from siteapp.bootstrap import Stopped

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

NO_NETWORK = (
    "Cannot reach the package sources: the first set-up needs the internet once. "
    "Connect and start again; it goes on where it stopped."
)
NO_TRUST = (
    "The package source's certificate is not trusted on this machine (a proxy may stand between): "
    "give pip your network's certificate, for example with PIP_CERT, and start again; it goes on where it stopped."
)
NO_SPACE = "There is no space left on the disk; make room and start again, it goes on where it stopped."
# Pip and apt say these in English under LC_ALL=C; there is no exit code that tells a dead network from the rest.
NETWORK_WORDS = re.compile(
    "NewConnectionError|NameResolutionError|ConnectTimeout|ConnectionError|ReadTimeout|ProxyError"
    "|Failed to establish|Temporary failure|Could not resolve|Could not connect|Unable to connect"
    "|Network is unreachable|No route to host|Connection (refused|timed out)"
)


def explain(text: str, what: str) -> NoReturn:
    """Raise Stopped with the sentence that fits what a program printed before it failed."""
    if "No space left on device" in text or "not enough free space" in text.lower():
        raise Stopped(NO_SPACE)
    if NETWORK_WORDS.search(text):
        raise Stopped(NO_NETWORK)
    if "CERTIFICATE_VERIFY_FAILED" in text:
        raise Stopped(NO_TRUST)
    message = f"{text.strip()[-2000:]}\n{what}. The lines above are its last words."
    raise Stopped(message)


@contextlib.contextmanager
def running(
    command: list[str], held: int | None, environment: Mapping[str, str] | None = None
) -> Iterator[tuple[subprocess.Popen[bytes], Iterator[str | None]]]:
    """Run a program and give (process, its lines as they come); None between them when a moment passes without one.

    `held` is a file descriptor that the program keeps open as well, and with it the lock on it.
    """
    process = subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env={**os.environ, "LC_ALL": "C.UTF-8", "LANGUAGE": "C", "PYTHONUNBUFFERED": "1", **(environment or {})},
        pass_fds=() if held is None else (held,),
    )
    output = process.stdout
    assert output is not None  # noqa: S101 - a pipe was asked for
    try:
        yield process, _lines(output)
        process.wait()
    finally:
        if process.poll() is None:
            process.terminate()
            process.wait()
        output.close()


def run(command: list[str], held: int | None, what: str) -> str:
    """Run a program to its end; Stopped with what it printed when it fails. Returns its text."""
    with running(command, held) as (process, lines):
        text = "\n".join(line for line in lines if line is not None)
    if process.returncode != 0:
        explain(text, what)
    return text


def _lines(stream: IO[bytes]) -> Iterator[str | None]:
    waiting: queue.Queue[str | None] = queue.Queue()

    def read() -> None:
        # ValueError: the stream was closed because the program is being ended.
        with contextlib.suppress(ValueError):
            for line in stream:
                waiting.put(line.decode("utf-8", "replace").strip())
        waiting.put(None)

    threading.Thread(target=read, daemon=True).start()
    while True:
        try:
            line = waiting.get(timeout=0.3)
        except queue.Empty:
            yield None
            continue
        if line is None:
            return
        yield line


class Progress:
    """One line that is written over on a terminal; in a log, a plain line where one is worth keeping."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream
        self.live = stream.isatty()
        self.last: str | None = None

    def show(self, text: str, *, keep: bool = True) -> None:
        """Say where we are; `keep` is whether a log shall hold this one too."""
        if text == self.last or not (self.live or keep):
            return
        self.last = text
        if self.live:
            self.stream.write("\r\033[K" + text[: shutil.get_terminal_size().columns - 1])
        else:
            self.stream.write(text + "\n")
        self.stream.flush()

    def end(self) -> None:
        """Leave the line standing."""
        if self.live and self.last is not None:
            self.stream.write("\n")
            self.stream.flush()
        self.last = None
