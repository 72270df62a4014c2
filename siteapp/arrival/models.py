"""Arrivals and the climate before unwrapping (entries of kind `arrival` and `unwrap`; photos in named slots)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Figure, IdType, Words

NOT_FITTED, NOT_TRIPPED, TRIPPED, CANNOT_TELL = "not fitted", "not tripped", "tripped", "cannot tell"
INDICATORS = (NOT_FITTED, NOT_TRIPPED, TRIPPED, CANNOT_TELL)


class Arrival(Body, Base):
    """Condition on arrival."""

    __tablename__ = "arrival"
    __table_args__ = recorded_args(
        CheckConstraint("found IN ('nothing found', 'something found', 'not looked at yet')", name="found_known")
    )

    found: Mapped[Words]
    indicators: Mapped[Words | None]  # shock and tilt together, as read; what was recorded before they stood apart
    note: Mapped[Words | None]
    shock: Mapped[Words | None]
    tilt: Mapped[Words | None]


class UnwrapReading(Body, Base):
    """Climate at the crate before the piece is unwrapped, and whether it would sweat. Temperatures °C, humidity %."""

    __tablename__ = "unwrap_reading"
    __table_args__ = recorded_args(
        Index(None, "arrival_id"),
        CheckConstraint("verdict IN ('met', 'not met', 'cannot tell')", name="verdict_known"),
    )

    arrival_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    piece_c: Mapped[Figure | None]
    air_c: Mapped[Figure | None]
    relative_humidity: Mapped[Figure | None]
    instrument: Mapped[Words | None]
    dew_point_c: Mapped[Figure | None]
    margin_c: Mapped[Figure | None]
    margin_low_c: Mapped[Figure | None]
    verdict: Mapped[Words]
    reasons: Mapped[Words]  # one a line
    source: Mapped[Words]
    calculation: Mapped[Words]
