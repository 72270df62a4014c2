"""Crates and the look before dispatch (entries of kind `crate` and `dispatch`; photos in named slots)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Figure, Words

NOTHING_FOUND = "nothing found"
SOMETHING_FOUND = "something found"
NOT_LOOKED = "not looked at yet"
FINDINGS = (NOTHING_FOUND, SOMETHING_FOUND, NOT_LOOKED)


class Crate(Body, Base):
    """What the piece travels in. Sizes in mm outside, gross weight in kg, time to acclimatise in h."""

    __tablename__ = "crate"
    __table_args__ = recorded_args(
        CheckConstraint("width_mm > 0 AND height_mm > 0 AND depth_mm > 0", name="sizes_positive"),
        CheckConstraint("gross_kg > 0", name="gross_positive"),
        CheckConstraint("gross_origin IN ('weighed', 'estimated')", name="gross_origin_known"),
        CheckConstraint("(gross_kg IS NULL) = (gross_origin IS NULL)", name="gross_with_origin"),
        CheckConstraint("acclimatise_hours >= 0", name="acclimatise_not_negative"),
    )

    width_mm: Mapped[Figure | None]
    height_mm: Mapped[Figure | None]
    depth_mm: Mapped[Figure | None]
    gross_kg: Mapped[Figure | None]
    gross_origin: Mapped[Words | None]
    way_up: Mapped[Words | None]
    shock_indicator: Mapped[Words | None]  # which one is fitted, and at what it trips
    tilt_indicator: Mapped[Words | None]
    acclimatise_hours: Mapped[Figure | None]
    note: Mapped[Words | None]


class Dispatch(Body, Base):
    """How the piece looked before it was packed."""

    __tablename__ = "dispatch"
    __table_args__ = recorded_args(
        CheckConstraint("found IN ('nothing found', 'something found', 'not looked at yet')", name="found_known")
    )

    found: Mapped[Words]
    packed_by: Mapped[Words | None]
    note: Mapped[Words | None]
