"""Fire evidence (entries of kind `fire_evidence`) and how warm parts may get (`heat_limits`). Temperatures in °C."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Words

COUPON, ASSEMBLY, WHOLE_PIECE, MATERIAL = "coupon", "assembly", "whole piece", "material"
TESTED = (COUPON, ASSEMBLY, WHOLE_PIECE, MATERIAL)
LAMINATE, BOND, FOAM, COAT, ANCHOR_RESIN, OTHER = "laminate", "bond", "foam", "coat", "anchor resin", "other"
PARTS = (LAMINATE, BOND, FOAM, COAT, ANCHOR_RESIN)
DATA_SHEET, APPROVAL, REPORT, ESTIMATE = "data sheet", "approval document", "test report", "estimate"
KNOWN_FROM = (DATA_SHEET, APPROVAL, REPORT, ESTIMATE)


class FireEvidence(Body, Base):
    """One report or certificate about fire: what was tested, and what that covers and does not."""

    __tablename__ = "fire_evidence"
    __table_args__ = recorded_args(
        CheckConstraint("tested IN ('coupon', 'assembly', 'whole piece', 'material')", name="tested_known")
    )

    tested: Mapped[Words]
    tested_words: Mapped[Words | None]  # layers, thickness, on what it was mounted
    report: Mapped[Words]  # its number
    laboratory: Mapped[Words | None]
    standard: Mapped[Words | None]
    result: Mapped[Words | None]  # the class, as the report writes it
    reported_on: Mapped[Words | None]  # day, ISO 8601
    covers: Mapped[Words]
    covers_not: Mapped[Words]
    note: Mapped[Words | None]
    dropped: Mapped[Flag]  # a correction that says it counts no more


class HeatLimits(Body, Base):
    """How warm each part of the piece may get; a later list takes its place."""

    __tablename__ = "heat_limits"

    note: Mapped[Words | None]


class HeatLimit(BodyRow, Base):
    """One part's limit. Without `limit_c` it is not known; `absent` says that the piece has no such part."""

    __tablename__ = "heat_limit"
    __table_args__ = recorded_args(
        CheckConstraint("part IN ('laminate', 'bond', 'foam', 'coat', 'anchor resin', 'other')", name="part_known"),
        CheckConstraint(
            "known_from IN ('data sheet', 'approval document', 'test report', 'estimate')", name="known_from_known"
        ),
    )

    part: Mapped[Words]
    named: Mapped[Words | None]  # the product, or what the other part is
    absent: Mapped[Flag]
    limit_c: Mapped[Figure | None]
    known_from: Mapped[Words | None]
    document: Mapped[Words | None]  # its title, number and date
