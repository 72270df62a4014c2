"""Takes a database back to how an earlier migration left it, with the rows that fit there still in it.

Rows cannot be written through today's models into yesterday's tables, so they are written today and what came later
is taken away: columns that are null in them, tables that are empty.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import inspect, text

from siteapp.store import migrate
from siteapp.store.engine import WRITE, make_engine

if TYPE_CHECKING:
    from siteapp.config import Settings


def take_back(settings: Settings, older: Settings, revision: str) -> None:
    """Make `settings`' database what `older`'s, an empty one, becomes by migrating to `revision`."""
    migrate.upgrade(older, to=revision)
    model, engine = make_engine(older), make_engine(settings)
    try:
        with model.connect() as connection:
            seen = inspect(connection)
            kept = {name: {column["name"] for column in seen.get_columns(name)} for name in seen.get_table_names()}
        with engine.connect() as connection:
            seen = inspect(connection)
            there = {name: [column["name"] for column in seen.get_columns(name)] for name in seen.get_table_names()}
        cascade = " CASCADE" if engine.dialect.name == "postgresql" else ""
        with engine.execution_options(**{WRITE: True}).begin() as connection:
            for name, columns in there.items():
                if name not in kept:
                    assert not connection.execute(text(f"SELECT 1 FROM {name}")).all(), name
                    connection.execute(text(f"DROP TABLE {name}{cascade}"))
                    continue
                for column in columns:
                    if column not in kept[name]:
                        used = text(f"SELECT 1 FROM {name} WHERE {column} IS NOT NULL")
                        assert not connection.execute(used).all(), f"{name}.{column}"
                        connection.execute(text(f"ALTER TABLE {name} DROP COLUMN {column}"))
            connection.execute(text("UPDATE alembic_version SET version_num = :known"), {"known": revision})
    finally:
        model.dispose()
        engine.dispose()
