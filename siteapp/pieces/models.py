"""A piece's number, its particulars by revision, what was agreed (entries of kind `piece`, `particulars`, `agreed`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Id, Whole, Words, WordsType

WEIGHED = "weighed"
ESTIMATED = "estimated"
# Ways of standing: what carries the piece decides which checks it needs.
ON_POINTS, ON_RAILS, FREE_STANDING, SUSPENDED = "on points", "on rails", "free-standing", "suspended"
STANDS = (ON_POINTS, ON_RAILS, FREE_STANDING, SUSPENDED)
# How a hanging point holds.
BOLT, SLOT, HOOK, RAIL = "bolt", "slot", "hook", "rail"
HOLDS = (BOLT, SLOT, HOOK, RAIL)
FROM_FRONT, FROM_BACK = "front", "back"
# What a line of the build-up is made as when it has no sizes; the others are in `trade.made_as`.
AS_WEIGHED = "as weighed"
STAGE = "stage"
CHANGE = "change"


class Piece(Body, Base):
    """A piece comes to be: its id and the number its label carries."""

    __tablename__ = "piece"
    __table_args__ = recorded_args(UniqueConstraint("number"), UniqueConstraint("piece_id"))

    piece_id: Mapped[Id]
    number: Mapped[Words]


class Particulars(Body, Base):
    """The piece's own description. Lengths in mm, mass in kg, temperature in °C."""

    __tablename__ = "particulars"
    __table_args__ = recorded_args(
        CheckConstraint("mass_kg > 0", name="mass_positive"),
        CheckConstraint("mass_origin IN ('weighed', 'estimated')", name="mass_origin_known"),
        CheckConstraint("(mass_kg IS NULL) = (mass_origin IS NULL)", name="mass_with_origin"),
        CheckConstraint("width_mm > 0 AND height_mm > 0 AND depth_mm > 0", name="sizes_positive"),
        CheckConstraint("lift_people >= 1", name="lift_people_positive"),
    )

    title: Mapped[Words]
    object_type: Mapped[Words]
    description: Mapped[Words | None]
    materials: Mapped[Words | None]
    made_on: Mapped[Words | None]  # ISO 8601 date or year, as the maker knows it
    width_mm: Mapped[Figure | None]
    height_mm: Mapped[Figure | None]
    depth_mm: Mapped[Figure | None]
    mass_kg: Mapped[Figure | None]
    mass_origin: Mapped[Words | None]
    mass_note: Mapped[Words | None]  # which scales, or how it was worked out
    lift_people: Mapped[Whole | None]
    way_up: Mapped[Words | None]
    take_down: Mapped[Words | None]  # how it comes off the wall
    finish: Mapped[Words | None]
    fire_class: Mapped[Words | None]
    fire_evidence: Mapped[Words | None]  # report or certificate number, and who issued it
    fire_covers: Mapped[Words | None]  # what the evidence covers and what it does not
    heat_limit_c: Mapped[Figure | None]
    keep_away: Mapped[Words | None]  # what must not touch it
    care: Mapped[Words | None]
    care_never: Mapped[Words | None]
    hazards: Mapped[Words | None]  # if cut, drilled or burnt
    who_to_ask: Mapped[Words | None]
    # These came later; a check that stands with its column is the only one SQLite adds to a table that is there.
    stands: Mapped[str | None] = mapped_column(
        WordsType,
        CheckConstraint("stands IN ('on points', 'on rails', 'free-standing', 'suspended')", name="stands_known"),
    )
    near_heat: Mapped[Flag | None]  # a fire, a stove, a radiator or a flue close to it
    # Which side the hanging points were measured from; they are kept as seen from the front either way.
    points_from: Mapped[str | None] = mapped_column(
        WordsType, CheckConstraint("points_from IN ('front', 'back')", name="points_from_known")
    )


class BuildUpLine(BodyRow, Base):
    """One layer or part of the build-up, in order from the face inwards.

    `mass_kg` is what it weighs, typed or worked out from the sizes that its `made_as` asks for. Its balance point is in
    mm from the lower left corner as seen from the front, z out from the wall.
    """

    __tablename__ = "build_up_line"
    __table_args__ = recorded_args(
        CheckConstraint("thickness_mm > 0", name="thickness_positive"),
        CheckConstraint("mass_kg > 0", name="mass_positive"),
    )

    material: Mapped[Words]
    thickness_mm: Mapped[Figure | None]
    mass_kg: Mapped[Figure | None]
    note: Mapped[Words | None]
    made_as: Mapped[str | None] = mapped_column(
        WordsType,
        CheckConstraint(
            "made_as IN ('laminate', 'film', 'block', 'plate', 'round bar', 'round tube', 'square tube', 'as weighed')",
            name="made_as_known",
        ),
    )
    area_m2: Mapped[Figure | None]
    glass_g_m2: Mapped[Figure | None]
    glass_fraction: Mapped[Figure | None]  # of the laminate's mass, 0 to 1
    film_um: Mapped[Figure | None]
    density_kg_m3: Mapped[Figure | None]
    length_mm: Mapped[Figure | None]
    width_mm: Mapped[Figure | None]
    height_mm: Mapped[Figure | None]
    pieces: Mapped[Whole | None]  # how many of it
    x_mm: Mapped[Figure | None]
    y_mm: Mapped[Figure | None]
    z_mm: Mapped[Figure | None]


class HangingPoint(BodyRow, Base):
    """A hole or slot in the metalwork; x to the right and y up as seen from the front, from the lower left corner.

    A slot is a hole drawn out by `slot_mm` along `slot_deg`, counted from x towards y. `fails_with` names what several
    points hang on and would fail together: a batten, a bonded strip, a course of bricks.
    """

    __tablename__ = "hanging_point"
    __table_args__ = recorded_args(CheckConstraint("hole_mm > 0", name="hole_positive"))

    label: Mapped[Words]
    x_mm: Mapped[Figure]
    y_mm: Mapped[Figure]
    hole_mm: Mapped[Figure | None]
    note: Mapped[Words | None]
    bolt_mm: Mapped[Figure | None]
    slot_mm: Mapped[Figure | None]
    slot_deg: Mapped[Figure | None]
    holds: Mapped[str | None] = mapped_column(
        WordsType, CheckConstraint("holds IN ('bolt', 'slot', 'hook', 'rail')", name="holds_known")
    )
    bevel_deg: Mapped[Figure | None]  # of a bevelled rail
    edge_mm: Mapped[Figure | None]  # from the hole's middle to the nearest edge of its plate
    fails_with: Mapped[Words | None]


class Agreed(Body, Base):
    """The client's yes to a stage of making or to a change, with its day (ISO 8601) and what shows it."""

    __tablename__ = "agreed"
    __table_args__ = recorded_args(CheckConstraint("about IN ('stage', 'change')", name="about_known"))

    about: Mapped[Words]
    what: Mapped[Words]
    agreed_on: Mapped[Words]
    agreed_by: Mapped[Words | None]
    said: Mapped[Words | None]  # their words
    evidence: Mapped[Words | None]  # a letter, a signed drawing, who heard it
