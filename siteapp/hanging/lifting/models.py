"""The plan of the lift (entries of kind `lift_plan`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Whole, Words

STEPS = ("unload", "carry", "raise", "hold", "seat")
NO_AID, HOIST, TROLLEY, PROP = "none", "hoist", "trolley", "prop"
AIDS = (NO_AID, HOIST, TROLLEY, PROP)


class LiftPlan(Body, Base):
    """Who calls, who guides, what is called to stop; one row a step."""

    __tablename__ = "lift_plan"
    __table_args__ = recorded_args()

    calls: Mapped[Words | None]
    guides: Mapped[Words | None]  # one line a name
    lifters: Mapped[Words | None]  # one line a name
    stop_call: Mapped[Words | None]  # the word on which everything stops, and what is done then
    lift_points: Mapped[Words | None]  # where it is taken hold of, and where never
    nuts: Mapped[Words | None]  # the order in which they are turned up
    note: Mapped[Words | None]


class LiftStep(BodyRow, Base):
    """One step: where the hands pass and how far from the body, standing on what, what bears the weight, how many."""

    __tablename__ = "lift_step"
    __table_args__ = recorded_args(
        CheckConstraint("step IN ('unload', 'carry', 'raise', 'hold', 'seat')", name="step_known"),
        CheckConstraint("standing IN ('floor', 'platform', 'stairs', 'ladder')", name="standing_known"),
        CheckConstraint("aid IN ('none', 'hoist', 'trolley', 'prop')", name="aid_known"),
        CheckConstraint("people >= 0", name="people_not_negative"),
    )

    step: Mapped[Words]
    zone_from: Mapped[Words | None]  # of trade.lift_figures.ZONES; the hands pass all between the two
    zone_to: Mapped[Words | None]
    reach: Mapped[Words | None]
    standing: Mapped[Words | None]
    aid: Mapped[Words]
    rated_kg: Mapped[Figure | None]  # on the aid's plate
    people: Mapped[Whole | None]  # who lift; whoever guides does not
    lower: Mapped[Whole | None]  # of them, below on stairs
    carry_m: Mapped[Figure | None]  # without a rest
    in_crate: Mapped[Flag | None]
    note: Mapped[Words | None]
