"""Finishing sessions, their climate readings and coats.

Entries of kind `finishing_session`, `climate`, `coat` and `finishing_close`; all but the first name their session.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Figure, IdType, Whole, Words


class FinishingSession(Body, Base):
    """A stretch of surface work begins: on which area, to do what."""

    __tablename__ = "finishing_session"

    zone: Mapped[Words]
    purpose: Mapped[Words | None]


class ClimateReading(Body, Base):
    """Climate as read, the data sheet's limits it was held against, and what was worked out from them."""

    __tablename__ = "climate_reading"
    __table_args__ = recorded_args(
        Index(None, "session_id"),
        CheckConstraint("verdict IN ('met', 'not met', 'cannot tell')", name="verdict_known"),
    )

    session_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    air_c: Mapped[Figure | None]
    relative_humidity: Mapped[Figure | None]
    surface_c: Mapped[Figure | None]
    instrument: Mapped[Words | None]
    air_error_c: Mapped[Figure]
    humidity_error: Mapped[Figure]
    surface_error_c: Mapped[Figure]
    product: Mapped[Words | None]
    limits_source: Mapped[Words | None]  # data sheet and its date
    air_min_c: Mapped[Figure | None]
    air_max_c: Mapped[Figure | None]
    surface_min_c: Mapped[Figure | None]
    surface_max_c: Mapped[Figure | None]
    humidity_min: Mapped[Figure | None]
    humidity_max: Mapped[Figure | None]
    margin_limit_c: Mapped[Figure | None]
    dew_point_c: Mapped[Figure | None]
    margin_c: Mapped[Figure | None]
    margin_low_c: Mapped[Figure | None]
    verdict: Mapped[Words]
    reasons: Mapped[Words]
    source: Mapped[Words]
    calculation: Mapped[Words]  # name and version of what worked it out


class Coat(Body, Base):
    """One application of one product over one area."""

    __tablename__ = "coat"
    __table_args__ = recorded_args(
        Index(None, "session_id"),
        CheckConstraint("number >= 1", name="number_from_one"),
        CheckConstraint("wet_um > 0", name="wet_positive"),
    )

    session_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    climate_id: Mapped[str | None] = mapped_column(IdType, ForeignKey("entry.id"))
    number: Mapped[Whole]
    product: Mapped[Words]
    batch: Mapped[Words | None]
    zone: Mapped[Words]
    wet_um: Mapped[Figure | None]
    climate_verdict: Mapped[Words]
    reason: Mapped[Words | None]  # why it was applied although the climate was not met
    note: Mapped[Words | None]
    # Until the next coat, at the surface's temperature, as the data sheet says. Its check stands with the column, since
    # it came later and SQLite adds no constraint to a table.
    recoat_hours: Mapped[Figure | None] = mapped_column(CheckConstraint("recoat_hours > 0", name="recoat_positive"))


class FinishingClose(Body, Base):
    """A finishing session ends."""

    __tablename__ = "finishing_close"
    __table_args__ = recorded_args(Index(None, "session_id"))

    session_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    note: Mapped[Words | None]
    client_words: Mapped[Words | None]  # the client's yes, in their words
