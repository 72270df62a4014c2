"""A certificate as a PDF: the signed file as it was issued, or made from its frozen record and nothing else."""

from __future__ import annotations

import contextlib
import json
from dataclasses import replace
from typing import TYPE_CHECKING

from siteapp.documents.certificate.pdf import TEMPLATE_VERSION, certificate_pdf
from siteapp.documents.certificate.records import CertificateRecord
from siteapp.store.digests import sha256_of
from siteapp.store.errors import StoreError
from siteapp.store.hashed import HashedFolder, NoRoom, write_whole
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.config import Settings
    from siteapp.handover.models import Certificate
    from siteapp.store.photos import PhotoFolder

PHOTO_PX = 1280


def frozen_record(certificate: Certificate) -> CertificateRecord:
    """The record of a certificate with its digest. Raises StoreError when the two no longer belong together."""
    plain = json.loads(certificate.record)
    if sha256_of(plain) != certificate.record_digest:
        raise StoreError(_("This certificate's record no longer fits its digest. Run the program's check."))
    return _with_digest(CertificateRecord.from_json(plain), certificate.record_digest)


def unsigned_file(text: str, digest: str, photos: PhotoFolder) -> bytes:
    """The PDF of a record (canonical JSON), which is attached to it; the same record gives the same bytes."""
    record = _with_digest(CertificateRecord.from_json(json.loads(text)), digest)
    return certificate_pdf(record, _small(record, photos), attached=text)


def certificate_file(
    certificate: Certificate, photos: PhotoFolder, settings: Settings, *, withdrawn: str | None = None
) -> bytes:
    """The PDF of a certificate: the signed file as it was issued.

    With `withdrawn`, which says since when and why it does not stand any more, a copy with that printed on it, which is
    not signed; nor is what was issued before certificates were. Raises StoreError when the file is gone or altered.
    """
    if certificate.file_sha256 and not withdrawn:
        return _issued(certificate.file_sha256, settings)
    # Named by what goes in: the record, the design's version, those words.
    marked = f"-{sha256_of(withdrawn)[:16]}" if withdrawn else ""
    target = settings.cache / "documents" / f"{certificate.record_digest}-{TEMPLATE_VERSION}{marked}.pdf"
    if target.is_file():
        return target.read_bytes()
    record = frozen_record(certificate)
    small = _small(record, photos)
    made = certificate_pdf(record, small, withdrawn=withdrawn)
    if len(small) == len(_wanted(record)):
        # A cache that cannot be written is no reason not to show the certificate.
        with contextlib.suppress(NoRoom):
            write_whole(target, made, sync=False)
    return made


def _issued(sha256: str, settings: Settings) -> bytes:
    folder = HashedFolder(settings.certificates)
    try:
        return folder.read_whole(sha256)
    except FileNotFoundError as error:
        raise StoreError(_("The file of this certificate is not on this laptop. Look in a backup.")) from error
    except ValueError as error:
        message = _("The file of this certificate is not as it was issued. Run the program's check; look in a backup.")
        raise StoreError(message) from error


def _with_digest(record: CertificateRecord, digest: str) -> CertificateRecord:
    return replace(record, proof=replace(record.proof, record_digest=digest))


def _wanted(record: CertificateRecord) -> set[str]:
    signed = [*([record.signature] if record.signature else ()), *record.further_signatures]
    return {use.sha256 for use in record.photos} | {one.image_sha256 for one in signed if one.image_sha256}


def _small(record: CertificateRecord, photos: PhotoFolder) -> dict[str, bytes]:
    # A photo that is not on this laptop is left to the design, which says so; the certificate is made all the same.
    return {sha: photos.derivative(sha, PHOTO_PX) for sha in sorted(_wanted(record)) if photos.exists(sha)}
