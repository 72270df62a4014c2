"""A client's data let go: gone from every file of the laptop, what was done still there, chains still walk."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from PIL import Image
from sqlalchemy import select

from siteapp.aftercare.services import record_keeper
from siteapp.cli.edge import prepare
from siteapp.handover.certificates import certificates
from siteapp.jobs.services import job_now, revise_job
from siteapp.keeping import backup, check, erasing
from siteapp.keeping.backup import IncompleteBackup
from siteapp.keeping.tables import body_tables
from siteapp.pieces.services import find
from siteapp.snags.services import raise_snag, snags
from siteapp.store.entries import PhotoUse
from siteapp.store.errors import StoreError
from siteapp.store.hashed import HashedFolder
from siteapp.store.models import EntryPhoto, Erasure, ErasureLeft
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.handover.support import answer_all, arrive, file_of, hand_over, issued

if TYPE_CHECKING:
    from pathlib import Path

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

CLIENT = "Zephyrine Quillfeather"
JOB = {
    "title": "A room for Zephyrine  Quillfeather",
    "client": CLIENT,
    "place": "Saltmarsh",
    "address": "77 Nowhere Row\nSaltmarsh",
    "access_notes": "Key under the blue pot.",
    "brief": "As zephyrine quillfeather said on the phone.",
}
SECRETS = ("Quillfeather", "quillfeather", "77 Nowhere Row", "blue pot")
WHY = "the client, by letter of 3 March"


def a_picture(shade: int) -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (80, 60), (shade, 60, 30)).save(made, "JPEG")
    return made.getvalue()


@pytest.fixture
def piece(store: Store) -> PieceNow:
    """Handed over to a client who stands in many places, with a certificate, a signature and a photo of their room."""
    return scene(store)


def scene(store: Store) -> PieceNow:
    with store.write() as session:
        job_id = factories.a_job(session, **JOB)
        made = factories.a_piece(session, job_id=job_id)
        room = factories.a_photo(session, store, a_picture(10))
        drawn = factories.a_photo(session, store, a_picture(20))
        arrive(session, made, note=f"{CLIENT} opened the door. Key under the\nblue pot.")
        answer_all(session, made)
        raise_snag(
            session,
            factories.a_writer(session),
            piece=made,
            words=f"A scratch that {CLIENT.upper()} saw",
            photos=[PhotoUse(room, caption=f"The hall of {CLIENT}")],
        )
        hand_over(session, made, signed_name=CLIENT, signature_sha256=drawn, note=f"{CLIENT} was content.")
        writer = factories.a_writer(session)
        record_keeper(session, writer, piece=made, name=CLIENT, since="2026-01-02", contact="+44 1632 960 143")
    issued(store, made)
    with store.write() as session:
        revised = job_now(session, job_id)
        assert revised
        facts = {**JOB, "address": "78 Nowhere Row"}
        revise_job(session, factories.a_writer(session), job_id=job_id, revises=revised[0].id, facts=facts)  # type: ignore[arg-type]
    PhotoFolder(store.settings.photos, store.settings.cache).derivative(room, 320)
    return made


def let_go(store: Store, piece: PieceNow, photos: list[str] | None = None) -> erasing.Done:
    erasing.begin(store.settings)
    with store.write() as session:
        words = erasing.words_to_offer(session, piece.job_id)
        done = erasing.erase(
            session, factories.a_writer(session), job_id=piece.job_id, words=words, photos=photos or [], reason=WHY
        )
    erasing.finish(store.settings)
    return done


def faults(store: Store) -> list[str]:
    """What `check` finds, but for photos of the scene that are rows alone."""
    return [str(one) for one in check.run(store.settings).findings if "has no file" not in one.what]


def backed_up(store: Store, folder: Path) -> Path:
    with pytest.raises(IncompleteBackup) as written:  # for those photos
        backup.make(store.settings, folder)
    return written.value.path


def files_with(folder: Path, *words: str) -> list[str]:
    found = []
    for file in folder.rglob("*"):
        if file.is_file():
            data = file.read_bytes().lower()
            found += [f"{file.name}: {word}" for word in words if word.lower().encode() in data]
    return found


def test_the_words_to_offer_are_the_clients_and_those_of_who_signed(store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        offered = erasing.words_to_offer(session, piece.job_id)
    assert {CLIENT, "77 Nowhere Row", "78 Nowhere Row", "Key under the blue pot.", "+44 1632 960 143"} <= set(offered)
    assert "Saltmarsh" in offered  # a line of the address; somebody may leave it in


def test_nothing_of_the_client_is_left_in_any_file(store: Store, piece: PieceNow) -> None:
    settings = store.settings
    assert files_with(settings.data, *SECRETS), "the scene holds nothing to erase"
    with store.read() as session:
        shown = session.scalars(select(EntryPhoto.sha256).where(EntryPhoto.caption.contains("hall"))).all()
    done = let_go(store, piece, list(shown))
    assert done.entries >= 6
    assert done.photos == 2  # the one that was chosen, and the drawn signature
    # Other connections are open all the while, as in the running program.
    assert files_with(settings.data, *SECRETS) == []
    assert list(HashedFolder(settings.certificates).hashes()) == []
    folder = PhotoFolder(settings.photos, settings.cache)
    assert not any(folder.exists(sha) for sha in shown)
    assert not list(folder.cache.rglob(f"{shown[0]}*"))


def test_on_a_database_server_nothing_is_left_in_its_tables(databases, tmp_path: Path) -> None:
    from tests.support import databases as kinds

    with (
        databases.fresh(kinds.KINDS[-1], tmp_path / "data") as settings,
        kinds.opened(settings) as store,
    ):
        assert settings.database_url, "the last kind is the database server"
        piece = scene(store)
        let_go(store, piece)
        with store.read() as session:
            said = [
                str(tuple(row))
                for table in body_tables()
                for row in session.execute(select(*table.columns))
                if any(word in str(tuple(row)) for word in SECRETS)
            ]
        assert said == []
        assert faults(store) == []


def test_what_was_done_stays_and_the_chains_still_walk(store: Store, piece: PieceNow) -> None:
    with store.read() as session:
        before = len(snags(session, piece.piece_id))
    let_go(store, piece)
    report = check.run(store.settings)
    assert faults(store) == []
    assert report.counts["erased"] >= 6
    assert report.counts["photos erased"] == 1
    with store.read() as session:
        again = find(session, piece.number)
        assert again is not None
        assert again.particulars.mass_kg == piece.particulars.mass_kg
        (snag,) = snags(session, piece.piece_id)
        assert before == 1
        assert snag.said.words == "A scratch that […] saw"
        job = job_now(session, piece.job_id)
        assert job is not None
        assert (job[1].client, job[1].title, job[1].address) == ("[…]", "A room for […]", "[…]")
        (certificate,) = certificates(session, piece.piece_id)
        assert certificate.erased
        assert CLIENT not in certificate.certificate.record


def test_a_copy_in_other_hands_can_still_be_checked(store: Store, piece: PieceNow) -> None:
    from siteapp.handover.verifying import ALTERED, STANDS, Workshop, verify

    with store.read() as session:
        number = certificates(session, piece.piece_id)[0].number
    copy = file_of(store, number)
    let_go(store, piece)
    with store.read() as session:
        assert verify(copy, Workshop(session, store.settings)).state == STANDS
        altered = bytearray(copy)
        altered[len(altered) // 3] ^= 1
        found = verify(bytes(altered), Workshop(session, store.settings))
    assert found.state == ALTERED
    assert "is not here to compare with" in found.why[1]


def test_a_new_certificate_can_be_issued_afterwards(store: Store, piece: PieceNow) -> None:
    let_go(store, piece)
    with store.read() as session:
        again = find(session, piece.number)
    assert again is not None
    number = issued(store, again, why="the client's data were erased")
    assert number
    assert faults(store) == []
    assert files_with(store.settings.data, *SECRETS) == []


def test_more_can_be_erased_of_what_was_erased_before(store: Store, piece: PieceNow) -> None:
    let_go(store, piece)
    erasing.begin(store.settings)
    with store.write() as session:
        done = erasing.erase(
            session, factories.a_writer(session), job_id=piece.job_id, words=["scratch"], photos=[], reason=WHY
        )
    erasing.finish(store.settings)
    assert done.entries >= 1
    with store.read() as session:
        (snag,) = snags(session, piece.piece_id)
        assert snag.said.words == "A […] that […] saw"
        assert session.query(ErasureLeft).count() > session.query(Erasure).count()
    assert faults(store) == []


def test_other_jobs_are_left_alone(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        other = factories.a_job(session, client=CLIENT, place="Elsewhere", title="Another")
    let_go(store, piece)
    with store.read() as session:
        job = job_now(session, other)
        assert job is not None
        assert job[1].client == CLIENT


def test_nothing_to_erase_is_said_and_nothing_is_written(store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        # A drawn signature always goes, so of a job without one.
        job_id = factories.a_job(session)
        writer = factories.a_writer(session)
        with pytest.raises(StoreError, match="there is nothing to erase"):
            erasing.erase(session, writer, job_id=job_id, words=["no such words"], photos=[], reason=WHY)
        assert session.query(Erasure).count() == 0


def test_killed_between_the_record_and_the_files_the_next_start_clears_them(store: Store, piece: PieceNow) -> None:
    settings = store.settings
    erasing.begin(settings)
    with store.write() as session:
        words = erasing.words_to_offer(session, piece.job_id)
        erasing.erase(session, factories.a_writer(session), job_id=piece.job_id, words=words, photos=[], reason=WHY)
    assert list(HashedFolder(settings.certificates).hashes())
    assert any("is still there" in finding.what for finding in check.run(settings).findings)
    prepare(settings)
    erasing.finish(settings)
    assert files_with(settings.data, *SECRETS) == []
    assert not settings.erasing.exists()
    erasing.finish(settings)  # once more does nothing


def test_a_backup_made_before_still_holds_it_and_one_made_after_does_not(
    store: Store, piece: PieceNow, tmp_path: Path
) -> None:
    before = backed_up(store, tmp_path / "before")
    let_go(store, piece)
    after = backed_up(store, tmp_path / "after")
    assert files_with(before, *SECRETS)
    assert files_with(after, *SECRETS) == []


def test_a_rest_that_was_changed_is_named(store: Store, piece: PieceNow) -> None:
    from tests.keeping.test_tampering import changed

    let_go(store, piece)
    changed(store, "UPDATE snag SET words = 'no scratch at all'")
    found = [finding.what for finding in check.run(store.settings).findings]
    assert "what was left of the entry when it was erased is not as it was left" in found
