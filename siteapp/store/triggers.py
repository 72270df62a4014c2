"""Triggers that refuse to change what is recorded, for SQLite and for PostgreSQL.

Known leaks and what closes them: SQLite's REPLACE deletes without the DELETE trigger unless `recursive_triggers` is
on, and a foreign program may not set it, so an INSERT onto an existing key is refused as well, and the tables have no
rowid to aim at; PostgreSQL's TRUNCATE has a trigger of its own. A row added to an entry afterwards is an ordinary
INSERT: the digest of the body shows it. The owner of the machine can drop triggers; `check` says when one is missing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import UniqueConstraint, text

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy import Connection, Table

# An erasure entry lets the body of one entry go, and nothing else does.
ERASED = "EXISTS (SELECT 1 FROM erasure WHERE erased_id = OLD.entry_id)"
NEVER_ERASED = {"entry", "entry_corrects", "erasure"}
# Kinds of entries whose body stays: without them, what was erased or who signed could not be told.
NEVER_ERASED_KINDS = {"erasure", "photo_erasure", "laptop_start", "signing_key"}
FUNCTION = "siteapp_refuse"


def names(table: Table, dialect: str) -> tuple[str, ...]:
    """Names of the triggers that a recorded table must have."""
    events = ("update", "delete", "replace") if dialect == "sqlite" else ("update", "delete", "truncate")
    return tuple(f"recorded_{table.name}_{event}" for event in events)


def statements(table: Table, dialect: str) -> tuple[str, ...]:
    """SQL that makes the triggers of a recorded table."""
    return _sqlite(table) if dialect == "sqlite" else _postgresql(table)


def prologue(dialect: str) -> tuple[str, ...]:
    """SQL that must run once before any trigger is made."""
    if dialect == "sqlite":
        return ()
    body = "BEGIN RAISE EXCEPTION 'what is recorded is never changed: % of %', TG_OP, TG_TABLE_NAME; END"
    return (f"CREATE OR REPLACE FUNCTION {FUNCTION}() RETURNS trigger LANGUAGE plpgsql AS $$ {body} $$",)


def make(connection: Connection, tables: Iterable[Table]) -> None:
    """Make the triggers of these tables."""
    dialect = connection.dialect.name
    for statement in (
        *prologue(dialect),
        *(line for table in tables for line in statements(table, dialect)),
    ):
        connection.exec_driver_sql(statement.replace("%", "%%") if dialect == "postgresql" else statement)


def missing(connection: Connection, tables: Iterable[Table]) -> tuple[str, ...]:
    """Names of the triggers that should be there and are not, or are switched off."""
    if connection.dialect.name == "sqlite":
        query = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    else:
        query = "SELECT tgname FROM pg_trigger WHERE tgenabled IN ('O', 'A')"
    there = set(connection.execute(text(query)).scalars())
    wanted = (name for table in tables for name in names(table, connection.dialect.name))
    return tuple(name for name in wanted if name not in there)


def changed(connection: Connection, tables: Iterable[Table]) -> tuple[str, ...]:
    """Names of triggers, and of the functions they run, that do not say what they were made to say."""
    wanted = [*prologue(connection.dialect.name)]
    wanted += [line for table in tables for line in statements(table, connection.dialect.name)]
    there = _texts(connection)
    return tuple(name for name, said in map(_name_and_text, wanted) if there.get(name, said) != said)


def _name_and_text(statement: str) -> tuple[str, str]:
    """What a statement makes, and the part of it that the database keeps word for word."""
    name = statement.replace("OR REPLACE ", "").split()[2]
    return name, statement.split("$$")[1] if name.endswith("()") else statement


def _texts(connection: Connection) -> dict[str, str]:
    if connection.dialect.name == "sqlite":
        rows = connection.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
    else:
        rows = connection.execute(
            text(
                "SELECT tgname, pg_get_triggerdef(oid, true) FROM pg_trigger WHERE NOT tgisinternal UNION ALL "
                "SELECT proname || '()', prosrc FROM pg_proc WHERE pronamespace = current_schema()::regnamespace"
            )
        )
    return {str(name): str(said) for name, said in rows}


def _unless_erased(table: Table) -> str:
    return "" if table.name in NEVER_ERASED else f" WHEN NOT {ERASED}"


def _sqlite(table: Table) -> tuple[str, ...]:
    refuse = "BEGIN SELECT RAISE(ABORT, 'what is recorded is never changed: {} of " + table.name + "'); END"
    update, delete, replace = names(table, "sqlite")
    keys = [[column.name for column in table.primary_key.columns]]
    keys += [
        [column.name for column in constraint.columns]
        for constraint in table.constraints
        if isinstance(constraint, UniqueConstraint)
    ]
    same = " OR ".join("(" + " AND ".join(f"{name} = NEW.{name}" for name in key) + ")" for key in sorted(keys))
    taken = f"EXISTS (SELECT 1 FROM {table.name} WHERE {same})"  # noqa: S608 - names of our own tables
    return (
        f"CREATE TRIGGER {update} BEFORE UPDATE ON {table.name} {refuse.format('UPDATE')}",
        f"CREATE TRIGGER {delete} BEFORE DELETE ON {table.name}{_unless_erased(table)} {refuse.format('DELETE')}",
        f"CREATE TRIGGER {replace} BEFORE INSERT ON {table.name} WHEN {taken} {refuse.format('REPLACE')}",
    )


def _postgresql(table: Table) -> tuple[str, ...]:
    update, delete, truncate = names(table, "postgresql")
    run = f"EXECUTE FUNCTION {FUNCTION}()"
    erased = "" if table.name in NEVER_ERASED else f"IF {ERASED} THEN RETURN OLD; END IF; "
    body = (
        f"CREATE OR REPLACE FUNCTION {delete}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {erased}"
        f"RAISE EXCEPTION 'what is recorded is never changed: DELETE of {table.name}'; END $$"
    )
    return (
        f"CREATE TRIGGER {update} BEFORE UPDATE ON {table.name} FOR EACH ROW {run}",
        body,  # PostgreSQL allows no sub-query in a trigger's WHEN
        f"CREATE TRIGGER {delete} BEFORE DELETE ON {table.name} FOR EACH ROW EXECUTE FUNCTION {delete}()",
        f"CREATE TRIGGER {truncate} BEFORE TRUNCATE ON {table.name} FOR EACH STATEMENT {run}",
    )
