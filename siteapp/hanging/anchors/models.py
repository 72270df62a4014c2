"""Anchors as set, tightened and proved (entries of kind `anchor_set`, `anchor_tightened`, `anchor_proof`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Instant, Words

RESIN, EXPANSION, SCREW, OTHER = "resin", "expansion", "screw", "other"
KINDS = (RESIN, EXPANSION, SCREW, OTHER)


class AnchorSet(Body, Base):
    """One anchor in the wall: what it is and how it was set. Lengths in mm, temperatures in °C."""

    __tablename__ = "anchor_set"
    __table_args__ = recorded_args(
        CheckConstraint("kind IN ('resin', 'expansion', 'screw', 'other')", name="kind_known"),
        CheckConstraint("drilled_mm > 0", name="drilled_positive"),
        CheckConstraint("embedment_mm > 0", name="embedment_positive"),
    )

    label: Mapped[Words]
    kind: Mapped[Words]
    product: Mapped[Words]
    batch: Mapped[Words | None]
    expires_on: Mapped[Words | None]  # day, ISO 8601
    drilled_mm: Mapped[Figure | None]
    embedment_mm: Mapped[Figure | None]
    cleaned: Mapped[Flag | None]  # as the product's sheet asks
    cleaning: Mapped[Words | None]  # how: blown, brushed, how often
    wall_c: Mapped[Figure | None]
    set_at: Mapped[Instant]
    set_by: Mapped[Words]
    from_form: Mapped[Flag | None]  # typed from the form that came back
    note: Mapped[Words | None]


class AnchorCuring(BodyRow, Base):
    """One row of the curing table of a resin's data sheet: from this temperature up it takes so many minutes."""

    __tablename__ = "anchor_curing"
    __table_args__ = recorded_args(CheckConstraint("minutes > 0", name="minutes_positive"))

    wall_c: Mapped[Figure]
    minutes: Mapped[Figure]


class AnchorTightened(Body, Base):
    """Nuts turned up with a torque wrench, marked, and the piece locked against lifting off."""

    __tablename__ = "anchor_tightened"
    __table_args__ = recorded_args(CheckConstraint("torque_nm > 0", name="torque_positive"))

    labels: Mapped[Words]  # one line a label, in the order they were turned up
    torque_nm: Mapped[Figure | None]
    wrench: Mapped[Words | None]
    marked: Mapped[Flag]  # a line across nut and thread
    locked: Mapped[Flag | None]  # against lifting off
    lock: Mapped[Words | None]  # how
    done_by: Mapped[Words]
    note: Mapped[Words | None]


class AnchorProof(Body, Base):
    """One anchor pulled and held. It shows good setting, not resistance."""

    __tablename__ = "anchor_proof"
    __table_args__ = recorded_args(
        CheckConstraint("load_kn > 0", name="load_positive"),
        CheckConstraint("held_s >= 0", name="held_not_negative"),
    )

    label: Mapped[Words]
    asked_kn: Mapped[Figure | None]
    load_kn: Mapped[Figure]
    held_s: Mapped[Figure | None]
    movement_mm: Mapped[Figure | None]
    allowed_mm: Mapped[Figure | None]  # movement that whoever designed the anchors allows
    gauge: Mapped[Words | None]
    calibrated_until: Mapped[Words | None]  # day, ISO 8601
    tested_at: Mapped[Instant]
    tested_by: Mapped[Words]
    sacrificed: Mapped[Flag | None]  # a test anchor that carries nothing afterwards
    from_form: Mapped[Flag | None]
    note: Mapped[Words | None]
