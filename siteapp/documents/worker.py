"""The process that turns HTML into PDF: `python -m siteapp.documents.worker`, started by `engine` and by nobody else.

It has no use for the network, other programs or the machine's files, and is held to that: resources come with the
request, the fetcher knows nothing else, and an audit hook refuses sockets, programs and files outside the installed
software. (The hook stops mistakes in libraries and hostile documents; it is no wall against hostile native code.)
"""

from __future__ import annotations

import contextlib
import hashlib
import logging
import os
import shutil
import signal
import sys
import tempfile
import threading
import time
import zoneinfo
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

from siteapp.documents import fonts
from siteapp.documents.frames import FrameBroken, read_frame, write_frame

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

SCHEME = "res"
MEMORY_BYTES = 3 * 1024**3
LARGEST_PHOTO_PIXELS = 64_000_000
PARENT_LOOK_S = 1.0
REFUSED_PREFIXES = (
    "socket.",
    "subprocess.",
    "os.exec",
    "os.fork",
    "os.posix_spawn",
    "os.spawn",
    "os.system",
    "ftplib.",
)
REFUSED_EVENTS = {"urllib.Request", "os.remove", "os.rename", "os.rmdir", "os.chmod", "os.chown", "os.link"}


class Renderer:
    """WeasyPrint with the packaged faces loaded, ready for one document after another."""

    def __init__(self, folder: Path) -> None:
        """Load libraries and faces; `folder` is for the temporary files of the faces.

        Raises OSError when a native library is missing, FontsMissing when a face is.
        """
        tempfile.tempdir = str(folder)
        import weasyprint
        from PIL import Image
        from weasyprint.text.fonts import FontConfiguration
        from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

        Image.MAX_IMAGE_PIXELS = LARGEST_PHOTO_PIXELS

        class InMemory(URLFetcher):
            """Gives what came with the request; anything else ends the document."""

            def __init__(self, resources: Mapping[str, tuple[str, bytes]]) -> None:
                super().__init__(allowed_protocols=(SCHEME,), allow_redirects=False, fail_on_errors=True)
                self.resources = resources
                self.refusals: list[str] = []

            def fetch(self, url: str, headers: Any = None) -> URLFetcherResponse:
                scheme, _, name = url.partition(":")
                if scheme.lower() != SCHEME or name not in self.resources:
                    message = f"the document asks for “{url[:200]}”, which did not come with it"
                    self.refusals.append(message)
                    raise FatalURLFetchingError(message)
                media_type, content = self.resources[name]
                return URLFetcherResponse(url, content, {"Content-Type": media_type})

        self._weasyprint = weasyprint
        self._fetcher = InMemory
        self._refused: type[BaseException] = FatalURLFetchingError
        self._faces = FontConfiguration()
        files = {f"font/{name}": ("font/ttf", content) for name, content in fonts.static_faces().items()}
        self._sheet = weasyprint.CSS(
            string=fonts.stylesheet(SCHEME), font_config=self._faces, url_fetcher=InMemory(files)
        )

    def render(
        self, html: str, resources: Mapping[str, tuple[str, bytes]], attached: tuple[str, str, str, bytes] | None = None
    ) -> tuple[bytes, int]:
        """Make the PDF and count its pages. Raises whatever WeasyPrint raises, and BaseException for a refusal.

        `attached` is a file's name, description, day and content; with it the PDF is a PDF/A-3a.
        """
        # With a base of its own a relative address is refused like any other, instead of being passed over.
        fetcher = self._fetcher(resources)
        source = self._weasyprint.HTML(string=html, base_url="outside://", url_fetcher=fetcher)
        options: dict[str, Any] = {"pdf_tags": True}
        if attached:
            options["pdf_variant"] = "pdf/a-3a"
        document = source.render(font_config=self._faces, stylesheets=[self._sheet], **options)
        options["pdf_identifier"] = _identifier(html, resources, attached[-1] if attached else b"")
        if attached:
            options |= {"attachments": [self._attachment(*attached)], "finisher": _as_an_archive_wants_it}
        pdf = document.write_pdf(**options)
        if fetcher.refusals:
            # Within an SVG the refusal does not come through by itself.
            raise self._refused(fetcher.refusals[0])
        return pdf, len(document.pages)

    def _attachment(self, name: str, description: str, day: str, content: bytes) -> Any:
        at = datetime.fromisoformat(day).replace(tzinfo=UTC)
        return self._weasyprint.Attachment(
            string=content.decode("utf-8"),
            name=name,
            description=description,
            created=at,
            modified=at,
            relationship="Source",
        )

    def answer(self, header: dict[str, Any], blocks: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
        """Do what one frame asks: make a document of its blocks, or examine the PDF in its one block."""
        started = time.perf_counter()
        try:
            said, made = self._examine(blocks) if header["do"] == "examine" else self._make(header, blocks)
        except self._refused as refusal:
            return {"ok": False, "reason": str(refusal.__cause__ or refusal)}, []
        except Exception as problem:  # noqa: BLE001 - one document's fault must not end the worker
            return {"ok": False, "reason": f"{type(problem).__name__}: {problem}"[:500]}, []
        seconds = time.perf_counter() - started
        return {"ok": True, **said, "seconds": seconds, "memory_bytes": _memory_bytes()}, made

    def _make(self, header: dict[str, Any], blocks: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
        """The first block is the HTML, the others are the resources named in the header and, last, what is attached."""
        named = header["resources"]
        resources = {
            name: (media_type, content)
            for (name, media_type), content in zip(named, blocks[1 : len(named) + 1], strict=True)
        }
        attached = (*header["attached"], blocks[-1]) if header.get("attached") else None
        pdf, pages = self.render(blocks[0].decode(), resources, attached)
        return {"pages": pages}, [pdf]

    def _examine(self, blocks: list[bytes]) -> tuple[dict[str, Any], list[bytes]]:
        from siteapp.documents.examining import examine

        return {"found": examine(blocks[0])}, []


def _as_an_archive_wants_it(_document: Any, pdf: Any) -> None:
    """Put right what WeasyPrint leaves: associated files named twice, pictures to be smoothed (ISO 19005-3, 6.2.8)."""
    pdf.catalog["AF"][:] = list(dict.fromkeys(pdf.catalog["AF"]))
    for one in pdf.objects:
        if getattr(one, "extra", {}).get("Subtype") == "/Image":
            one.extra["Interpolate"] = "false"


def _identifier(html: str, resources: Mapping[str, tuple[str, bytes]], attached: bytes) -> bytes:
    # The same record gives the same bytes, so the file's identifier is made of what goes into it.
    digest = hashlib.sha256(html.encode() + attached)
    for name in sorted(resources):
        digest.update(name.encode())
        digest.update(hashlib.sha256(resources[name][1]).digest())
    return digest.hexdigest()[:32].encode()


def _memory_bytes() -> int:
    """Give the most memory this process has held, 0 where the system does not say."""
    try:
        import resource
    except ImportError:
        return 0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak if sys.platform == "darwin" else peak * 1024


def limit_memory() -> None:
    """Hold this process to `MEMORY_BYTES` and to no core dump, where the system can."""
    try:
        import resource
    except ImportError:
        return
    for kind, most in ((resource.RLIMIT_AS, MEMORY_BYTES), (resource.RLIMIT_CORE, 0)):
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(kind, (most, most))


class Lock:
    """From `close` to `open` it refuses sockets, programs, changes to files, and files outside software and `own`."""

    def __init__(self, own: Path) -> None:
        self.own = os.path.realpath(own) + os.sep
        roots = {sys.prefix, sys.base_prefix, sys.exec_prefix, str(Path(os.__file__).parent)}
        roots.add(str(Path(__file__).resolve().parents[1]))
        # Time zones, which readers of signatures ask for.
        roots.update(zoneinfo.TZPATH)
        self.readable = (self.own, *(os.path.realpath(root) + os.sep for root in roots))
        self.closed = False

    def close(self) -> None:
        """Refuse from here on."""
        self.closed = True
        sys.addaudithook(self._watch)

    def open(self) -> None:
        """Refuse nothing any more; for clearing away at the end."""
        self.closed = False

    def _watch(self, event: str, args: tuple[Any, ...]) -> None:
        if not self.closed:
            return
        if event == "open":
            self._allow(*args)
        elif event in REFUSED_EVENTS or event.startswith(REFUSED_PREFIXES):
            message = f"the document worker may not do this: {event}"
            raise PermissionError(message)

    def _allow(self, path: Any, mode: Any, flags: Any) -> None:
        if isinstance(path, int):
            return
        name = os.path.realpath(os.fsdecode(path))
        writing = any(letter in (mode or "") for letter in "wax+") or bool(flags & (os.O_WRONLY | os.O_RDWR))
        if not name.startswith(self.own if writing else self.readable):
            message = f"the document worker may not open {name}"
            raise PermissionError(message)


def leave_with(parent: int, lock: Lock) -> None:
    """End this process soon after its parent has ended, also in the middle of a document."""
    # A parent that is killed closes the pipe, but a worker that is laying out pages does not look at it.
    while os.getppid() == parent:
        time.sleep(PARENT_LOOK_S)
    lock.open()
    shutil.rmtree(lock.own, ignore_errors=True)
    os._exit(0)


def serve(stream_in: BinaryIO, stream_out: BinaryIO, renderer: Callable[[], Renderer]) -> int:
    """Say whether documents can be made here, then answer frames until the pipe closes. Gives the exit code."""
    try:
        ready = renderer()
    except (OSError, ImportError, fonts.FontsMissing) as problem:
        write_frame(stream_out, {"ready": False, "reason": " ".join(str(problem).split())[:300]})
        return 1
    write_frame(stream_out, {"ready": True, "pid": os.getpid()})
    with contextlib.suppress(FrameBroken, BrokenPipeError):
        while True:
            asked = read_frame(stream_in)
            # Said before the work, so that a worker found dead can be told from one that a document has ended.
            write_frame(stream_out, {"begun": True})
            write_frame(stream_out, *ready.answer(*asked))
    return 0


def main(folder: Path) -> int:
    """Run as a process of its own, its requests on standard input and its answers on what was standard output.

    `folder` is empty, for this process alone, and removed at the end.
    """
    # Ctrl-C in a terminal reaches every process in it; the program itself ends its workers.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    lock = Lock(folder)
    if os.name == "posix":
        threading.Thread(target=leave_with, args=(os.getppid(), lock), daemon=True).start()
    answers = os.fdopen(os.dup(1), "wb")
    # Whatever a library prints must not get between the frames.
    os.dup2(2, 1)
    for library in ("weasyprint", "pyhanko", "pyhanko_certvalidator", "pikepdf"):
        logging.getLogger(library).addHandler(logging.NullHandler())
        logging.getLogger(library).propagate = False

    def ready() -> Renderer:
        renderer = Renderer(folder)
        limit_memory()
        lock.close()
        return renderer

    code = serve(sys.stdin.buffer, answers, ready)
    lock.open()
    shutil.rmtree(folder, ignore_errors=True)
    return code


if __name__ == "__main__":
    raise SystemExit(main(Path(sys.argv[1])))
