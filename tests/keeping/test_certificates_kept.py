"""What somebody did to an issued certificate, its file or its key is named by `check`, with its piece."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from siteapp.handover.models import Certificate
from siteapp.keeping import backup, check
from siteapp.keeping.backup import IncompleteBackup
from siteapp.keeping.restore import restore
from siteapp.store import signing
from siteapp.store.hashed import HashedFolder
from tests import factories
from tests.handover.support import answer_all, arrive, file_of, hand_over, issued
from tests.keeping.test_tampering import changed
from tests.support import databases as kinds

if TYPE_CHECKING:
    from pathlib import Path

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


def path_of(store: Store) -> Path:
    with store.read() as session:
        sha = session.scalars(select(Certificate.file_sha256)).one()
    assert sha
    return HashedFolder(store.settings.certificates).path(sha)


def said(store: Store, *, full: bool = True) -> list[str]:
    return [str(one) for one in check.run(store.settings, full=full).findings if "has no file" not in one.what]


def test_an_issued_certificate_is_found_whole(store: Store, piece: PieceNow) -> None:
    issued(store, piece)
    assert said(store) == []
    assert check.run(store.settings).counts["certificates"] == 1


@pytest.mark.parametrize("place", [0.0, 0.3, 0.6, 0.999])
def test_one_changed_byte_of_its_file_is_named_with_its_piece(store: Store, piece: PieceNow, place: float) -> None:
    issued(store, piece)
    file = path_of(store)
    data = bytearray(file.read_bytes())
    data[int(len(data) * place)] ^= 1
    file.write_bytes(data)
    (one,) = said(store)
    assert one.startswith("the certificate's file is not as it was issued")
    assert f"piece {piece.number}" in one


def test_a_file_that_is_gone_is_named_by_the_quick_look_too(store: Store, piece: PieceNow) -> None:
    issued(store, piece)
    path_of(store).unlink()
    for full in (True, False):
        (one,) = said(store, full=full)
        assert one.startswith("the certificate's file is gone")


def test_a_row_that_names_another_file_is_named(store: Store, piece: PieceNow) -> None:
    issued(store, piece)
    other = HashedFolder(store.settings.certificates).put(b"%PDF-1.7 not signed")
    changed(store, f"UPDATE certificate SET file_sha256 = '{other}'")
    found = said(store)
    assert any(one.startswith("the certificate's file is not signed") for one in found)
    assert any(one.startswith("what the entry says is not as it was written") for one in found)


def test_a_key_that_was_changed_or_is_not_on_record_is_named(store: Store, piece: PieceNow, tmp_path: Path) -> None:
    issued(store, piece)
    other = signing.ensure(store.settings.with_(data=tmp_path / "other"), "Somebody else")
    changed(store, f"UPDATE signing_key SET fingerprint = '{other.fingerprint}'")
    found = said(store)
    assert any(one.startswith("the signing key's certificate does not fit its fingerprint") for one in found)
    assert any(one.startswith("the certificate was signed with a key that is not on record") for one in found)


def test_one_that_was_made_and_never_issued_is_counted_and_no_fault(store: Store, piece: PieceNow) -> None:
    HashedFolder(store.settings.certificates).put(b"made and left")
    report = check.run(store.settings)
    assert report.counts["files of certificates that were made and never issued"] == 1
    assert said(store) == []


def test_it_is_in_a_backup_and_comes_back_and_the_new_laptop_signs_with_a_key_of_its_own(
    store: Store, piece: PieceNow, tmp_path: Path
) -> None:
    number = issued(store, piece)
    before = file_of(store, number)
    with pytest.raises(IncompleteBackup) as written:  # some photos of the scene are rows alone
        backup.make(store.settings, tmp_path / "backups")
    settings = store.settings.with_(data=tmp_path / "back")
    restore(settings, written.value.path)
    with kinds.opened(settings) as back:
        assert file_of(back, number) == before
        again = issued(back, piece, why="from the new laptop")
        with back.read() as session:
            known = signing.known(session)
        assert len(known) == 2
        from siteapp.handover.verifying import REPLACED, STANDS, Workshop, verify

        with back.read() as session:
            here = Workshop(session, settings)
            assert verify(before, here).state == REPLACED
            assert verify(file_of(back, again), here).state == STANDS
        assert said(back) == []


def test_a_changed_certificate_in_a_backup_is_not_brought_back(store: Store, piece: PieceNow, tmp_path: Path) -> None:
    issued(store, piece)
    with pytest.raises(IncompleteBackup) as written:
        backup.make(store.settings, tmp_path / "backups")
    (file,) = (written.value.path / "certificates").rglob("*/*")
    file.write_bytes(file.read_bytes()[:-1])
    with pytest.raises(backup.BackupError, match="is not as it was written"):
        restore(store.settings.with_(data=tmp_path / "back"), written.value.path)
