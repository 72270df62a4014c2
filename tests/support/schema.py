"""A database's schema as facts that can be compared, whatever order or spelling its statements had."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from sqlalchemy import text

if TYPE_CHECKING:
    from sqlalchemy import Connection

Facts = dict[str, Any]


def facts(connection: Connection) -> Facts:
    """Columns, constraints, indexes and triggers of every table but Alembic's own."""
    return _sqlite(connection) if connection.dialect.name == "sqlite" else _postgresql(connection)


def _sqlite(connection: Connection) -> Facts:
    found: Facts = {}
    for kind, name, table, sql in connection.execute(text("SELECT type, name, tbl_name, sql FROM sqlite_master")):
        if table == "alembic_version" or sql is None:
            continue
        if kind != "table":
            found[f"{kind} {name}"] = squeezed(sql)
            continue
        found[f"table {name}"] = table_facts(sql)
        found[f"info {name}"] = [tuple(row) for row in connection.execute(text(f"PRAGMA table_xinfo({name})"))]
    return found


def table_facts(sql: str) -> Facts:
    """What a CREATE TABLE says; the order of its columns counts, that of its constraints does not."""
    inside, _, options = squeezed(sql).rpartition(")")
    said = parts(inside)
    return {
        "columns": [part for part in said if not part.startswith("CONSTRAINT")],
        "constraints": sorted(part for part in said if part.startswith("CONSTRAINT")),
        "options": sorted(options.replace(",", " ").split()),
    }


def squeezed(sql: str) -> str:
    """One statement with single spaces."""
    return re.sub(r"\s+", " ", sql).strip()


def parts(create: str) -> list[str]:
    """What stands between the outer commas of a CREATE TABLE."""
    inside, found, depth, quoted = create.partition("(")[2], [""], 0, False
    for letter in inside:
        quoted ^= letter == "'"
        depth += 0 if quoted else (letter == "(") - (letter == ")")
        if letter == "," and depth == 0 and not quoted:
            found.append("")
        else:
            found[-1] += letter
    return [part.strip() for part in found]


POSTGRESQL = {
    "columns": (
        "SELECT table_name || '.' || ordinal_position, column_name, data_type, is_nullable, column_default, "
        "collation_name FROM information_schema.columns WHERE table_schema = current_schema()"
    ),
    "constraints": (
        "SELECT conrelid::regclass || '.' || conname, contype, convalidated, pg_get_constraintdef(oid, true) "
        "FROM pg_constraint WHERE connamespace = current_schema()::regnamespace"
    ),
    "indexes": "SELECT indexname, indexdef FROM pg_indexes WHERE schemaname = current_schema()",
    "triggers": "SELECT tgname, tgenabled, pg_get_triggerdef(oid, true) FROM pg_trigger WHERE NOT tgisinternal",
    "functions": (
        "SELECT proname, pg_get_functiondef(oid) FROM pg_proc WHERE pronamespace = current_schema()::regnamespace"
    ),
}


def _postgresql(connection: Connection) -> Facts:
    found: Facts = {}
    for kind, query in POSTGRESQL.items():
        for name, *rest in connection.execute(text(query)):
            if not name.startswith("alembic_version"):
                found[f"{kind} {name}"] = rest
    return found


def unnamed(connection: Connection) -> list[str]:
    """Constraints without a name of our own, on SQLite (PostgreSQL names each by itself)."""
    query = text("SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name <> 'alembic_version'")
    return [
        f"{name}: {part}"
        for name, sql in connection.execute(query)
        for part in parts(squeezed(sql).rpartition(")")[0])
        # A column that came later brings its named constraint with it; what stands behind a name is passed over.
        if re.search(r"\b(PRIMARY KEY|UNIQUE|CHECK|REFERENCES)\b", re.sub(r"\bCONSTRAINT \w+ .*", "", part))
    ]
