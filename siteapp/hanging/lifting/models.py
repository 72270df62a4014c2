"""The plan of the lift (entries of kind `lift_plan`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Flag, Whole, Words

STEPS = ("unload", "carry", "raise", "hold", "seat")
NO_AID, PLATFORM, HOIST, TROLLEY, LADDER = "none", "platform", "hoist", "trolley", "ladder"
AIDS = (NO_AID, PLATFORM, HOIST, TROLLEY, LADDER)


class LiftPlan(Body, Base):
    """Who calls, who guides, what is called to stop; one row a step."""

    __tablename__ = "lift_plan"
    __table_args__ = recorded_args()

    calls: Mapped[Words | None]
    guides: Mapped[Words | None]
    lifters: Mapped[Words | None]  # one line a name
    stop_call: Mapped[Words | None]  # the word on which everything stops, and what is done then
    nuts: Mapped[Words | None]  # the order in which they are turned up
    note: Mapped[Words | None]


class LiftStep(BodyRow, Base):
    """One step: how high, how far from the body, on what, by how many."""

    __tablename__ = "lift_step"
    __table_args__ = recorded_args(
        CheckConstraint("step IN ('unload', 'carry', 'raise', 'hold', 'seat')", name="step_known"),
        CheckConstraint("aid IN ('none', 'platform', 'hoist', 'trolley', 'ladder')", name="aid_known"),
        CheckConstraint("people >= 0", name="people_not_negative"),
    )

    step: Mapped[Words]
    zone: Mapped[Words | None]  # one of trade.lifting's
    reach: Mapped[Words | None]
    aid: Mapped[Words]
    people: Mapped[Whole | None]
    stairs: Mapped[Flag | None]
    note: Mapped[Words | None]
