"""Backups are sound while others write, and come back as a new laptop."""

from __future__ import annotations

import json
import shutil
import threading
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from siteapp.keeping import backup, check
from siteapp.keeping.backup import BackupError, IncompleteBackup
from siteapp.keeping.restore import restore
from siteapp.people.models import SignIn
from siteapp.people.services import start_sign_in, utc_now
from siteapp.store import keys
from siteapp.store.db import Store
from siteapp.store.entries import PhotoUse
from siteapp.store.models import Entry, LaptopFoundHead, LaptopStart
from tests import factories
from tests.keeping import scenes
from tests.support import databases as kinds

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from siteapp.config import Settings
    from tests.support.databases import Databases

TIMES = 10


@pytest.fixture
def elsewhere(
    database: Store, databases: Databases, tmp_path: Path, request: pytest.FixtureRequest
) -> Iterator[Settings]:
    """An empty place of the same kind as `database`."""
    kind = request.node.callspec.params["database"]
    with databases.fresh(kind, tmp_path / "elsewhere", migrated=False) as settings:
        yield settings


def found(settings: Settings) -> list[str]:
    return [str(one) for one in check.run(settings).findings]


def test_a_backup_comes_back_whole_as_a_new_laptop(database: Store, elsewhere: Settings) -> None:
    scene = scenes.fill(database)
    with database.write() as session:
        person = factories.a_person(session)
        start_sign_in(session, person_id=person, name="P", device="phone", now=utc_now())
    told: list[tuple[int, int, str]] = []
    made = backup.make(database.settings, progress=lambda *step: told.append(step))
    assert made.parent == database.settings.data.with_name("data-backups")
    assert told[0] == (0, 1, "database")
    assert told[-1] == (3, 3, "photos")

    restore(elsewhere, made)
    assert found(elsewhere) == []
    again = Store(elsewhere)
    with database.read() as old, again.read() as new:
        before = {entry.id: entry.digest for entry in old.scalars(select(Entry))}
        after = {entry.id: entry.digest for entry in new.scalars(select(Entry))}
        starts = new.scalars(select(LaptopStart.laptop_id)).all()
        heads = new.execute(select(LaptopFoundHead.chain, LaptopFoundHead.seq)).all()
        assert new.scalars(select(SignIn)).all() == []
    assert before.items() < after.items()
    assert len(after) == len(before) + 1
    assert len(starts) == 2
    assert {chain.split(":")[0] for chain, _seq in heads} == {keys.own_laptop(database.settings)}
    assert sum(seq for _chain, seq in heads) == len(before)
    # The new laptop goes on with the same job in a chain of its own, the old one in its own.
    assert again.begin_laptop() == keys.own_laptop(elsewhere) != keys.own_laptop(database.settings)
    for store in (again, database):
        with store.write() as session:
            scenes.note(session, scene.piece, "remark")
    again.close()
    assert found(elsewhere) == []
    assert found(database.settings) == []


def test_a_backup_taken_while_others_write_is_sound(store: Store, tmp_path: Path) -> None:
    scene = scenes.fill(store)
    stop = threading.Event()

    def write() -> None:
        own = Store(store.settings)
        while not stop.is_set():
            with own.write() as session:
                sha = factories.a_photo(session, own)
                scenes.note(session, scene.piece, "remark", photos=[PhotoUse(sha)])
        own.close()

    writers = [threading.Thread(target=write) for _ in range(2)]
    for writer in writers:
        writer.start()
    try:
        made = [backup.make(store.settings, tmp_path / "backups") for _ in range(TIMES)]
    finally:
        stop.set()
        for writer in writers:
            writer.join()
    assert len(set(made)) == TIMES
    sizes = []
    for number, one in enumerate(made):
        place = store.settings.with_(data=tmp_path / f"back-{number}")
        restore(place, one)
        report = check.run(place)
        assert [str(each) for each in report.findings] == []
        sizes.append(report.counts["entries"])
    assert sizes == sorted(sizes)
    assert sizes[-1] > sizes[0]  # they did write meanwhile
    assert found(store.settings) == []


def test_a_backup_says_what_is_in_it_and_holds_no_key(store: Store) -> None:
    scene = scenes.fill(store)
    made = backup.make(store.settings)
    said = json.loads((made / "manifest.json").read_text())
    assert {file["path"] for file in said["files"]} == {
        "siteapp.db",
        "heads.jsonl",
        *(f"photos/{sha[:2]}/{sha}" for sha in scene.photos),
    }
    assert {path.relative_to(made).as_posix() for path in made.rglob("*") if path.is_file()} == {
        "manifest.json",
        *(file["path"] for file in said["files"]),
    }
    assert said["laptop_id"] == keys.own_laptop(store.settings)
    private = json.loads((store.settings.keys / "laptop.json").read_text())["ed25519_private"].encode()
    assert not any(private in path.read_bytes() for path in made.rglob("*") if path.is_file())


def test_a_backup_is_made_although_a_photo_is_gone_and_says_so(store: Store, tmp_path: Path) -> None:
    scene = scenes.fill(store)
    gone, torn, _whole = scene.photos
    (store.settings.photos / gone[:2] / gone).unlink()
    (store.settings.photos / torn[:2] / torn).write_bytes(b"torn")
    with pytest.raises(IncompleteBackup, match="1 photos or certificates were gone and 1 damaged") as raised:
        backup.make(store.settings, tmp_path / "backups")
    place = store.settings.with_(data=tmp_path / "back")
    restore(place, raised.value.path)
    assert sorted(text.split(" (")[0] for text in found(place)) == sorted(
        [f"the photo {gone} has no file", f"the photo {torn} has a file that is not as it was written"]
    )


@pytest.mark.parametrize("inside", [".", "backups", "photos/deep"])
def test_a_backup_into_the_data_folder_is_refused(store: Store, inside: str) -> None:
    with pytest.raises(BackupError, match="is inside the data folder"):
        backup.make(store.settings, store.settings.data / inside)


def test_nothing_is_backed_up_where_nothing_is(settings: Settings) -> None:
    with pytest.raises(BackupError, match="there is no database at"):
        backup.make(settings)
    assert not settings.data.exists()


def test_a_backup_that_fails_leaves_nothing(store: Store, tmp_path: Path) -> None:
    scene = scenes.fill(store)
    sha = scene.photos[0]
    path = store.settings.photos / sha[:2] / sha
    path.unlink()
    path.mkdir()  # cannot be read as a file, for root neither
    with pytest.raises(OSError, match="directory"):
        backup.make(store.settings, tmp_path / "backups")
    assert list((tmp_path / "backups").iterdir()) == []


DAMAGES = {
    "a byte of the database": lambda made: _flip(made / "siteapp.db"),
    "a byte of a photo": lambda made: _flip(next((made / "photos").rglob("*/*"))),
    "a byte of the heads": lambda made: _flip(made / "heads.jsonl"),
    "a photo gone": lambda made: next((made / "photos").rglob("*/*")).unlink(),
    "the database gone": lambda made: (made / "siteapp.db").unlink(),
    "the manifest gone": lambda made: (made / "manifest.json").unlink(),
    "the manifest cut short": lambda made: _cut(made / "manifest.json"),
    "a name that leads out": lambda made: _edit(made, "photos/", "photos/../../"),
    "a later form": lambda made: _edit(made, '"format": 1', '"format": 2'),
    "of another database": lambda made: _edit(made, '"database": "sqlite"', '"database": "postgresql"'),
}


def _flip(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-20])


def _edit(made: Path, old: str, new: str) -> None:
    text = (made / "manifest.json").read_text()
    assert old in text
    (made / "manifest.json").write_text(text.replace(old, new))


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_backup_is_refused_and_nothing_is_changed(store: Store, tmp_path: Path, damage: str) -> None:
    scenes.fill(store)
    made = backup.make(store.settings, tmp_path / "backups")
    DAMAGES[damage](made)
    place = store.settings.with_(data=tmp_path / "back")
    place.data.mkdir()
    with pytest.raises(BackupError) as raised:
        restore(place, made)
    assert str(made) in str(raised.value)
    assert list(place.data.iterdir()) == []


def test_a_restore_never_touches_what_is_there(database: Store, elsewhere: Settings) -> None:
    scenes.fill(database)
    made = backup.make(database.settings)
    before = {path: path.read_bytes() for path in database.settings.data.rglob("*") if path.is_file()}
    with pytest.raises(BackupError, match=r"is there already|is not empty"):
        restore(database.settings, made)
    if database.settings.database_url:
        fresh = database.settings.with_(data=database.settings.data.with_name("fresh"))
        with pytest.raises(BackupError, match="is not empty"):
            restore(fresh, made)
    assert before == {path: path.read_bytes() for path in database.settings.data.rglob("*") if path.is_file()}
    restore(elsewhere, made)
    with pytest.raises(BackupError, match="is there already"):
        restore(elsewhere, made)
    assert found(elsewhere) == []


def test_a_restore_that_was_cut_off_can_be_begun_again(store: Store, tmp_path: Path) -> None:
    scenes.fill(store)
    made = backup.make(store.settings, tmp_path / "backups")
    place = store.settings.with_(data=tmp_path / "back")
    restore(place, made)
    # As if the power had gone in the middle of the moving: the database not yet in its place.
    aside = place.data / ".restoring"
    aside.mkdir()
    (aside / "moving").touch()
    shutil.move(place.sqlite_file, aside / "siteapp.db")
    restore(place, made)
    assert found(place) == []


def test_a_backup_that_was_never_finished_is_refused(store: Store, tmp_path: Path) -> None:
    made = backup.make(store.settings, tmp_path / "backups")
    unfinished = made.rename(made.with_name(made.name + "-1.part"))
    with pytest.raises(BackupError, match="never finished"):
        restore(store.settings.with_(data=tmp_path / "back"), unfinished)


def test_a_backup_of_an_older_schema_comes_back_at_the_newest(
    databases: Databases, tmp_path: Path, settings: Settings
) -> None:
    from siteapp.store import migrate

    migrate.upgrade(settings, to="0001")
    with kinds.opened(settings) as store, store.write() as session:
        factories.a_job(session)
    made = backup.make(settings, tmp_path / "backups")
    place = settings.with_(data=tmp_path / "back")
    restore(place, made)
    assert found(place) == []
