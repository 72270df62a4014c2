"""The crate's way in (entries of kind `route`). Lengths in mm, loads in kg."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Words

OPENING, PASSAGE, CORNER, STAND_UP, STAIRS, LIFT, SLOPE = (
    "opening",
    "passage",
    "corner",
    "stand up",
    "stairs",
    "lift",
    "slope",
)
KINDS = (OPENING, PASSAGE, CORNER, STAND_UP, STAIRS, LIFT, SLOPE)
UPRIGHT, ON_LONG_EDGE, ANY = "upright", "on a long edge", "any"
WAYS_UP = (UPRIGHT, ON_LONG_EDGE, ANY)


class Route(Body, Base):
    """The way as measured; one row an obstacle, in order."""

    __tablename__ = "route"
    __table_args__ = recorded_args(
        CheckConstraint("ways_up IN ('upright', 'on a long edge', 'any')", name="ways_up_known")
    )

    ways_up: Mapped[Words | None]  # which ways up the crate may travel
    room_mm: Mapped[Figure | None]  # room for hands and blankets, all round
    measured_by: Mapped[Words | None]
    measured_on: Mapped[Words | None]  # day, ISO 8601
    note: Mapped[Words | None]


class RouteStep(BodyRow, Base):
    """One obstacle: an opening (height, width), a corner (two widths), a place to stand it up (ceiling), a lift."""

    __tablename__ = "route_step"
    __table_args__ = recorded_args(
        CheckConstraint(
            "kind IN ('opening', 'passage', 'corner', 'stand up', 'stairs', 'lift', 'slope')", name="kind_known"
        ),
    )

    kind: Mapped[Words]
    name: Mapped[Words]
    width_mm: Mapped[Figure | None]
    height_mm: Mapped[Figure | None]
    second_mm: Mapped[Figure | None]  # a corner's other width, a landing's or a lift's depth
    slope_deg: Mapped[Figure | None]
    load_kg: Mapped[Figure | None]
    measured: Mapped[Flag | None]  # with a tape; told or guessed otherwise
    note: Mapped[Words | None]
