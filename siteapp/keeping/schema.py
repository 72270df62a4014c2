"""Whether the database still holds what keeps it sound: its revision, constraints, triggers and references."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sqlalchemy import text

from siteapp.keeping.findings import Finding
from siteapp.keeping.tables import Base, recorded_tables
from siteapp.store import migrate, triggers

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection, ForeignKeyConstraint

MOST_EACH = 20


def revision(connection: Connection) -> Iterator[Finding]:
    """Whether this program knows the database's schema."""
    known = migrate.current(connection)
    newest = migrate.newest()
    if known != newest:
        yield Finding(f"the database is at revision {known}, this program at {newest}")


def guards(connection: Connection) -> Iterator[Finding]:
    """Triggers that refuse to change what is recorded, and named constraints: gone, switched off or changed."""
    for name in triggers.missing(connection, recorded_tables()):
        yield Finding(f"the trigger {name} is missing or switched off")
    for name in triggers.changed(connection, recorded_tables()):
        yield Finding(f"the trigger {name} does not say what it was made to say")
    there = _constraints(connection)
    for table in Base.metadata.sorted_tables:
        for constraint in sorted(str(one.name) for one in table.constraints):
            if constraint not in there:
                yield Finding(f"the constraint {constraint} of {table.name} is missing")


def integrity(connection: Connection) -> Iterator[Finding]:
    """SQLite's own check of its file: pages, indexes, NOT NULL, CHECK, types of columns. PostgreSQL has none."""
    if connection.dialect.name == "sqlite":
        for line in connection.execute(text("PRAGMA integrity_check")).scalars():
            if line != "ok":
                yield Finding(f"the database file is damaged: {line}")


def references(connection: Connection) -> Iterator[Finding]:
    """Rows that name something that is not there. Asked of both databases, since either can be told not to look."""
    for table in Base.metadata.sorted_tables:
        for constraint in sorted(table.foreign_key_constraints, key=lambda one: str(one.name)):
            yield from _dangling(connection, constraint)


def _dangling(connection: Connection, constraint: ForeignKeyConstraint) -> Iterator[Finding]:
    # As text, since making 30 queries out of objects takes longer than asking them.
    table, other = constraint.table.name, constraint.referred_table.name
    ((mine, theirs),) = ((key.parent.name, key.column.name) for key in constraint.elements)
    entry = "entry_id" if "entry_id" in constraint.table.columns else mine
    query = (
        f"SELECT a.{entry}, a.{mine} FROM {table} a LEFT JOIN {other} b ON b.{theirs} = a.{mine} "  # noqa: S608 - ours
        f"WHERE a.{mine} IS NOT NULL AND b.{theirs} IS NULL LIMIT {MOST_EACH}"
    )
    for entry_id, value in connection.execute(text(query)):
        yield Finding(f"a row of {table} names what is not there: {other} {value}", entry_id=entry_id)


def _constraints(connection: Connection) -> set[str]:
    if connection.dialect.name == "sqlite":
        statements = connection.execute(text("SELECT sql FROM sqlite_master WHERE type = 'table'")).scalars()
        return {name for statement in statements for name in re.findall(r"CONSTRAINT (\w+)", statement or "")}
    query = text("SELECT conname FROM pg_constraint WHERE convalidated")
    return set(connection.execute(query).scalars())
