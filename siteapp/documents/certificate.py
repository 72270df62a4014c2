"""The care and provenance certificate: a frozen record set in type.

A reader keeps it for decades, so the first page is quiet enough for a frame and the rest is ordered like a house book.
What was not recorded is said to be so rather than left blank.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import pages, qr
from siteapp.documents.engine import shared

if TYPE_CHECKING:
    import gettext
    from collections.abc import Mapping

    from siteapp.documents.engine import Engine
    from siteapp.documents.records import CertificateRecord, PhotoUse, Section

# Part of the name under which a finished PDF is cached: raise it whenever the design changes.
TEMPLATE_VERSION = 1
PAPERS = {"A4": "210mm 297mm", "Letter": "215.9mm 279.4mm"}
LATER_OWNERS = 5


class CertificateError(ValueError):
    """A certificate that cannot be made as asked; the message says why."""


def certificate_pdf(
    record: CertificateRecord,
    photos: Mapping[str, bytes],
    *,
    paper: str = "A4",
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make a certificate as a PDF from its record and from its photos' bytes (JPEG or PNG, by SHA-256).

    A photo whose bytes are not given is named as not on this laptop. The same input gives the same bytes. Raises
    CertificateError for an unknown paper and `engine.PdfError`.
    """
    if paper not in PAPERS:
        message = f"paper is {paper!r}; allowed are {' and '.join(PAPERS)}"
        raise CertificateError(message)
    resources = {f"photo/{sha}": (_media_type(data), data) for sha, data in photos.items()}
    number_code = qr.make(qr.link_text(record.link) if record.link else record.number)
    resources["qr/number.png"] = ("image/png", number_code.png)
    template = pages.environment(words).get_template("certificate.html")
    html = template.render(
        record=record,
        paper=PAPERS[paper],
        here=photos,
        title_photo=_title_photo(record.photos, photos),
        others=[photo for photo in record.photos if photo.role != "title"],
        after=_after(record),
        piece_number=f"{record.piece_number[:4]}-{record.piece_number[4:]}",
        later_owners=range(LATER_OWNERS),
        direction=pages.direction(record.language),
    )
    title = words.gettext("Certificate %(number)s") % {"number": record.number}
    return (engine or shared()).render(html, resources, title=title)


def _title_photo(uses: tuple[PhotoUse, ...], here: Mapping[str, bytes]) -> PhotoUse | None:
    """The photo of the first page: the one meant for it, else the first that is here."""
    known = [use for use in uses if use.sha256 in here]
    return next((use for use in known if use.role == "title"), known[0] if known else None)


def _after(record: CertificateRecord) -> dict[str, list[Section]]:
    """The record's own further sections by the section they follow; "" holds those before the proof."""
    placed: dict[str, list[Section]] = {}
    for section in record.sections:
        placed.setdefault(section.after or "", []).append(section)
    return placed


def _media_type(data: bytes) -> str:
    return "image/png" if data.startswith(b"\x89PNG") else "image/jpeg"
