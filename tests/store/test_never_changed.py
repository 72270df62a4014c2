"""What is recorded is never changed: not by this program, not by another that opens the database."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import CheckConstraint, Double, UniqueConstraint
from sqlalchemy.exc import DatabaseError

from siteapp.keeping import check
from siteapp.keeping.tables import recorded_tables
from siteapp.store import entries
from siteapp.store.columns import FigureType, FlagType, WholeType
from siteapp.store.errors import StoreError
from tests import factories
from tests.keeping import foreign, scenes

if TYPE_CHECKING:
    from sqlalchemy import Table

    from siteapp.store.db import Store

REFUSED = "what is recorded is never changed"
TABLES = [table.name for table in recorded_tables()]


def table_of(name: str) -> Table:
    return next(table for table in recorded_tables() if table.name == name)


def a_value(table: Table, column: str, scene: scenes.Scene) -> Any:
    """Some value that the column takes."""
    found = table.c[column]
    if column == "climate_verdict":
        return "met"
    if found.foreign_keys and next(iter(found.foreign_keys)).column.table.name == "photo":
        return scene.photos[0]
    if column.endswith("_id"):
        return scene.arrival
    asked = [str(one.sqltext) for one in (*table.constraints, *found.constraints) if isinstance(one, CheckConstraint)]
    for words in asked:
        if allowed := re.search(rf"\b{column} IN \('([^']+)'", words):
            return allowed[1]
        if allowed := re.search(rf"\b{column} IN \((\d+)", words):
            return int(allowed[1])
    if isinstance(found.type, FigureType | Double):
        return 1.0
    if isinstance(found.type, FlagType):
        return True
    if isinstance(found.type, WholeType):
        return 1
    return "words"


def a_row(store: Store, table: Table, scene: scenes.Scene) -> dict[str, Any]:
    """A row of the table as it stands; written first (past the services) when the scene has none."""
    names = [column.name for column in table.columns]
    with foreign.connection(store.settings) as opened:
        found = opened.execute(f"SELECT {', '.join(names)} FROM {table.name} LIMIT 1").fetchone()
        if found is None:
            row = {name: a_value(table, name, scene) for name in names}
            insert(opened, store, table.name, row)
            return row
    return dict(zip(names, found, strict=True))


def insert(opened: Any, store: Store, table: str, row: dict[str, Any], words: str = "INSERT") -> None:
    marks = ", ".join(["%s" if store.settings.database_url else "?"] * len(row))
    opened.execute(f"{words} INTO {table} ({', '.join(row)}) VALUES ({marks})", tuple(row.values()))


def keys_of(table: Table) -> list[list[str]]:
    unique = [one for one in table.constraints if isinstance(one, UniqueConstraint)]
    return [[column.name for column in key.columns] for key in (table.primary_key, *unique)]


@pytest.mark.parametrize("recursive", [False, True], ids=["as another program", "as this one"])
def test_every_way_of_changing_a_recorded_row_is_refused(database: Store, recursive: bool) -> None:
    scene = scenes.fill(database)
    settings = database.settings
    sqlite = not settings.database_url
    if recursive and not sqlite:
        pytest.skip("a setting of SQLite")
    for name in TABLES:
        table = table_of(name)
        row = a_row(database, table, scene)
        first = next(iter(row))
        ways = [f"UPDATE {name} SET {first} = {first}", f"DELETE FROM {name}"]
        if sqlite:
            ways += [f"UPDATE OR REPLACE {name} SET {first} = {first}", f"DELETE FROM {name} WHERE 1"]
        else:
            ways += [f"TRUNCATE {name} CASCADE", f"DELETE FROM {name} WHERE true RETURNING *"]
        with foreign.connection(settings) as opened:
            if sqlite and recursive:
                opened.execute("PRAGMA recursive_triggers = 1")
            before = opened.execute(f"SELECT * FROM {name}").fetchall()
            for way in ways:
                with pytest.raises(foreign.error_of(settings), match=REFUSED):
                    opened.execute(way)
            for key in keys_of(table) if sqlite else ():
                # A row that clashes with an existing one in this key and in no other.
                clash = {column: other(value, column, table) for column, value in row.items()}
                clash |= {column: row[column] for column in key}
                for words in ("INSERT OR REPLACE", "REPLACE", "INSERT OR IGNORE"):
                    with pytest.raises(foreign.error_of(settings), match=REFUSED):
                        insert(opened, database, name, clash, words)
            assert opened.execute(f"SELECT * FROM {name}").fetchall() == before


def other(value: Any, column: str, table: Table) -> Any:
    """Another value, where the column is part of a key."""
    in_key = any(column in key for key in keys_of(table))
    if not in_key or value is None:
        return value
    return value + 1000 if isinstance(value, int) else f"{value}x"


def test_upserts_are_refused(database: Store) -> None:
    scenes.fill(database)
    with foreign.connection(database.settings) as opened:
        row = dict(
            zip(
                ("entry_id", "title", "client", "place"),
                opened.execute("SELECT entry_id, title, client, place FROM job").fetchone(),
                strict=True,
            )
        )
        row["title"] = "other words"
        marks = ", ".join(["%s" if database.settings.database_url else "?"] * 4)
        with pytest.raises(foreign.error_of(database.settings), match=REFUSED):
            opened.execute(
                f"INSERT INTO job (entry_id, title, client, place) VALUES ({marks}) "
                "ON CONFLICT (entry_id) DO UPDATE SET title = excluded.title",
                tuple(row.values()),
            )


def test_a_rowid_cannot_be_aimed_at(store: Store) -> None:
    with foreign.connection(store.settings) as opened:
        for name in TABLES:
            with pytest.raises(foreign.error_of(store.settings), match="no such column: rowid"):
                opened.execute(f"SELECT rowid FROM {name}")


def test_an_erased_body_and_no_other_may_go(database: Store) -> None:
    scene = scenes.fill(database)
    with database.write() as session:
        entries.erase(session, factories.a_writer(session), scene.arrival, reason="asked for (invented)")
    assert check.run(database.settings).findings == []
    assert check.run(database.settings).counts["erased"] == 2


@pytest.mark.parametrize("kind", ["erasure", "laptop_start"])
def test_what_tells_of_erasures_and_of_laptops_is_not_erased(database: Store, kind: str) -> None:
    scenes.fill(database)
    with foreign.connection(database.settings) as opened:
        entry_id = opened.execute(f"SELECT id FROM entry WHERE kind = '{kind}'").fetchone()[0]
    with pytest.raises(StoreError, match="no such entry"), database.write() as session:
        entries.erase(session, factories.a_writer(session), entry_id, reason="no")


def test_this_programs_own_connections_refuse_too(database: Store) -> None:
    scenes.fill(database)
    for statement in ("UPDATE job SET title = 'x'", "DELETE FROM entry"):
        with pytest.raises(DatabaseError, match=REFUSED), database.engine.begin() as connection:
            connection.exec_driver_sql(statement)
