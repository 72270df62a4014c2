"""Certificates made and issued: the file before its entry, the same record the same bytes, nothing half-written."""

from __future__ import annotations

import hashlib
import threading
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from siteapp.handover import issuing, pdf
from siteapp.handover.models import Certificate
from siteapp.pieces.services import find, revise_particulars
from siteapp.store import signing
from siteapp.store.errors import StoreError
from siteapp.store.hashed import HashedFolder
from siteapp.store.models import SigningKey
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.handover.support import CHOICES, answer_all, arrive, file_of, hand_over, issued

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        made = factories.a_piece(session)
        arrive(session, made)
        answer_all(session, made)
        hand_over(session, made)
    return made


def made_ahead(store: Store, piece: PieceNow) -> issuing.Made:
    photos = PhotoFolder(store.settings.photos, store.settings.cache)
    with store.read() as session:
        return issuing.make_certificate(session, settings=store.settings, photos=photos, piece=piece, choices=CHOICES)


def test_the_file_is_on_disk_before_its_entry_and_is_what_the_entry_names(store: Store, piece: PieceNow) -> None:
    made = made_ahead(store, piece)
    folder = HashedFolder(store.settings.certificates)
    assert folder.exists(made.file_sha256)
    with store.read() as session:
        assert session.query(Certificate).count() == 0
        assert session.query(SigningKey).count() == 0
    with store.write() as session:
        issuing.issue_certificate(session, factories.a_writer(session), piece=piece, choices=CHOICES, made=made)
    with store.read() as session:
        row = session.scalars(select(Certificate)).one()
    assert row.file_sha256 == made.file_sha256
    assert hashlib.sha256(file_of(store, row.number)).hexdigest() == row.file_sha256
    assert row.key_fingerprint == signing.load(store.settings).fingerprint
    assert pdf.certificate_file(row, PhotoFolder(store.settings.photos, store.settings.cache), store.settings)


def test_the_same_record_gives_the_same_bytes_before_signing(store: Store, piece: PieceNow) -> None:
    number = issued(store, piece)
    photos = PhotoFolder(store.settings.photos, store.settings.cache)
    with store.read() as session:
        row = session.scalars(select(Certificate)).one()
    before = pdf.unsigned_file(row.record, row.record_digest, photos)
    assert pdf.unsigned_file(row.record, row.record_digest, photos) == before
    assert file_of(store, number).startswith(before)


def test_what_changes_meanwhile_stops_it_and_nothing_is_written(store: Store, piece: PieceNow) -> None:
    made = made_ahead(store, piece)
    with store.write() as session:
        revise_particulars(
            session,
            factories.a_writer(session),
            piece=piece,
            revises=piece.revision.id,
            facts={
                "fields": {"title": "Changed meanwhile", "object_type": "relief"},
                "build_up": [],
                "hanging_points": [],
                "photos": [],
            },
        )
    with store.write() as session:
        now = find(session, piece.number)
        assert now
        writer = factories.a_writer(session)
        with pytest.raises(StoreError, match="was changed while the certificate was made"):
            issuing.issue_certificate(session, writer, piece=now, choices=CHOICES, made=made)
    with store.read() as session:
        assert session.query(Certificate).count() == 0


def test_what_is_recorded_of_other_pieces_meanwhile_does_not(store: Store, piece: PieceNow) -> None:
    made = made_ahead(store, piece)
    with store.write() as session:
        factories.a_piece(session, job_id=piece.job_id)  # the job's chain moves on
    with store.write() as session:
        issuing.issue_certificate(session, factories.a_writer(session), piece=piece, choices=CHOICES, made=made)
    with store.read() as session:
        assert session.query(Certificate).count() == 1


def test_nobody_is_kept_out_while_a_file_is_made(store: Store, piece: PieceNow) -> None:
    done = threading.Event()
    maker = threading.Thread(target=lambda: (made_ahead(store, piece), done.set()))
    maker.start()
    saved = 0
    while not done.is_set():
        with store.write() as session:
            factories.a_job(session)
        saved += 1
    maker.join()
    assert saved > 3


def test_a_file_that_was_altered_is_not_handed_out(store: Store, piece: PieceNow) -> None:
    issued(store, piece)
    photos = PhotoFolder(store.settings.photos, store.settings.cache)
    with store.read() as session:
        row = session.scalars(select(Certificate)).one()
    assert row.file_sha256
    path = HashedFolder(store.settings.certificates).path(row.file_sha256)
    path.write_bytes(path.read_bytes() + b" ")
    with pytest.raises(StoreError, match="is not as it was issued"):
        pdf.certificate_file(row, photos, store.settings)
    path.unlink()
    with pytest.raises(StoreError, match="is not on this laptop"):
        pdf.certificate_file(row, photos, store.settings)


def test_numbers_are_random_so_that_two_laptops_never_give_one_twice(store: Store) -> None:
    with store.read() as session:
        numbers = {issuing._unused_number(session) for _ in range(500)}
    assert len(numbers) == 500
