"""Makes PDFs in worker processes: starts them, feeds them, and replaces one that hangs, dies or grows.

The program itself never loads WeasyPrint. A document gets only the resources handed over with it.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from siteapp.documents.frames import FrameBroken, read_frame, write_frame

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

CHECKOUT = Path(__file__).resolve().parents[2]
DEFAULT_TIMEOUT_S = 60.0
START_TIMEOUT_S = 60.0
MOST_DOCUMENTS = 400  # by one worker, then it is replaced
MOST_MEMORY_BYTES = 900 * 1024 * 1024
FAILED = {"make": "could not be made into a PDF", "examine": "could not be looked into"}


class PdfError(Exception):
    """A document could not be made; the message says why, in words for the person who asked for it."""


@dataclass(frozen=True)
class Attached:
    """A file that travels inside a PDF as what it was made from; with it the PDF is made as PDF/A-3a (ISO 19005-3).

    `day` is the day it was written, ISO 8601; `media_type` follows from the ending of `name`.
    """

    name: str
    content: bytes
    description: str
    day: str


class Worker:
    """One worker process and its pipes. Used by one thread at a time."""

    def __init__(self, command: list[str] | None = None) -> None:
        """Start it. Raises PdfError when documents cannot be made on this machine."""
        self.documents = 0
        self.worn = False
        self.rested = False
        self.died_idle = False
        self._folder = tempfile.mkdtemp(prefix="siteapp-documents-")
        started = command or [sys.executable, "-m", "siteapp.documents.worker"]
        # It needs no address of a database, so it gets none.
        environ = {name: value for name, value in os.environ.items() if not name.startswith("SITEAPP_")}
        self._process = subprocess.Popen(
            [*started, self._folder],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            cwd=CHECKOUT,
            env={**environ, "PYTHONPATH": str(CHECKOUT)},
        )
        header, _ = self._within(START_TIMEOUT_S, lambda: read_frame(self._answers), "The program that makes PDFs")
        if not header.get("ready"):
            self.end()
            message = f"PDFs cannot be made on this machine: {header.get('reason')}"
            raise PdfError(message)

    @property
    def pid(self) -> int:
        """The process's id."""
        return self._process.pid

    @property
    def alive(self) -> bool:
        """Whether the process is still there."""
        return self._process.poll() is None

    @property
    def _answers(self) -> Any:
        return self._process.stdout

    def ask(
        self, header: Mapping[str, Any], blocks: Sequence[bytes], *, title: str, timeout_s: float
    ) -> tuple[dict[str, Any], list[bytes]]:
        """Have one thing done: what the worker says of it, and what it made. Raises PdfError."""
        begun = threading.Event()

        def exchange() -> tuple[dict[str, Any], list[bytes]]:
            write_frame(self._process.stdin, header, blocks)  # type: ignore[arg-type] # it has a pipe
            read_frame(self._answers)
            begun.set()
            return read_frame(self._answers)

        started = time.monotonic()
        try:
            answer, parts = self._within(timeout_s, exchange, f"“{title}”")
        except PdfError:
            # The system may say late that an idle worker has died; the document it never began is not at fault.
            self.died_idle = self.rested and not begun.is_set() and time.monotonic() - started < timeout_s
            raise
        self.documents += 1
        if not answer["ok"]:
            message = f"“{title}” {FAILED[header['do']]}: {answer['reason']}"
            raise PdfError(message)
        self.worn = self.documents >= MOST_DOCUMENTS or answer["memory_bytes"] > MOST_MEMORY_BYTES
        return answer, parts

    def end(self) -> None:
        """End the process, whatever it is doing, and clear away after it."""
        with contextlib.suppress(OSError):
            self._process.kill()
        self._process.wait()
        for pipe in (self._process.stdin, self._process.stdout):
            with contextlib.suppress(OSError):
                pipe.close()  # type: ignore[union-attr] # both are pipes
        shutil.rmtree(self._folder, ignore_errors=True)

    def _within(
        self, seconds: float, work: Callable[[], tuple[dict[str, Any], list[bytes]]], what: str
    ) -> tuple[dict[str, Any], list[bytes]]:
        # A killed process closes its pipes, which ends the wait on every system; selecting on pipes does not.
        late = threading.Event()

        def stop() -> None:
            late.set()
            self._process.kill()

        timer = threading.Timer(seconds, stop)
        timer.daemon = True
        timer.start()
        try:
            return work()
        except (FrameBroken, OSError, ValueError) as problem:
            self.end()
            if late.is_set():
                message = f"{what} took longer than {seconds:g} s and was stopped"
            else:
                message = f"{what} was not finished: the program that makes PDFs ended (code {self._process.poll()})"
            raise PdfError(message) from problem
        finally:
            timer.cancel()


class Engine:
    """A small pool of workers for many threads. Workers start when first needed and end with the program."""

    def __init__(self, workers: int = 1, command: list[str] | None = None) -> None:
        """Keep at most `workers` (1-4) processes. `command` replaces the worker's command line, for tests."""
        self._most = workers
        self._command = command
        self._reset()
        atexit.register(self.close)

    def _reset(self) -> None:
        self._owner = os.getpid()
        self._turns = threading.BoundedSemaphore(self._most)
        self._lock = threading.Lock()
        self._idle: list[Worker] = []
        self._busy: set[Worker] = set()
        self._closed = False

    def render(
        self,
        html: str,
        resources: Mapping[str, tuple[str, bytes]],
        *,
        title: str,
        attached: Attached | None = None,
        timeout_s: float = DEFAULT_TIMEOUT_S,
    ) -> bytes:
        """Make a PDF of a whole HTML document, with `attached` one that carries it (see `Attached`).

        `resources` maps a name to (media type, content); the document reaches them as `res:NAME` and reaches nothing
        else. `title` names the document in messages. The same input gives the same bytes. `timeout_s` counts waiting
        for a free worker. Raises PdfError.
        """
        header: dict[str, Any] = {
            "do": "make",
            "resources": [[name, media_type] for name, (media_type, _) in resources.items()],
            "attached": attached and [attached.name, attached.description, attached.day],
        }
        blocks = [html.encode("utf-8", "replace"), *(content for _, content in resources.values())]
        _answer, (pdf,) = self._ask(header, [*blocks, *([attached.content] if attached else [])], title, timeout_s)
        return pdf

    def examine(self, pdf: bytes, *, title: str, timeout_s: float = DEFAULT_TIMEOUT_S) -> dict[str, Any]:
        """Look into a PDF from anywhere: what `examining.examine` says of it. Raises PdfError.

        It is done in a worker, which reaches nothing and can be stopped: the file may be made to do harm.
        """
        answer, _none = self._ask({"do": "examine"}, [pdf], title, timeout_s)
        found: dict[str, Any] = answer["found"]
        return found

    def _ask(
        self, header: Mapping[str, Any], blocks: Sequence[bytes], title: str, timeout_s: float
    ) -> tuple[dict[str, Any], list[bytes]]:
        if os.getpid() != self._owner:
            # The program was forked after the workers had started: their pipes belong to the other half.
            self._reset()
        until = time.monotonic() + timeout_s
        if not self._turns.acquire(timeout=timeout_s):
            message = f"“{title}” has to wait: other PDFs are still being made; ask for it again in a minute"
            raise PdfError(message)
        try:
            return self._with_worker(header, blocks, title, max(until - time.monotonic(), 0.1))
        finally:
            self._turns.release()

    def warm(self) -> None:
        """Start one worker now, so that the first document need not wait for it. Raises PdfError."""
        worker = self._take()
        self._give_back(worker)

    def pids(self) -> list[int]:
        """List the ids of the worker processes."""
        with self._lock:
            return [worker.pid for worker in (*self._idle, *self._busy)]

    def close(self) -> None:
        """End all workers; a document in the making fails with PdfError."""
        if os.getpid() != self._owner:
            return
        with self._lock:
            self._closed = True
            idle, self._idle = self._idle, []
            busy = list(self._busy)
        for worker in idle:
            worker.end()
        for worker in busy:
            # Its thread waits on the pipe, sees the end and clears away.
            with contextlib.suppress(OSError):
                worker._process.kill()  # noqa: SLF001 - the pool owns its workers

    def _with_worker(
        self, header: Mapping[str, Any], blocks: Sequence[bytes], title: str, timeout_s: float
    ) -> tuple[dict[str, Any], list[bytes]]:
        worker = self._take()
        try:
            return worker.ask(header, blocks, title=title, timeout_s=timeout_s)
        except PdfError:
            if not worker.died_idle:
                raise
        finally:
            self._give_back(worker)
        return self._with_worker(header, blocks, title, timeout_s)

    def _take(self) -> Worker:
        with self._lock:
            if self._closed:
                message = "the program is stopping; no more PDFs are made"
                raise PdfError(message)
            while self._idle:
                worker = self._idle.pop()
                if worker.alive:
                    self._busy.add(worker)
                    return worker
                worker.end()
        worker = Worker(self._command)
        with self._lock:
            self._busy.add(worker)
        return worker

    def _give_back(self, worker: Worker) -> None:
        with self._lock:
            self._busy.discard(worker)
            keep = worker.alive and not worker.worn and not self._closed
            if keep:
                worker.rested = True
                self._idle.append(worker)
        if not keep:
            worker.end()


_shared: list[Engine] = []
_sharing = threading.Lock()


def shared() -> Engine:
    """Give the program's own engine; it starts no worker before the first document."""
    with _sharing:
        if not _shared:
            _shared.append(Engine(workers=min(2, os.cpu_count() or 1)))
        return _shared[0]
