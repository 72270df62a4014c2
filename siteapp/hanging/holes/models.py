"""Readings of the holes as drilled, and holes eased (entries of kind `hole_survey`, `hole_easing`). Lengths in mm."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Id, Words

TAPE, HEIGHT = "tape", "height"
MM, INCH = "mm", "in"


class HoleSurvey(Body, Base):
    """One round of readings; `unit` is what they were typed in. Who typed is the entry's own."""

    __tablename__ = "hole_survey"
    __table_args__ = recorded_args(CheckConstraint("unit IN ('mm', 'in')", name="unit_known"))

    unit: Mapped[Words]
    caller: Mapped[Words | None]
    tape: Mapped[Words | None]
    laser: Mapped[Words | None]
    from_form: Mapped[Flag | None]  # typed from the form that came back
    # Facing the wall, the holes run the other way round than the points: tapes cannot tell. None: nobody looked.
    mirrored: Mapped[Flag | None]
    note: Mapped[Words | None]


class HoleReading(BodyRow, Base):
    """A distance between two holes, or a hole's height over the laser line (above it counts as positive)."""

    __tablename__ = "hole_reading"
    __table_args__ = recorded_args(
        CheckConstraint("what IN ('tape', 'height')", name="what_known"),
        CheckConstraint("what = 'height' OR (b IS NOT NULL AND mm > 0)", name="tape_whole"),
    )

    what: Mapped[Words]
    a: Mapped[Words]
    b: Mapped[Words | None]
    mm: Mapped[Figure]  # what counts: a tape read from 100 has that taken off
    typed: Mapped[Words]
    from_mm: Mapped[Figure | None]  # where on the tape the reading began


class HoleEasing(Body, Base):
    """A hole in the piece's metalwork made wider: towards where, how much, why. The particulars say how it is."""

    __tablename__ = "hole_easing"
    __table_args__ = recorded_args(CheckConstraint("hole_mm > 0", name="hole_positive"))

    label: Mapped[Words]
    dx_mm: Mapped[Figure]
    dy_mm: Mapped[Figure]
    hole_mm: Mapped[Figure]
    slot_mm: Mapped[Figure | None]
    slot_deg: Mapped[Figure | None]
    reason: Mapped[Words]
    particulars_id: Mapped[Id]  # the revision that it led to
