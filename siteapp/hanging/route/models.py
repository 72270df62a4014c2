"""The crate's way in (entries of kind `route`). Lengths in mm, loads in kg."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Whole, Words

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
UPRIGHT, ON_SIDE_TOO, ANY = "upright", "upright or on its side", "any"
WAYS_UP = (UPRIGHT, ON_SIDE_TOO, ANY)
TURNS = ("none", "quarter", "half")


class Route(Body, Base):
    """The way as measured; one row an obstacle, in order."""

    __tablename__ = "route"
    __table_args__ = recorded_args(
        CheckConstraint("ways_up IN ('upright', 'upright or on its side', 'any')", name="ways_up_known")
    )

    ways_up: Mapped[Words | None]  # which ways up the crate may travel
    may_tilt: Mapped[Flag | None]  # out of these for a moment
    room_mm: Mapped[Figure | None]  # room for hands and blankets, all round
    measured_by: Mapped[Words | None]
    measured_on: Mapped[Words | None]  # day, ISO 8601
    note: Mapped[Words | None]


class RouteStep(BodyRow, Base):
    """One obstacle, with the sizes that its kind asks for.

    An opening or a passage: width and height. A corner: the widths on both sides and the height. A place to stand it
    up: the height of the ceiling. Stairs: width of the flight, headroom, how the landing turns, and the width of the
    next flight (a quarter turn) or the depth of the landing (a half turn). A lift: width, height and depth of its car,
    its door, its load, who rides. A slope: width and angle.
    """

    __tablename__ = "route_step"
    __table_args__ = recorded_args(
        CheckConstraint(
            "kind IN ('opening', 'passage', 'corner', 'stand up', 'stairs', 'lift', 'slope')", name="kind_known"
        ),
        CheckConstraint("turn IN ('none', 'quarter', 'half')", name="turn_known"),
    )

    kind: Mapped[Words]
    name: Mapped[Words]
    width_mm: Mapped[Figure | None]
    height_mm: Mapped[Figure | None]
    second_mm: Mapped[Figure | None]  # a corner's other width, the next flight's, a landing's or a lift's depth
    slope_deg: Mapped[Figure | None]
    turn: Mapped[Words | None]
    door_width_mm: Mapped[Figure | None]
    door_height_mm: Mapped[Figure | None]
    load_kg: Mapped[Figure | None]
    riders: Mapped[Whole | None]
    measured: Mapped[Flag | None]  # with a tape; told or guessed otherwise
    note: Mapped[Words | None]
