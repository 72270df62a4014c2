"""The models' schema is the one that the migrations make, in both databases; every constraint has a name."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import CheckConstraint, text

import siteapp
from siteapp.keeping.tables import Base, recorded_tables
from siteapp.store import triggers
from siteapp.store.engine import WRITE, make_engine
from tests.support import databases as kinds
from tests.support import schema

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from tests.support.databases import Databases

NAME = re.compile(r"(pk|uq|ck|fk)_[a-z0-9_]+")


def made_from_models(engine: Engine) -> schema.Facts:
    """The schema as the models alone would make it."""
    with engine.execution_options(**{WRITE: True}).begin() as connection:
        Base.metadata.create_all(connection)
        triggers.make(connection, recorded_tables())
        return schema.facts(connection)


@pytest.mark.parametrize("kind", kinds.KINDS)
def test_models_and_migrations_make_the_same_schema(databases: Databases, tmp_path: Path, kind: str) -> None:
    with (
        databases.fresh(kind, tmp_path / "migrated") as migrated,
        databases.fresh(kind, tmp_path / "made", migrated=False) as made,
    ):
        one, other = make_engine(migrated), make_engine(made)
        try:
            with one.connect() as connection:
                by_migrations = schema.facts(connection)
            by_models = made_from_models(other)
        finally:
            one.dispose()
            other.dispose()
    assert by_migrations.keys() == by_models.keys()
    differences = {
        name: (by_migrations[name], by_models[name]) for name in by_models if by_migrations[name] != by_models[name]
    }
    assert differences == {}
    assert len(by_models) > 100


# What the comparison above must be able to see, each a difference that a tool or a hand could make.
DIFFERENCES = {
    "a CHECK less": ("particulars", ", CONSTRAINT ck_particulars_mass_positive CHECK (mass_kg > 0)", ""),
    "a CHECK that allows more": ("particulars", "mass_kg > 0", "mass_kg >= 0"),
    "a column that may be empty": ("job", "title TEXT NOT NULL", "title TEXT"),
    "another type": ("coat", "wet_um REAL", "wet_um TEXT"),
    "a table that is not strict": ("entry", ", STRICT", ""),
    "a table with rowids": ("entry", "WITHOUT ROWID, ", ""),
    "a reference less": ("arrival", "FOREIGN KEY(entry_id) REFERENCES entry (id)", "CHECK (entry_id <> '')"),
}


@pytest.mark.parametrize("difference", DIFFERENCES)
def test_the_comparison_sees_a_difference(databases: Databases, tmp_path: Path, difference: str) -> None:
    table, old, new = DIFFERENCES[difference]
    with databases.fresh(kinds.PACKAGED, tmp_path / "data") as settings:
        engine = make_engine(settings)
        with engine.connect() as connection:
            query = text("SELECT sql FROM sqlite_master WHERE name = :name")
            sql = schema.squeezed(connection.execute(query, {"name": table}).scalar_one())
        engine.dispose()
    assert old in sql
    assert schema.table_facts(sql.replace(old, new)) != schema.table_facts(sql)


def test_every_constraint_has_a_name_of_ours(databases: Databases, tmp_path: Path) -> None:
    for table in Base.metadata.sorted_tables:
        for constraint in table.constraints:
            assert NAME.fullmatch(str(constraint.name)), (table.name, constraint)
            if isinstance(constraint, CheckConstraint):
                assert str(constraint.name).startswith(f"ck_{table.name}_")
        for index in table.indexes:
            assert str(index.name).startswith(f"ix_{table.name}_")
            # PostgreSQL cuts a longer name without a word, and then it is another one.
            assert len(str(index.name)) <= 63
        assert all(len(str(constraint.name)) <= 63 for constraint in table.constraints)
    with databases.fresh(kinds.PACKAGED, tmp_path / "data") as settings:
        engine = make_engine(settings)
        with engine.connect() as connection:
            assert schema.unnamed(connection) == []
        engine.dispose()


def test_every_table_is_strict_and_every_recorded_one_has_no_rowid() -> None:
    for table in Base.metadata.sorted_tables:
        assert table.dialect_options["sqlite"]["strict"], table.name
    for table in recorded_tables():
        assert not table.dialect_options["sqlite"]["with_rowid"], table.name
        # The key's columns stand first (see `store.base`).
        key = [column.name for column in table.primary_key.columns]
        assert [column.name for column in table.columns][: len(key)] == key


def test_check_knows_every_rooms_tables() -> None:
    """A room with models that `keeping.tables` does not import would go unchecked."""
    rooms = sorted(path.parent.name for path in Path(siteapp.__file__).parent.glob("*/models.py"))
    text = (Path(siteapp.__file__).parent / "keeping" / "tables.py").read_text()
    assert [room for room in rooms if f"import siteapp.{room}.models" not in text] == []
