"""How the piece's own hanging points were proved (entries of kind `strength`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Words

COUPON, PROOF_LOAD, NOT_PROVED = "coupon pull", "proof load", "not proved"
PROOFS = (COUPON, PROOF_LOAD, NOT_PROVED)


class Strength(Body, Base):
    """What is known of the piece's own strength; one row a hanging point."""

    __tablename__ = "strength"
    __table_args__ = recorded_args()

    note: Mapped[Words | None]


class StrengthPoint(BodyRow, Base):
    """One hanging point: its bond, and how it was proved. Forces in N, areas in mm², temperature in °C."""

    __tablename__ = "strength_point"
    __table_args__ = recorded_args(
        CheckConstraint("proof IN ('coupon pull', 'proof load', 'not proved')", name="proof_known"),
        CheckConstraint("bond_area_mm2 > 0", name="bond_area_positive"),
        CheckConstraint("coupon_area_mm2 > 0", name="coupon_area_positive"),
        CheckConstraint("proof_n > 0", name="proof_positive"),
        CheckConstraint("factor >= 1", name="factor_not_below_one"),
    )

    label: Mapped[Words]
    proof: Mapped[Words]
    bond_area_mm2: Mapped[Figure | None]
    coupon_area_mm2: Mapped[Figure | None]
    proof_n: Mapped[Figure | None]  # what the coupon failed at, or what the point held without harm
    factor: Mapped[Figure | None]  # by which a coupon's strength is divided; whoever answers for it chooses
    factor_why: Mapped[Words | None]
    bond_service_c: Mapped[Figure | None]  # hottest the bond may get, from its sheet
    plate_mm: Mapped[Figure | None]  # thickness of the metal
    proved_on: Mapped[Words | None]  # day, ISO 8601
    proved_by: Mapped[Words | None]
    evidence: Mapped[Words | None]  # report's number, photos
