"""Looks at a piece's condition (entries of kind `condition`; photos in named slots, marks as a set of their own)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Words

HANDOVER, LATER_VISIT = "handover", "later visit"
OCCASIONS = (HANDOVER, LATER_VISIT)


class Condition(Body, Base):
    """What was found when somebody looked the piece over, in which light, and what follows from it."""

    __tablename__ = "condition_look"
    __table_args__ = recorded_args(
        CheckConstraint("occasion IN ('handover', 'later visit')", name="occasion_known"),
        CheckConstraint("found IN ('nothing found', 'something found', 'not looked at yet')", name="found_known"),
    )

    occasion: Mapped[Words]
    found: Mapped[Words]
    light: Mapped[Words | None]  # how it was lit and seen: daylight, raking light, from a platform
    surroundings: Mapped[Words | None]  # what is near it: heat, damp, sun, people
    note: Mapped[Words | None]
    advice: Mapped[Words | None]  # what should be done, by whom, until when
