"""The certificate of care and provenance: what the client keeps, made from a frozen record and its photos."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from siteapp.documents import pages, qr
from siteapp.documents.certificate import contents
from siteapp.documents.engine import shared
from siteapp.documents.measures import weight_words

if TYPE_CHECKING:
    import gettext
    from collections.abc import Iterable, Mapping

    from siteapp.documents.certificate.records import CertificateRecord
    from siteapp.documents.engine import Engine

# Names kept PDFs: to be raised with every change of the design.
TEMPLATE_VERSION = 3
LINK_QR_MM = 26.0
OWNER_ROWS = 5
SHOWN_ELSEWHERE = {"title", "back", "arrival", "finish"}
HEX_GROUPS = re.compile(r"(.{8})(?=.)")


def certificate_pdf(
    record: CertificateRecord,
    photos: Mapping[str, bytes],
    *,
    paper: str = "A4",
    withdrawn: str | None = None,
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the certificate on `paper` (`A4` or `Letter`).

    `photos` maps the SHA-256 of each original named in the record to a picture of it (JPEG or PNG, already scaled; a
    drawn signature too). One that is missing is said to be missing in its place. `withdrawn` says since when and why it
    does not stand any more; it is printed on the title page and named on every other. The same input gives the same
    bytes. Raises ValueError for another paper, `engine.PdfError`.
    """
    pages.check_paper(paper)
    say = words.gettext
    parts = contents.sections(record, say)
    wanted = [use.sha256 for use in record.photos]
    wanted += [use.sha256 for part in parts for use in part.photos]
    signed = [*([record.signature] if record.signature else ()), *record.further_signatures]
    wanted += [one.image_sha256 for one in signed if one.image_sha256]
    resources = dict(_pictures(wanted, photos))
    link = _link(record)
    if link:
        resources["qr/link.png"] = ("image/png", link.png)
    html = (
        pages.environment(words)
        .get_template("certificate.html")
        .render(
            record=record,
            signed=signed,
            withdrawn=withdrawn,
            paper=paper,
            direction=pages.direction(record.language),
            number=pages.grouped(record.piece_number),
            weight=weight_words(record.weight, say),
            people=contents.people_words(record.people_to_lift, say),
            parts=parts,
            title_photo=next((use for use in record.photos if use.role == "title"), None),
            other_photos=[use for use in record.photos if use.role not in SHOWN_ELSEWHERE],
            there={use for use in wanted if f"photo/{use}" in resources},
            link=link.text if link else None,
            link_mm=LINK_QR_MM,
            owner_rows=OWNER_ROWS,
            in_groups=lambda text: HEX_GROUPS.sub(r"\1 ", text),
        )
    )
    title = say("Certificate %(number)s") % {"number": record.number}
    return (engine or shared()).render(html, resources, title=title)


def _pictures(wanted: Iterable[str], photos: Mapping[str, bytes]) -> Iterable[tuple[str, tuple[str, bytes]]]:
    for sha256 in wanted:
        content = photos.get(sha256)
        if content is not None:
            media_type = "image/png" if content.startswith(b"\x89PNG") else "image/jpeg"
            yield f"photo/{sha256}", (media_type, content)


def _link(record: CertificateRecord) -> qr.Qr | None:
    if record.link is None:
        return None
    try:
        code = qr.make(qr.link_text(record.link))
        qr.module_mm(LINK_QR_MM, code.modules)
    except qr.QrTooSmall:
        # The address stands beside it in letters: a certificate is not held up for its code.
        return None
    return code
