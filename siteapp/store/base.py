"""The declarative base, the naming of constraints, and what makes a table a recorded one."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ForeignKey, MetaData, Table
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column

from siteapp.store.columns import IdType, WholeType

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}

RECORDED = {"recorded": True}
# STRICT so that SQLite refuses the text 'heavy' in a number's column, as PostgreSQL does.
SQLITE = {"sqlite_strict": True}
SQLITE_RECORDED = {**SQLITE, "sqlite_with_rowid": False}


class Base(DeclarativeBase):
    """Base of every model; all tables share one metadata with named constraints."""

    metadata = MetaData(naming_convention=NAMING)


class Body:
    """Mixin of a table that holds what an entry says, one row an entry.

    Recorded tables only gain rows: triggers refuse the rest (`store.triggers`). They are made WITHOUT ROWID, since a
    REPLACE aimed at a rowid would slip past the trigger that guards the named keys.
    """

    __table_args__: Any = ({"info": RECORDED, **SQLITE_RECORDED},)

    @declared_attr
    def entry_id(cls) -> Mapped[str]:  # noqa: N805 - SQLAlchemy passes the class
        """The entry whose body this is."""
        # The key's columns stand first: rows of one entry lie side by side, and the integrity check of SQLite 3.40
        # reports NULLs that are not there when they do not.
        return mapped_column(IdType, ForeignKey("entry.id"), primary_key=True, sort_order=-2)


class BodyRow(Body):
    """Mixin of a table that holds several rows an entry, in order."""

    position: Mapped[int] = mapped_column(WholeType, primary_key=True, autoincrement=False, sort_order=-1)


def recorded_args(*constraints: Any) -> tuple[Any, ...]:
    """`__table_args__` of a recorded table that has constraints of its own."""
    return (*constraints, {"info": RECORDED, **SQLITE_RECORDED})


def plain_args(*constraints: Any) -> tuple[Any, ...]:
    """`__table_args__` of an ordinary table, whose rows may change and never travel."""
    return (*constraints, dict(SQLITE))


def recorded_tables() -> tuple[Table, ...]:
    """Every recorded table, in the order in which they can be made."""
    return tuple(table for table in Base.metadata.sorted_tables if table.info.get("recorded"))
