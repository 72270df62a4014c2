"""A power cut at any moment loses nothing that was acknowledged, and what is left is sound."""

from __future__ import annotations

import os
import shutil
from itertools import count
from typing import TYPE_CHECKING, Any

import apsw
import pytest
from sqlalchemy import select

from siteapp.keeping import check
from siteapp.store import engine
from siteapp.store.db import Store
from siteapp.store.models import FormPost
from tests.support import databases as kinds
from tests.support import power, workers
from tests.support.workers import Form

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from siteapp.config import Settings
    from tests.support.databases import Databases

FORMS = int(os.environ.get("SITEAPP_TESTS_POWER_FORMS", "30"))
CUTS = int(os.environ.get("SITEAPP_TESTS_CUTS", "25"))
SEED = int(os.environ.get("SITEAPP_TESTS_SEED", "20260304"))
WAL, JOURNAL = (3, 53, 4), (3, 40, 1)  # versions that the engine chooses each of the two ways by
NAMES = (f"power-{number}" for number in count())


def cut(
    databases: Databases,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    version: tuple[int, ...],
    change: Callable[[str], str] = str,
    *,
    sound: bool = True,
) -> tuple[int, list[str]]:
    """Save forms while the power goes again and again; returns how many cuts, and what they lost or (`sound`) broke."""
    disk = power.Power(next(NAMES), SEED, every=6)
    kind = kinds.PACKAGED if version == WAL else kinds.OF_PYTHON
    with databases.fresh(kind, tmp_path / "data") as settings:
        with kinds.opened(settings) as store:
            laptop = store.begin_laptop()
        for file in settings.data.glob("siteapp.db*"):
            disk.load(file)
        with monkeypatch.context() as patch:
            # Another driver below the program; everything above it is the program's own.
            patch.setattr(engine, "sqlite_module", lambda _choice: power.driver(disk, version, change))
            store = Store(settings)
            disk.on = True
            for number in range(FORMS):
                workers.post(store, laptop, Form(number))
                disk.acknowledged = number + 1
                disk.cut()  # the worst moment: just answered
            disk.on = False
            store.close()
        disk.unregister()
        chosen = disk.rng.sample(disk.cuts, min(CUTS, len(disk.cuts)))
        faults: list[str] = []
        for number, one in enumerate(chosen):
            place = settings.with_(data=tmp_path / f"cut-{number}")
            power.written(one, settings.data, place.data)
            missing, found = left(place, settings, one.acknowledged, sound=sound)
            faults += [f"cut {number} after {one.acknowledged}: lost {missing}"] if missing else []
            faults += [f"cut {number} after {one.acknowledged}: {fault}" for fault in found]
            shutil.rmtree(place.data)
    return len(chosen), faults


def left(place: Settings, whole: Settings, acknowledged: int, *, sound: bool) -> tuple[list[int], list[str]]:
    """Which acknowledged forms are gone after a cut, and what else is wrong."""
    store = Store(place)
    try:
        with store.read() as session:
            posts = set(session.scalars(select(FormPost.id)))
    finally:
        store.close()
    missing = [number for number in range(acknowledged) if Form(number).id not in posts]
    if not sound:
        return missing, []
    # Photos and noted heads lie on another disk here; a head noted before the cut must not be ahead of what is left.
    noted = whole.heads_file.read_text().splitlines(keepends=True)
    place.heads_file.write_text("".join(noted[: len(noted) and heads_at(acknowledged)]))
    place.photos.symlink_to(whole.photos)
    return missing, [str(one) for one in check.run(place).findings]


def heads_at(acknowledged: int) -> int:
    """Lines of the heads file after so many forms: the laptop's own beginning, then one a chain that a form moved."""
    return 1 + sum(len(set(Form(number).jobs)) for number in range(acknowledged))


@pytest.mark.parametrize("version", [WAL, JOURNAL], ids=["write-ahead log", "rollback journal"])
def test_a_power_cut_loses_nothing_acknowledged(
    databases: Databases, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, version: tuple[int, ...]
) -> None:
    cuts, faults = cut(databases, tmp_path, monkeypatch, version)
    assert cuts >= min(CUTS, 2 * FORMS)
    assert faults == []


def weaker(setting: str, wanted: str, given: str) -> Callable[[str], str]:
    """Ask for less than the engine wants, and tell it that it has what it asked for."""

    def change(statement: str) -> str:
        if statement == f"PRAGMA {setting} = {wanted}":
            return f"PRAGMA {setting} = {given}"
        if statement == f"PRAGMA {setting}":
            return f"SELECT {wanted}"
        return statement

    return change


@pytest.mark.parametrize(
    ("version", "wanted", "given"),
    [(WAL, "2", "1"), (JOURNAL, "3", "2")],
    ids=["NORMAL with the write-ahead log", "FULL with the rollback journal"],
)
def test_one_step_less_of_syncing_would_lose_some(
    databases: Databases,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    version: tuple[int, ...],
    wanted: str,
    given: str,
) -> None:
    """So the test above can fail, and the engine's settings are what makes it pass."""
    less = weaker("synchronous", wanted, given)
    cuts, faults = cut(databases, tmp_path, monkeypatch, version, less, sound=False)
    assert faults, f"{cuts} cuts lost nothing"


def test_the_adaptor_runs_the_engine_as_it_is(
    databases: Databases, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk = power.Power(next(NAMES), SEED, every=10**9)
    asked: list[str] = []

    def listen(statement: str) -> str:
        asked.append(statement)
        return statement

    with databases.fresh(kinds.PACKAGED, tmp_path / "data") as settings:
        monkeypatch.setattr(engine, "sqlite_module", lambda _choice: power.driver(disk, WAL, listen))
        with kinds.opened(settings) as store:
            workers.post(store, store.begin_laptop(), Form(1))
            values: dict[str, Any] = {}
            with store.engine.connect() as connection:
                for name in ("journal_mode", "synchronous", "foreign_keys", "recursive_triggers"):
                    values[name] = connection.exec_driver_sql(f"PRAGMA {name}").scalar()
        assert values == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "recursive_triggers": 1}
        assert "BEGIN IMMEDIATE" in asked
        assert apsw.sqlite_lib_version() >= "3.51"
    disk.unregister()
