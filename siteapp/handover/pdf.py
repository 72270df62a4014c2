"""A certificate as a PDF, made from its frozen record and nothing else, and kept until it is asked for again."""

from __future__ import annotations

import contextlib
import json
from dataclasses import replace
from typing import TYPE_CHECKING

from siteapp.documents.certificate.pdf import TEMPLATE_VERSION, certificate_pdf
from siteapp.documents.certificate.records import CertificateRecord
from siteapp.store.digests import sha256_of
from siteapp.store.errors import StoreError
from siteapp.store.photos import NoRoom, write_whole
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from pathlib import Path

    from siteapp.handover.models import Certificate
    from siteapp.store.photos import PhotoFolder

PHOTO_PX = 1280


def frozen_record(certificate: Certificate) -> CertificateRecord:
    """The record of a certificate with its digest. Raises StoreError when the two no longer belong together."""
    plain = json.loads(certificate.record)
    if sha256_of(plain) != certificate.record_digest:
        raise StoreError(_("This certificate's record no longer fits its digest. Run the program's check."))
    record = CertificateRecord.from_json(plain)
    return replace(record, proof=replace(record.proof, record_digest=certificate.record_digest))


def certificate_file(
    certificate: Certificate, photos: PhotoFolder, cache: Path, *, withdrawn: str | None = None
) -> bytes:
    """The PDF of a certificate; `withdrawn` says since when and why it does not stand any more, and is printed on it.

    Its cache is named by what goes in: the record, the design's version, those words.
    """
    marked = f"-{sha256_of(withdrawn)[:16]}" if withdrawn else ""
    target = cache / "documents" / f"{certificate.record_digest}-{TEMPLATE_VERSION}{marked}.pdf"
    if target.is_file():
        return target.read_bytes()
    record = frozen_record(certificate)
    signed = [*([record.signature] if record.signature else ()), *record.further_signatures]
    wanted = {use.sha256 for use in record.photos} | {one.image_sha256 for one in signed if one.image_sha256}
    # A photo that is not on this laptop is left to the design, which says so; the certificate is made all the same.
    small = {sha: photos.derivative(sha, PHOTO_PX) for sha in sorted(wanted) if photos.exists(sha)}
    made = certificate_pdf(record, small, withdrawn=withdrawn)
    if len(small) == len(wanted):
        # A cache that cannot be written is no reason not to show the certificate.
        with contextlib.suppress(NoRoom):
            write_whole(target, made, sync=False)
    return made
