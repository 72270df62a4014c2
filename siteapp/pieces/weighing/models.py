"""Weighings of a piece (entries of kind `weighing`). Lengths in mm, mass in kg."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Words

LYING = "lying"  # on its back, as seen from the front: gives x and y
ON_EDGE = "on edge"  # standing as it hangs: gives z, how far out from the wall the weight sits
WAYS = (LYING, ON_EDGE)


class Weighing(Body, Base):
    """A piece on one to three scales, and what came of it; a coordinate that was not found is absent."""

    __tablename__ = "weighing"
    __table_args__ = recorded_args(CheckConstraint("mass_kg > 0", name="mass_positive"))

    scales: Mapped[Words]
    mass_kg: Mapped[Figure]
    x_mm: Mapped[Figure | None]
    y_mm: Mapped[Figure | None]
    z_mm: Mapped[Figure | None]
    note: Mapped[Words | None]


class WeighingReading(BodyRow, Base):
    """One scale: where it stood under the piece (x and y, or z on edge) and what it showed."""

    __tablename__ = "weighing_reading"
    __table_args__ = recorded_args(
        CheckConstraint("way IN ('lying', 'on edge')", name="way_known"),
        CheckConstraint("mass_kg >= 0", name="mass_not_negative"),
    )

    way: Mapped[Words]
    x_mm: Mapped[Figure | None]
    y_mm: Mapped[Figure | None]
    z_mm: Mapped[Figure | None]
    mass_kg: Mapped[Figure]
