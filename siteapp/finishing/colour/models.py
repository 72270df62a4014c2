"""Samples, readings and the client's answer (entries of kind `colour_sample`, `colour_reading`, `colour_answer`).

Colours are CIE L*a*b*; sheen is in gloss units at the angle named (ISO 2813).
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Id, IdType, Whole, Words


class ColourSample(Body, Base):
    """The agreed colour and sheen to match, as it was measured, and how far off may be; revised by correcting."""

    __tablename__ = "colour_sample"
    __table_args__ = recorded_args(
        CheckConstraint("tolerance > 0", name="tolerance_positive"),
        CheckConstraint("gloss_tolerance > 0", name="gloss_tolerance_positive"),
        CheckConstraint("gloss_deg IN (20, 60, 85)", name="gloss_deg_known"),
    )

    sample_id: Mapped[Id]
    name: Mapped[Words]
    made_of: Mapped[Words | None]  # product, tint, how it was put on, on what
    zones: Mapped[Words | None]  # where it belongs; absent for the whole piece
    l: Mapped[Figure | None]  # noqa: E741 - CIE 1976 calls it so
    a: Mapped[Figure | None]
    b: Mapped[Figure | None]
    gloss: Mapped[Figure | None]
    gloss_deg: Mapped[Whole | None]
    instrument: Mapped[Words | None]
    illuminant: Mapped[Words | None]
    observer: Mapped[Words | None]
    geometry: Mapped[Words | None]
    gloss_instrument: Mapped[Words | None]
    tolerance: Mapped[Figure | None]  # ΔE2000
    gloss_tolerance: Mapped[Figure | None]  # gloss units
    tolerance_from: Mapped[Words | None]  # who agreed to it, and where that stands
    note: Mapped[Words | None]
    dropped: Mapped[Flag]


class ColourReading(Body, Base):
    """One reading of colour, of sheen, or of both, at one spot of a zone."""

    __tablename__ = "colour_reading"
    __table_args__ = recorded_args(
        Index(None, "sample_id"),
        CheckConstraint("gloss_deg IN (20, 60, 85)", name="gloss_deg_known"),
    )

    sample_id: Mapped[str] = mapped_column(IdType)
    zone: Mapped[Words]
    spot: Mapped[Words | None]
    l: Mapped[Figure | None]  # noqa: E741 - CIE 1976 calls it so
    a: Mapped[Figure | None]
    b: Mapped[Figure | None]
    gloss: Mapped[Figure | None]
    gloss_deg: Mapped[Whole | None]
    instrument: Mapped[Words | None]
    illuminant: Mapped[Words | None]
    observer: Mapped[Words | None]
    geometry: Mapped[Words | None]
    gloss_instrument: Mapped[Words | None]
    note: Mapped[Words | None]


class ColourAnswer(Body, Base):
    """The client's yes or no to the colour, with the figures that stood when it was given."""

    __tablename__ = "colour_answer"
    __table_args__ = recorded_args(
        Index(None, "sample_id"),
        CheckConstraint("verdict IN ('met', 'not met', 'cannot tell')", name="verdict_known"),
    )

    sample_id: Mapped[str] = mapped_column(IdType)
    yes: Mapped[Flag]
    client_name: Mapped[Words]
    client_words: Mapped[Words | None]
    light: Mapped[Words | None]  # daylight, evening lamps: where and under what the client looked
    delta_e: Mapped[Figure | None]  # ΔE2000 of the worst reading
    mean_delta_e: Mapped[Figure | None]
    gloss_difference: Mapped[Figure | None]
    tolerance: Mapped[Figure | None]
    gloss_tolerance: Mapped[Figure | None]
    verdict: Mapped[Words]
    reasons: Mapped[Words | None]
    source: Mapped[Words]
    calculation: Mapped[Words]  # name and version of what worked it out


class AnsweredReading(BodyRow, Base):
    """One of the readings that stood when the client answered."""

    __tablename__ = "colour_answer_reading"
    __table_args__ = recorded_args()

    reading_id: Mapped[Id]
