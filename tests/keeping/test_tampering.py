"""What slips past the triggers, because somebody took them away, is named by `check`, and where it is."""

from __future__ import annotations

import random
import shutil
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.keeping import check
from siteapp.keeping.tables import recorded_tables
from siteapp.store.engine import sqlite_module
from tests.keeping import foreign, scenes

if TYPE_CHECKING:
    from pathlib import Path

    from siteapp.config import Settings
    from siteapp.keeping.findings import Finding
    from siteapp.store.db import Store

RECORDED = [table.name for table in recorded_tables()]
FLIPS = 15


def found(settings: Settings, *, full: bool = True) -> list[Finding]:
    return check.run(settings, full=full).findings


def changed(store: Store, *statements: str) -> None:
    """Run statements with every trigger and reference out of the way, and put the triggers back."""
    with foreign.connection(store.settings) as opened:
        if store.settings.database_url:
            opened.execute("SET session_replication_role = replica")
            for statement in statements:
                opened.execute(statement)
            return
        back = foreign.disarm(opened, store.settings, *RECORDED)
        for statement in (*statements, *back):
            opened.execute(statement)


def words(findings: list[Finding]) -> set[str]:
    return {finding.what for finding in findings}


BODY = "what the entry says is not as it was written: its digest does not fit"
HEADER = "the entry is not as it was written: its digest does not fit"
GONE = "what the entry says is gone, and it was not erased"

# What was done (with the scene's ids put in), and what `check` must say of it among other things.
DEEDS: dict[str, tuple[str, str]] = {
    "a word changed": ("UPDATE particulars SET title = 'another' WHERE entry_id = '{particulars}'", BODY),
    "a figure changed in its last digit": ("UPDATE particulars SET mass_kg = 31.400000000000002", BODY),
    "a caption changed": ("UPDATE entry_photo SET caption = NULL WHERE position = 1", BODY),
    "a row taken away": ("DELETE FROM build_up_line WHERE position = 1", BODY),
    "a row added": (
        "INSERT INTO hanging_point (entry_id, position, label, x_mm, y_mm) VALUES ('{particulars}', 9, 'C', 1, 1)",
        BODY,
    ),
    "a row of another table added": (
        "INSERT INTO arrival (entry_id, found) VALUES ('{certificate}', 'nothing found')",
        BODY,
    ),
    "the salt changed": ("UPDATE body_head SET salt = 'x' WHERE entry_id = '{arrival}'", BODY),
    "a body taken away": ("DELETE FROM body_head WHERE entry_id = '{arrival}'", GONE),
    "an entry of another person": ("UPDATE entry SET by_id = '{job}' WHERE id = '{arrival}'", HEADER),
    "an entry moved in time": (
        "UPDATE entry SET recorded_at = '2020-01-01T00:00:00.000000Z' WHERE id = '{arrival}'",
        HEADER,
    ),
    "an instant that is none": ("UPDATE entry SET at = 'yesterday' WHERE id = '{arrival}'", HEADER),
    "a correction made up": ("INSERT INTO entry_corrects VALUES ('{certificate}', '{arrival}')", HEADER),
    "a correction taken away": ("DELETE FROM entry_corrects", HEADER),
    "an erased body put back": (
        "INSERT INTO job VALUES ('{erased}', 'a', 'b', 'c', NULL, NULL, NULL)",
        "the entry was erased, but rows of it are there: job",
    ),
    "an erasure made up": ("INSERT INTO erasure VALUES ('{arrival}', '{certificate}', 'made up')", BODY),
    "a row of no entry": (
        "INSERT INTO arrival (entry_id, found) VALUES ('{nobody}', 'nothing found')",
        "a row of arrival names what is not there: entry {nobody}",
    ),
    "a photo's row gone": ("DELETE FROM photo", "a row of entry_photo names what is not there: photo"),
    "a certificate's record changed": (
        "UPDATE certificate SET record = '{{}}'",
        "the certificate's record does not fit the digest printed on it",
    ),
}


def put_in(text: str, store: Store, scene: scenes.Scene) -> str:
    nobody = "00000000-0000-4000-8000-000000000000"
    return text.format(
        particulars=scene.piece.revision.id,
        job=scene.job_id,
        nobody=nobody,
        **{name: getattr(scene, name) for name in ("arrival", "certificate", "erased")},
    )


@pytest.mark.parametrize("deed", DEEDS)
def test_what_was_done_to_rows_is_named(database: Store, deed: str) -> None:
    scene = scenes.fill(database)
    done, said = DEEDS[deed]
    changed(database, put_in(done, database, scene))
    said = put_in(said, database, scene)
    assert any(text.startswith(said) for text in words(found(database.settings))), found(database.settings)


def test_a_finding_says_where_it_is(store: Store) -> None:
    scene = scenes.fill(store)
    changed(store, f"UPDATE entry_photo SET caption = 'x' WHERE entry_id = '{scene.arrival}' AND position = 0")
    (one,) = found(store.settings)
    assert one.piece_number == scene.piece.number
    assert one.entry_id == scene.arrival
    assert one.kind == "arrival"
    assert (one.chain or "").endswith(scene.job_id)
    where = f"piece {scene.piece.number}, kind arrival, entry {scene.arrival}, number 4, in chain {one.chain}"
    assert str(one) == f"{BODY} ({where})"
    assert [str(each) for each in found(store.settings, full=False)] == [str(one)]


def delete_entry(where: str) -> list[str]:
    """Statements that take an entry away with all that belongs to it."""
    ids = f"(SELECT id FROM entry WHERE {where})"
    tables = [name for name in reversed(RECORDED) if name != "entry"]
    return [f"DELETE FROM {name} WHERE entry_id IN {ids}" for name in tables] + [f"DELETE FROM entry WHERE {where}"]


@pytest.mark.parametrize("full", [True, False], ids=["full", "quick"])
def test_an_entry_taken_from_the_middle_is_named(database: Store, full: bool) -> None:
    scene = scenes.fill(database)
    changed(database, *delete_entry(f"id = '{scene.arrival}'"))
    said = words(found(database.settings, full=full))
    if full:
        assert "entries are missing before this one: 4" in said
    else:
        assert any(text.endswith("entries are numbered 1 to 9") for text in said), said


@pytest.mark.parametrize("full", [True, False], ids=["full", "quick"])
def test_a_tail_cut_with_its_head_set_back_is_named_by_the_heads_file(database: Store, full: bool) -> None:
    scene = scenes.fill(database)
    chain = f"chain LIKE '%{scene.job_id}'"
    changed(
        database,
        *delete_entry(f"id = '{scene.certificate}'"),
        f"UPDATE chain_head SET seq = 8, digest = (SELECT digest FROM entry WHERE {chain} AND seq = 8) WHERE {chain}",
    )
    (one,) = found(database.settings, full=full)
    assert one.what == "the chain ends at 8, but 9 was noted: its end was cut"
    assert (one.chain or "").endswith(scene.job_id)


@pytest.mark.parametrize("full", [True, False], ids=["full", "quick"])
def test_a_chain_taken_away_whole_is_named(store: Store, full: bool) -> None:
    scene = scenes.fill(store)
    chain = f"chain LIKE '%{scene.job_id}'"
    changed(store, *delete_entry(chain), f"DELETE FROM chain_head WHERE {chain}")
    assert words(found(store.settings, full=full)) == {"a chain that was noted is gone"}


def test_a_head_set_back_or_taken_away_is_named(store: Store) -> None:
    scene = scenes.fill(store)
    changed(store, f"UPDATE chain_head SET seq = 3 WHERE chain LIKE '%{scene.job_id}'")
    assert words(found(store.settings)) == {"the chain ends at 9, its head says 3"}
    assert words(found(store.settings, full=False)) >= {"the chain does not end at its head"}
    changed(store, f"DELETE FROM chain_head WHERE chain LIKE '%{scene.job_id}'")
    assert words(found(store.settings)) == {"the chain ends at 9, its head is not kept"}


def test_a_whole_chain_written_anew_is_named_by_the_heads_file(store: Store) -> None:
    """Somebody who works out every digest again still has to answer to what was noted elsewhere."""
    from siteapp.store import digests

    scene = scenes.fill(store)
    with store.read() as session:
        from siteapp.store.models import Entry

        entry = session.get_one(Entry, scene.certificate)
        entry.device = "another phone"
        forged = digests.entry_digest(entry, [])
    changed(
        store,
        f"UPDATE entry SET device = 'another phone', digest = '{forged}' WHERE id = '{scene.certificate}'",
        f"UPDATE chain_head SET digest = '{forged}' WHERE chain LIKE '%{scene.job_id}'",
    )
    assert words(found(store.settings)) == {"this is not the entry that was noted under its number"}


@pytest.mark.parametrize("full", [True, False], ids=["full", "quick"])
def test_a_trigger_taken_away_is_named(database: Store, full: bool) -> None:
    on = "" if not database.settings.database_url else " ON job"
    with foreign.connection(database.settings) as opened:
        opened.execute(f"DROP TRIGGER recorded_job_update{on}")
    assert words(found(database.settings, full=full)) == {"the trigger recorded_job_update is missing or switched off"}


def test_a_trigger_switched_off_is_named(database: Store) -> None:
    if not database.settings.database_url:
        pytest.skip("only PostgreSQL can switch one off")
    with foreign.connection(database.settings) as opened:
        foreign.disarm(opened, database.settings, "job")
    assert {text for text in words(found(database.settings)) if "recorded_job_delete" in text}


def test_a_trigger_that_no_longer_refuses_is_named(database: Store) -> None:
    with foreign.connection(database.settings) as opened:
        if database.settings.database_url:
            opened.execute(
                "CREATE OR REPLACE FUNCTION siteapp_refuse() RETURNS trigger LANGUAGE plpgsql AS "
                "$$ BEGIN RETURN NEW; END $$"
            )
            name = "siteapp_refuse()"
        else:
            name = "recorded_job_update"
            opened.execute(f"DROP TRIGGER {name}")
            opened.execute(f"CREATE TRIGGER {name} BEFORE UPDATE ON job BEGIN SELECT 1; END")
    assert words(found(database.settings)) == {f"the trigger {name} does not say what it was made to say"}


def test_a_constraint_taken_away_is_named(database: Store) -> None:
    if not database.settings.database_url:
        pytest.skip("SQLite can only do it by making the table anew")
    with foreign.connection(database.settings) as opened:
        opened.execute("ALTER TABLE particulars DROP CONSTRAINT ck_particulars_mass_positive")
    assert words(found(database.settings)) == {"the constraint ck_particulars_mass_positive of particulars is missing"}


def test_a_value_that_a_constraint_forbids_is_named(store: Store) -> None:
    scene = scenes.fill(store)
    with foreign.connection(store.settings) as opened:
        back = foreign.disarm(opened, store.settings, "particulars")
        opened.execute("PRAGMA ignore_check_constraints = 1")
        opened.execute(f"UPDATE particulars SET mass_kg = -1 WHERE entry_id = '{scene.piece.revision.id}'")
        for statement in back:
            opened.execute(statement)
    assert any(text.startswith("the database file is damaged: CHECK") for text in words(found(store.settings)))


def test_a_photo_changed_or_gone_is_named_with_its_piece(database: Store) -> None:
    scene = scenes.fill(database)
    folder = database.settings.photos
    one, two, _three = (folder / sha[:2] / sha for sha in scene.photos)
    data = bytearray(one.read_bytes())
    data[0] ^= 1
    one.write_bytes(data)
    two.unlink()
    (folder / "left.part").write_bytes(b"x")
    report = check.run(database.settings)
    assert {finding.what for finding in report.findings} == {
        f"the photo {one.name} has a file that is not as it was written",
        f"the photo {two.name} has no file",
    }
    assert {finding.piece_number for finding in report.findings} == {scene.piece.number}
    assert report.counts["files in the photos folder that nothing names"] == 1
    assert words(found(database.settings, full=False)) == {f"the photo {two.name} has no file"}


def test_a_changed_byte_of_the_heads_file_is_named(store: Store) -> None:
    scenes.fill(store)
    data = store.settings.heads_file.read_bytes()
    numbers = random.Random(20260301).sample(range(len(data)), FLIPS)
    for number in numbers:
        torn = bytearray(data)
        torn[number] ^= 1
        store.settings.heads_file.write_bytes(torn)
        assert found(store.settings, full=False), f"byte {number} of {len(data)}"
    store.settings.heads_file.unlink()
    assert words(found(store.settings, full=False)) == {
        "the file of noted heads is gone, so nobody could tell if a chain's end was cut"
    }


def test_a_changed_byte_of_the_database_is_named_or_changes_nothing_recorded(store: Store, tmp_path: Path) -> None:
    scenes.fill(store)
    store.close()
    settings = store.settings
    whole = tmp_path / "whole.db"
    with foreign.connection(settings) as opened:
        opened.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    shutil.copyfile(settings.sqlite_file, whole)
    data = whole.read_bytes()
    rng = random.Random(20260302)
    unnamed = 0
    for _ in range(FLIPS):
        number, bit = rng.randrange(len(data)), 1 << rng.randrange(8)
        torn = bytearray(data)
        torn[number] ^= bit
        for left in settings.data.glob("siteapp.db-*"):
            left.unlink()
        settings.sqlite_file.write_bytes(torn)
        if not found(settings):
            unnamed += 1
            assert recorded_rows(settings, settings.sqlite_file) == recorded_rows(settings, whole), f"byte {number}"
    assert unnamed < FLIPS


def recorded_rows(settings: Settings, path: Path) -> dict[str, Any]:
    opened = sqlite_module(settings.sqlite_driver).connect(path)
    try:
        return {name: opened.execute(f"SELECT * FROM {name}").fetchall() for name in RECORDED}
    finally:
        opened.close()


def test_check_changes_nothing_and_makes_nothing(settings: Settings, store: Store) -> None:
    scenes.fill(store)
    store.close()
    before = store.settings.sqlite_file.read_bytes()
    files = {path.name for path in store.settings.data.iterdir()}
    assert found(store.settings) == []
    assert store.settings.sqlite_file.read_bytes() == before
    assert {path.name for path in store.settings.data.iterdir()} <= files | {"siteapp.db-wal", "siteapp.db-shm"}
    empty = settings.with_(data=settings.data / "nowhere")
    (one,) = found(empty)
    assert one.what.startswith("there is no database at")
    assert not empty.data.exists()


def test_a_file_that_is_no_database_is_named(settings: Settings) -> None:
    settings.data.mkdir()
    settings.sqlite_file.write_bytes(b"not a database at all" * 1000)
    (one,) = found(settings)
    assert one.what.startswith("the database cannot be read: ")
    assert "not a database" in one.what


def test_a_database_of_another_revision_is_named(store: Store) -> None:
    with foreign.connection(store.settings) as opened:
        opened.execute("UPDATE alembic_version SET version_num = 'later'")
    assert any(text.startswith("the database is at revision later") for text in words(found(store.settings)))


def test_long_chains_are_walked_in_pieces(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    from siteapp.keeping import chains, photos

    scene = scenes.fill(store)
    whole = check.run(store.settings)
    told: list[tuple[int, int, str]] = []
    for size in (1, 4):
        monkeypatch.setattr(chains, "CHUNK", size)
        monkeypatch.setattr(photos, "CHUNK", size)
        report = check.run(store.settings, progress=lambda *step: told.append(step))
        assert report.findings == []
        assert report.counts == whole.counts
    assert {what for _done, _total, what in told} == {"entries", "photos"}
    changed(store, *delete_entry(f"id = '{scene.arrival}'"))
    assert "entries are missing before this one: 4" in words(found(store.settings))
