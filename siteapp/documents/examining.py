"""Looks into a PDF that somebody brings: who signed it, whether the signature still holds, and what is in it.

Runs in the worker alone. Everything here may be given a file that was made to do harm.
"""

from __future__ import annotations

import hashlib
from io import BytesIO
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Coroutine, Iterator

    import pikepdf

LONGEST_RECORD = 4_000_000  # bytes; a record with 40 photos has a hundredth of that
MOST_PAGES = 400
MOST_OBJECTS = 200_000
DEEPEST = 60
# Faults of this program and machine, which say nothing of the file.
OURS = (ImportError, PermissionError, MemoryError)
# Ways back and numbers that a mere re-save changes; they say nothing of what a page shows.
NOT_SHOWN = {
    "/Parent",
    "/P",
    "/StructParents",
    "/StructParent",
    "/Metadata",
    "/Tabs",
    "/Length",
    "/Filter",
    "/DecodeParms",
}


def examine(data: bytes) -> dict[str, Any]:
    """What a file is, as plain JSON values.

    `readable` tells whether it is a PDF at all. `signatures` in their order, each with `fingerprint` (SHA-256 of the
    signer's certificate), `name`, `at` (what the signer's clock said), `holds` (what was signed is unaltered and the
    signature is by that key) and `whole` (it covers the whole file). `record` is the text of the attached record, or
    None. `pages` holds a digest of what each page shows, None for one that cannot be read.
    """
    found: dict[str, Any] = {"readable": True, "signatures": [], "record": None, "pages": []}
    try:
        found["pages"], found["record"] = _contents(data)
    except OURS:
        raise
    except Exception:  # noqa: BLE001 - a damaged file makes readers fail in many ways; that is an answer here
        found["readable"] = False
    try:
        found["signatures"] = list(_signatures(data))
    except OURS:
        raise
    except Exception:  # noqa: BLE001 - as above: a file whose signatures cannot be found has none
        found["signatures"] = []
    return found


def _signatures(data: bytes) -> Iterator[dict[str, Any]]:
    from pyhanko.pdf_utils.reader import PdfFileReader

    for one in PdfFileReader(BytesIO(data), strict=False).embedded_signatures:
        yield _signature(one)


def _signature(one: Any) -> dict[str, Any]:
    from pyhanko.sign.validation import SignatureCoverageLevel, async_validate_pdf_signature
    from pyhanko_certvalidator import ValidationContext

    said = {"fingerprint": None, "name": None, "at": None, "holds": False, "whole": False}
    try:
        certificate = one.signer_cert
        said["fingerprint"] = hashlib.sha256(certificate.dump()).hexdigest()
        said["name"] = certificate.subject.native.get("common_name")
        said["at"] = one.self_reported_timestamp and one.self_reported_timestamp.isoformat()
        # The key is judged by its fingerprint, where it is known; here only whether the signature is by that key.
        context = ValidationContext(trust_roots=[certificate], allow_fetching=False)
        status = _run(async_validate_pdf_signature(one, context))
        said["whole"] = status.coverage == SignatureCoverageLevel.ENTIRE_FILE
        said["holds"] = bool(status.intact and status.valid)
    except OURS:
        raise
    except Exception:  # noqa: BLE001 - a signature that cannot be followed does not hold
        said["holds"] = False
    return said


def _run(work: Coroutine[Any, Any, Any]) -> Any:
    """Run what is written to wait for others and, offline, waits for nobody: an event loop would want a socket."""
    try:
        work.send(None)
    except StopIteration as done:
        return done.value
    work.close()
    message = "looking at a signature asked for something from outside"
    raise PermissionError(message)


def _contents(data: bytes) -> tuple[list[str | None], str | None]:
    import pikepdf

    with pikepdf.open(BytesIO(data)) as document:
        pages = [_page_digest(page) for page, _place in zip(document.pages, range(MOST_PAGES), strict=False)]
        return pages, _record(document)


def _record(document: pikepdf.Pdf) -> str | None:
    for name, spec in document.attachments.items():
        if name.endswith(".json"):
            text = spec.get_file().read_bytes()
            if len(text) <= LONGEST_RECORD:
                return text.decode("utf-8", "replace")
    return None


def _page_digest(page: pikepdf.Page) -> str | None:
    try:
        told = _Shown()
        told.add(page.obj, 0)
    except Exception:  # noqa: BLE001 - a page that cannot be read is told apart from every other
        return None
    return told.digest.hexdigest()


def _bytes(stream: pikepdf.Stream) -> bytes:
    import pikepdf

    try:
        return stream.read_bytes()
    except pikepdf.PdfError:  # a JPEG, or what a changed byte has made unreadable: as it stands in the file
        return stream.read_raw_bytes()


class _Shown:
    """Everything that a page is drawn from, walked once and digested in a fixed order."""

    def __init__(self) -> None:
        self.digest = hashlib.sha256()
        self._seen: set[tuple[int, int]] = set()
        self._count = 0

    def add(self, value: Any, depth: int) -> None:
        import pikepdf

        self._count += 1
        if depth > DEEPEST or self._count > MOST_OBJECTS:
            message = "a page is built of too much"
            raise ValueError(message)
        if isinstance(value, pikepdf.Object) and value.is_indirect:
            if value.objgen in self._seen:
                return
            self._seen.add(value.objgen)
        if isinstance(value, pikepdf.Stream):
            self._say(b"stream")
            self.digest.update(hashlib.sha256(_bytes(value)).digest())
            self._entries(value.stream_dict, depth)
        elif isinstance(value, pikepdf.Dictionary):
            self._entries(value, depth)
        elif isinstance(value, pikepdf.Array):
            self._say(b"[")
            for one in value:
                self.add(one, depth + 1)
        else:
            self._say(value.unparse() if isinstance(value, pikepdf.Object) else repr(value).encode())

    def _entries(self, value: Any, depth: int) -> None:
        self._say(b"<<")
        for name in sorted(value.keys()):
            if name not in NOT_SHOWN:
                self._say(name.encode())
                self.add(value[name], depth + 1)

    def _say(self, words: bytes) -> None:
        self.digest.update(words + b"\x00")
