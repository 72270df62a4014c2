"""Finishing sessions, their climate readings and coats; products and their batches.

Entries of kind `finishing_session`, `climate`, `coat` and `finishing_close`; all but the first name their session.
Entries of kind `product` and `batch` belong to the workshop and to no job.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Figure, Flag, Id, IdType, Whole, Words


class FinishingSession(Body, Base):
    """A stretch of surface work begins: on which area, to do what."""

    __tablename__ = "finishing_session"

    zone: Mapped[Words]
    purpose: Mapped[Words | None]
    ventilation: Mapped[Words | None]  # what was done for air, and who was kept out


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
    product_id: Mapped[Id | None]
    batch_id: Mapped[Id | None]


class FinishingClose(Body, Base):
    """A finishing session ends."""

    __tablename__ = "finishing_close"
    __table_args__ = recorded_args(Index(None, "session_id"))

    session_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    note: Mapped[Words | None]
    client_words: Mapped[Words | None]  # the client's yes, in their words
    client_name: Mapped[Words | None]
    client_yes: Mapped[Flag | None]  # whether the client said yes to the surface; absent when nobody asked


class Product(Body, Base):
    """A product as its tin and its data sheet say it. Temperatures °C, humidity %, times h; absent is not known."""

    __tablename__ = "product"
    __table_args__ = recorded_args(
        CheckConstraint("recoat_hours > 0", name="recoat_positive"),
        CheckConstraint("room_again_hours >= 0", name="room_again_not_negative"),
    )

    product_id: Mapped[Id]
    name: Mapped[Words]
    maker: Mapped[Words | None]
    what: Mapped[Words | None]  # primer, paint, wax, and its generic chemistry
    sheet: Mapped[Words | None]  # data sheet and its date
    hazards: Mapped[Words | None]  # as on the tin
    protection: Mapped[Words | None]  # gloves, mask and filter, as the sheets say
    ventilation: Mapped[Words | None]
    room_again_hours: Mapped[Figure | None]  # until the room may be used again
    recoat_hours: Mapped[Figure | None]
    air_min_c: Mapped[Figure | None]
    air_max_c: Mapped[Figure | None]
    surface_min_c: Mapped[Figure | None]
    surface_max_c: Mapped[Figure | None]
    humidity_min: Mapped[Figure | None]
    humidity_max: Mapped[Figure | None]
    margin_limit_c: Mapped[Figure | None]
    touch_up: Mapped[Words | None]  # how it is touched up, and what thins and cleans it
    keeps_until: Mapped[Words | None]  # how long an opened tin keeps, as the tin says
    dropped: Mapped[Flag]  # a revision that says it is not used any more


class Batch(Body, Base):
    """One batch of a product, with what its tin says; days are ISO 8601."""

    __tablename__ = "batch"
    __table_args__ = recorded_args(Index(None, "product_id"))

    batch_id: Mapped[Id]
    product_id: Mapped[Id]
    number: Mapped[Words]
    expires_on: Mapped[Words | None]
    opened_on: Mapped[Words | None]
    note: Mapped[Words | None]
