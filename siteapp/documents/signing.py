"""Signs a PDF as a whole: PAdES baseline B-B (ETSI EN 319 142-1), with the laptop's own key and no outside service.

There is no time stamp by anybody else: the time in it is what the laptop's clock said. The signature allows no later
change at all (DocMDP 1), so whatever is added or altered afterwards shows.
"""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from siteapp.store.signing import Key

FIELD = "Certificate"


def sign(pdf: bytes, key: Key, *, reason: str) -> bytes:
    """Give the PDF with a signature over the whole file. `reason` is what a reader shows beside it."""
    # A second to import, and wanted only where a certificate is issued.
    from asn1crypto.keys import PrivateKeyInfo
    from asn1crypto.x509 import Certificate
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.sign import fields, signers
    from pyhanko_certvalidator.registry import SimpleCertificateStore

    certificate = Certificate.load(key.certificate)
    store = SimpleCertificateStore()
    store.register(certificate)
    signer = signers.SimpleSigner(certificate, PrivateKeyInfo.load(key.private), store)
    about = signers.PdfSignatureMetadata(
        field_name=FIELD,
        md_algorithm="sha256",
        subfilter=fields.SigSeedSubFilter.PADES,
        certify=True,
        docmdp_permissions=fields.MDPPerm.NO_CHANGES,
        name=key.name,
        reason=reason,
    )
    writer = IncrementalPdfFileWriter(BytesIO(pdf))
    signed = signers.PdfSigner(about, signer, new_field_spec=fields.SigFieldSpec(FIELD)).sign_pdf(writer)
    return bytes(signed.getvalue())
