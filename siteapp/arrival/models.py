"""Arrivals (entries of kind `arrival`; their photos in named slots)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Words

NOTHING_FOUND = "nothing found"
SOMETHING_FOUND = "something found"
NOT_LOOKED = "not looked at yet"
FINDINGS = (NOTHING_FOUND, SOMETHING_FOUND, NOT_LOOKED)


class Arrival(Body, Base):
    """Condition on arrival."""

    __tablename__ = "arrival"
    __table_args__ = recorded_args(
        CheckConstraint("found IN ('nothing found', 'something found', 'not looked at yet')", name="found_known")
    )

    found: Mapped[Words]
    indicators: Mapped[Words | None]  # shock and tilt indicators, as read
    note: Mapped[Words | None]
