"""The certificate as a PDF: from the frozen record and nothing else."""

from __future__ import annotations

import hashlib
import io
from typing import TYPE_CHECKING

import pypdfium2
import pytest
from PIL import Image
from sqlalchemy import select

from siteapp.handover import issuing, pdf
from siteapp.handover.models import Certificate
from siteapp.pieces.services import find, revise_particulars
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.handover.support import CHOICES, answer_all, arrive, hand_over

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

JOB = {"client": "Z. Quillfeather", "address": "77 Nowhere Row", "access_notes": "Key under the blue pot."}


def a_picture() -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (80, 60), (90, 60, 30)).save(made, "JPEG")
    return made.getvalue()


def revise(session: Session, piece: PieceNow, title: str, photos: list[PhotoUse]) -> PieceNow:
    revise_particulars(
        session,
        factories.a_writer(session),
        piece=piece,
        revises=piece.revision.id,
        facts={
            "fields": {"title": title, "object_type": "wall relief", "description": "For Z. Quillfeather."},
            "build_up": [],
            "hanging_points": [],
            "photos": photos,
        },
    )
    found = find(session, piece.number)
    assert found
    return found


@pytest.fixture
def piece(store: Store) -> PieceNow:
    """Handed over, with a real photo and a certificate."""
    with store.write() as session:
        made = factories.a_piece(session, job_id=factories.a_job(session, **JOB))
        sha = factories.a_photo(session, store, a_picture())
        made = revise(session, made, "Godwits (invented)", [PhotoUse(sha, slot="piece")])
        arrive(session, made)
        answer_all(session, made)
        hand_over(session, made)
        issuing.issue_certificate(session, factories.a_writer(session), piece=made, choices=CHOICES)
        return made


def words(made: bytes) -> str:
    document = pypdfium2.PdfDocument(made)
    try:
        pages = [document[number] for number in range(len(document))]
        return "\n".join(page.get_textpage().get_text_bounded() for page in pages)
    finally:
        document.close()


def test_a_certificate_is_the_same_bytes_after_everything_changed(store: Store, piece: PieceNow) -> None:
    settings = store.settings
    folder = PhotoFolder(settings.photos, settings.cache)
    with store.read() as session:
        certificate = session.scalars(select(Certificate)).one()
    before = pdf.certificate_file(certificate, folder, settings)
    (kept,) = (settings.cache / "documents").iterdir()
    assert kept.read_bytes() == before
    assert certificate.record_digest in kept.name
    with store.write() as session:
        revise(session, piece, "Renamed (invented)", [])
    kept.unlink()
    with store.read() as session:
        again = session.scalars(select(Certificate)).one()
    assert pdf.certificate_file(again, folder, settings) == before
    text = words(before)
    assert "Godwits (invented)" in text
    assert certificate.number in text
    assert certificate.record_digest in "".join(text.split())
    for secret in ("Quillfeather", "Nowhere Row", "blue pot", "Renamed", "guaranteed", " safe"):
        assert secret not in text


def test_a_record_that_was_changed_makes_no_certificate(store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        certificate = session.scalars(select(Certificate)).one()
        session.expunge(certificate)
    certificate.record = certificate.record.replace("Godwits", "Curlews")
    with pytest.raises(StoreError, match="no longer fits its digest"):
        pdf.frozen_record(certificate)
    assert piece.title.startswith("Godwits")


def test_without_its_photo_a_certificate_is_made_but_not_kept(store: Store, piece: PieceNow) -> None:
    settings = store.settings
    folder = PhotoFolder(settings.photos, settings.cache)
    folder.path(piece.photos[0].sha256).unlink()
    with store.read() as session:
        certificate = session.scalars(select(Certificate)).one()
    assert pdf.certificate_file(certificate, folder, settings).startswith(b"%PDF")
    assert not (settings.cache / "documents").exists()


def test_the_record_given_out_has_the_digest_that_is_printed(fitter: Browser, store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        certificate = session.scalars(select(Certificate)).one()
    answer = fitter.get(f"/p/{piece.number}/certificate.json")
    assert hashlib.sha256(answer.data).hexdigest() == certificate.record_digest
    answer = fitter.get(f"/p/{piece.number}/certificate.pdf")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "application/pdf")
    assert certificate.number in answer.headers["Content-Disposition"]
