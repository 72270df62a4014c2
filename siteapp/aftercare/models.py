"""Care dates, later visits, moves and keepers (entries of kind `care_date`, `aftercare`, `moved` and `keeper`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Flag, IdType, Whole, Words

DONE = ("inspected", "cleaned", "touched up", "re-hung", "taken down", "other")


class CareDate(Body, Base):
    """Something to be done to the piece on a day (ISO 8601), and every so many months after it was done."""

    __tablename__ = "care_date"
    __table_args__ = recorded_args(
        Index(None, "due_on"), CheckConstraint("every_months >= 1 AND every_months <= 600", name="every_months_range")
    )

    what: Mapped[Words]
    due_on: Mapped[Words]
    every_months: Mapped[Whole | None]
    dropped: Mapped[Flag]  # a revision that says it is not wanted any more


class LaterVisit(Body, Base):
    """Somebody did something to the piece after its handover. `done_on` is a day, ISO 8601."""

    __tablename__ = "later_visit"
    __table_args__ = recorded_args(
        Index(None, "care_date_id"),
        CheckConstraint(
            "what IN ('inspected', 'cleaned', 'touched up', 're-hung', 'taken down', 'other')", name="what_known"
        ),
    )

    what: Mapped[Words]
    done_on: Mapped[Words]
    done_by: Mapped[Words]
    found: Mapped[Words | None]
    note: Mapped[Words | None]
    care_date_id: Mapped[str | None] = mapped_column(IdType, ForeignKey("entry.id"))


class Moved(Body, Base):
    """The piece is somewhere else now. `place` may be said in public as a job's place may; `address` never."""

    __tablename__ = "moved"

    place: Mapped[Words]
    address: Mapped[Words | None]
    moved_on: Mapped[Words]
    moved_by: Mapped[Words | None]
    note: Mapped[Words | None]


class Keeper(Body, Base):
    """Who has the piece now. Never leaves for public pages or certificates; the one before is not shown any more."""

    __tablename__ = "keeper"

    name: Mapped[Words]
    contact: Mapped[Words | None]
    since: Mapped[Words]
    note: Mapped[Words | None]
