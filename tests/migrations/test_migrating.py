"""Migrating: one process at a time, a copy kept before, all or nothing, and never backwards."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import text

from siteapp.keeping import check
from siteapp.store import dumps, migrate
from siteapp.store.engine import make_engine
from siteapp.store.errors import UnsoundDatabase
from tests import factories
from tests.support import databases as kinds
from tests.support import schema
from tests.support.workers import PROCESSES

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from siteapp.config import Settings
    from tests.support.databases import Databases

BROKEN = '''"""A migration that fails half way."""

import sqlalchemy as sa
from alembic import op

revision = "9999"
down_revision = "{head}"


def upgrade():
    op.create_table("half_made", sa.Column("id", sa.Text()))
    op.add_column("job", sa.Column("half_made", sa.Text()))
    op.execute("INSERT INTO half_made VALUES ('x')")
    op.execute("INSERT INTO no_such_table VALUES (1)")
'''


@pytest.fixture(params=kinds.KINDS)
def old(request: pytest.FixtureRequest, databases: Databases, tmp_path: Path) -> Iterator[Settings]:
    """A database at the first revision with something in it."""
    with databases.fresh(request.param, tmp_path / "data", migrated=False) as settings:
        migrate.upgrade(settings, to="0001")
        with kinds.opened(settings) as store, store.write() as session:
            factories.a_job(session)
        yield settings


def revision(settings: Settings) -> str | None:
    engine = make_engine(settings)
    try:
        with engine.connect() as connection:
            return migrate.current(connection)
    finally:
        engine.dispose()


def facts(settings: Settings) -> schema.Facts:
    engine = make_engine(settings)
    try:
        with engine.connect() as connection:
            return schema.facts(connection)
    finally:
        engine.dispose()


def test_a_copy_is_kept_before_and_it_opens(old: Settings, databases: Databases, tmp_path: Path) -> None:
    before = facts(old)
    migrate.upgrade(old)
    (copy,) = old.copies.iterdir()
    assert copy.name.startswith("before-0001-")
    kind = kinds.POSTGRESQL if old.database_url else kinds.PACKAGED
    with databases.fresh(kind, tmp_path / "opened", migrated=False) as opened:
        if old.database_url:
            engine = make_engine(opened)
            dumps.load(engine.url, copy)
            engine.dispose()
        else:
            opened.data.mkdir()
            shutil.copyfile(copy, opened.sqlite_file)
        assert revision(opened) == "0001"
        assert facts(opened) == before
        migrate.upgrade(opened)
        shutil.copyfile(old.heads_file, opened.heads_file)
        assert check.run(opened).findings == []
    migrate.upgrade(old)
    assert list(old.copies.iterdir()) == [copy]  # nothing to do, nothing to copy


def test_no_copy_is_made_of_a_database_that_is_not_there_yet(settings: Settings) -> None:
    migrate.upgrade(settings)
    assert not settings.copies.exists()


def test_a_migration_that_fails_leaves_the_database_as_it_was(
    old: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    migrate.upgrade(old)
    head = revision(old)
    before = facts(old)
    scripts = tmp_path / "migrations"
    shutil.copytree(migrate.SCRIPTS, scripts)
    (scripts / "versions" / "9999_broken.py").write_text(BROKEN.format(head=head))
    monkeypatch.setattr(migrate, "SCRIPTS", scripts)
    with pytest.raises(Exception, match="no_such_table"):
        migrate.upgrade(old)
    monkeypatch.undo()
    assert revision(old) == head
    assert facts(old) == before
    assert check.run(old).findings == []
    assert len(list(old.copies.iterdir())) == 2
    migrate.upgrade(old)


def test_a_database_of_a_newer_program_is_refused_in_words(old: Settings) -> None:
    engine = make_engine(old)
    with engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '2999'"))
    engine.dispose()
    with pytest.raises(UnsoundDatabase, match=r"revision 2999, written by a newer siteapp; use that one, or restore"):
        migrate.upgrade(old)
    assert revision(old) == "2999"
    assert not old.copies.exists()


def upgrade(settings: Settings, barrier: Any, told: Any) -> None:
    barrier.wait()
    try:
        migrate.upgrade(settings)
    except Exception as error:  # noqa: BLE001 - told to the test
        told.put(repr(error))
    else:
        told.put("done")


@pytest.mark.parametrize("apart", [False, True], ids=["one data folder", "a data folder each"])
def test_of_processes_that_migrate_at_once_one_does_and_the_others_wait(
    old: Settings, tmp_path: Path, apart: bool
) -> None:
    if apart and not old.database_url:
        pytest.skip("only a database server can be shared from two data folders")
    places = [old.with_(data=tmp_path / f"of-{number}") if apart else old for number in range(3)]
    barrier, told = PROCESSES.Barrier(3), PROCESSES.Queue()
    processes = [PROCESSES.Process(target=upgrade, args=(place, barrier, told)) for place in places]
    for process in processes:
        process.start()
    assert [told.get(timeout=60) for _ in processes] == ["done"] * 3
    for process in processes:
        process.join()
    told.close()
    copies = [copy for place in {place.data: place for place in places}.values() for copy in place.copies.glob("*")]
    assert len(copies) == 1
    assert check.run(old).findings == []


def test_migrating_an_empty_database_at_once_makes_it_once(settings: Settings) -> None:
    barrier, told = PROCESSES.Barrier(3), PROCESSES.Queue()
    processes = [PROCESSES.Process(target=upgrade, args=(settings, barrier, told)) for _ in range(3)]
    for process in processes:
        process.start()
    assert [told.get(timeout=60) for _ in processes] == ["done"] * 3
    for process in processes:
        process.join()
    told.close()
    with kinds.opened(settings):
        pass
    assert check.run(settings).findings == []


def test_the_newest_revision_read_from_file_names_is_the_one_that_the_scripts_lead_to():
    from alembic.script import ScriptDirectory

    assert ScriptDirectory(str(migrate.SCRIPTS)).get_current_head() == migrate.newest()
