"""The certificate of care and provenance: what the client keeps, made from a frozen record and its photos."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from siteapp.documents import pages, qr, scripts
from siteapp.documents.certificate import contents, fire
from siteapp.documents.engine import Attached, shared

if TYPE_CHECKING:
    import gettext
    from collections.abc import Iterable, Mapping

    from siteapp.documents.certificate.records import CertificateRecord
    from siteapp.documents.engine import Engine

# Names kept PDFs: to be raised with every change of the design.
TEMPLATE_VERSION = 4
ATTACHED_NAME = "record.json"
NO_DAY = "1970-01-01"  # of a record without a day of issue, so that its file is the same each time
LINK_QR_MM = 30.0
OWNER_ROWS = 5
HEX_GROUPS = re.compile(r"(.{8})(?=.)")


def certificate_pdf(
    record: CertificateRecord,
    photos: Mapping[str, bytes],
    *,
    attached: str | None = None,
    withdrawn: str | None = None,
    words: gettext.NullTranslations = pages.NULL_WORDS,
    engine: Engine | None = None,
) -> bytes:
    """Make the certificate on the record's paper (`A4` or `Letter`).

    `photos` maps the SHA-256 of each original named in the record to a picture of it (JPEG or PNG, already scaled; a
    drawn signature too). One that is missing is said to be missing in its place. `withdrawn` says since when and why it
    does not stand any more; it is printed on the title page and named on every other. The same input gives the same
    bytes. `attached` is the record's own text, which then travels inside the file (a PDF/A-3a). Raises ValueError for
    another paper, `engine.PdfError`.
    """
    pages.check_paper(record.paper)
    say = words.gettext
    parts = contents.parts(record, say)
    wanted = [use.sha256 for use in record.photos]
    wanted += [use.sha256 for part in parts for section in part.sections for use in section.photos]
    signed = [*([record.signature] if record.signature else ()), *record.further_signatures]
    wanted += [one.image_sha256 for one in signed if one.image_sha256]
    lost = scripts.missing("".join(_texts(record.to_json())))
    resources = dict(_pictures(wanted, photos))
    link = _code(record)
    if link:
        resources["qr/code.png"] = ("image/png", link.png)
    html = (
        pages.environment(words)
        .get_template("certificate.html")
        .render(
            record=record,
            signed=signed,
            withdrawn=withdrawn,
            paper=record.paper,
            direction=pages.direction(record.language),
            number=pages.grouped(record.piece_number),
            parts=parts,
            title_photo=next((use for use in record.photos if use.role == "title"), None),
            glance=contents.glance(record, say),
            no_fire=fire.stop_words(record, say),
            lost=scripts.named(lost, say) if lost else None,
            there={use for use in wanted if f"photo/{use}" in resources},
            coded=link is not None,
            link_mm=LINK_QR_MM,
            owner_rows=OWNER_ROWS,
            in_groups=lambda text: HEX_GROUPS.sub(r"\1 ", text),
        )
    )
    title = say("Certificate %(number)s") % {"number": record.number}
    inside = attached and Attached(
        ATTACHED_NAME,
        attached.encode(),
        say("The record that this certificate was made from"),
        record.issued_on or NO_DAY,
    )
    return (engine or shared()).render(html, resources, title=title, attached=inside or None)


def _texts(value: Any) -> Iterable[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from _texts(one)


def _pictures(wanted: Iterable[str], photos: Mapping[str, bytes]) -> Iterable[tuple[str, tuple[str, bytes]]]:
    for sha256 in wanted:
        content = photos.get(sha256)
        if content is not None:
            media_type = "image/png" if content.startswith(b"\x89PNG") else "image/jpeg"
            yield f"photo/{sha256}", (media_type, content)


def _code(record: CertificateRecord) -> qr.Qr | None:
    try:
        code = qr.make(qr.certificate_text(record.number, record.proof.record_digest, record.link))
        qr.module_mm(LINK_QR_MM, code.modules)
    except qr.QrTooSmall:
        # Number and digest stand beside it in letters: a certificate is not held up for its code.
        return None
    return code
