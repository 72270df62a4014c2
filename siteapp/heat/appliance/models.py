"""The appliance (entries of kind `appliance`) and measured distances (`heat_distances`). Lengths in mm."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Words

MASONRY, FACTORY_BUILT, STOVE, GAS_FIRE = "masonry fireplace", "factory-built fireplace", "stove", "gas fire"
ELECTRIC_FIRE, OTHER = "electric fire", "other"
KINDS = (MASONRY, FACTORY_BUILT, STOVE, GAS_FIRE, ELECTRIC_FIRE, OTHER)
WOOD, COAL, PELLETS, GAS, OIL, ETHANOL, ELECTRICITY = "wood", "coal", "pellets", "gas", "oil", "ethanol", "electricity"
FUELS = (WOOD, COAL, PELLETS, GAS, OIL, ETHANOL, ELECTRICITY, OTHER)
BY_HAND = (WOOD, COAL)  # fuels that somebody puts on, one charge after another
PAPER, NO_PAPER, NOT_KNOWN = "paper seen", "no paper", "not known"
PAPERS = (PAPER, NO_PAPER, NOT_KNOWN)
ABOVE, LEFT, RIGHT, FRONT, FLUE = "above", "left", "right", "front", "flue"
PLACES = (ABOVE, LEFT, RIGHT, FRONT, FLUE)


class Appliance(Body, Base):
    """The fire below or beside the piece as its plate and papers have it; a later description takes its place.

    `plate_…_mm` are the distances to what can burn that the plate or the instructions ask for.
    """

    __tablename__ = "appliance"
    __table_args__ = recorded_args(
        CheckConstraint(
            "kind IN ('masonry fireplace', 'factory-built fireplace', 'stove', 'gas fire', 'electric fire', 'other')",
            name="kind_known",
        ),
        CheckConstraint(
            "fuel IN ('wood', 'coal', 'pellets', 'gas', 'oil', 'ethanol', 'electricity', 'other')", name="fuel_known"
        ),
        CheckConstraint("commissioned IN ('paper seen', 'no paper', 'not known')", name="commissioned_known"),
        CheckConstraint("output_kw > 0", name="output_positive"),
        CheckConstraint("opening_width_mm > 0 AND opening_height_mm > 0", name="opening_positive"),
        CheckConstraint("flue_diameter_mm > 0", name="flue_positive"),
    )

    kind: Mapped[Words | None]
    model: Mapped[Words | None]
    serial: Mapped[Words | None]
    fuel: Mapped[Words | None]
    output_kw: Mapped[Figure | None]  # rated
    country: Mapped[Words | None]  # whose published rules are asked where the plate says nothing
    instructions: Mapped[Words | None]  # which document, and its date
    plate_above_mm: Mapped[Figure | None]
    plate_beside_mm: Mapped[Figure | None]
    plate_front_mm: Mapped[Figure | None]
    plate_flue_mm: Mapped[Figure | None]
    opening_width_mm: Mapped[Figure | None]
    opening_height_mm: Mapped[Figure | None]
    opening_floor_mm: Mapped[Figure | None]  # its lower edge above the floor
    flue: Mapped[Words | None]  # which way it runs, of what
    flue_diameter_mm: Mapped[Figure | None]  # outside
    flue_shielded: Mapped[Flag | None]
    commissioned: Mapped[Words | None]
    commissioning: Mapped[Words | None]  # the paper's number and day, by whom
    seen_by: Mapped[Words | None]
    seen_on: Mapped[Words | None]  # day, ISO 8601
    note: Mapped[Words | None]


class HeatDistances(Body, Base):
    """One round of measuring from the opening and the flue; a later one takes its place."""

    __tablename__ = "heat_distances"

    measured_by: Mapped[Words | None]
    measured_on: Mapped[Words | None]  # day, ISO 8601
    tape: Mapped[Words | None]
    note: Mapped[Words | None]


class HeatDistance(BodyRow, Base):
    """How far one thing is from the opening (or the flue), and how far it stands out from the wall."""

    __tablename__ = "heat_distance"
    __table_args__ = recorded_args(
        CheckConstraint("place IN ('above', 'left', 'right', 'front', 'flue')", name="place_known"),
        CheckConstraint("distance_mm >= 0", name="distance_not_negative"),
        CheckConstraint("projection_mm >= 0", name="projection_not_negative"),
    )

    thing: Mapped[Words]
    place: Mapped[Words]
    distance_mm: Mapped[Figure | None]
    projection_mm: Mapped[Figure | None]
    combustible: Mapped[Flag | None]
    metal_fixing: Mapped[Flag | None]
    known_from: Mapped[Words | None]  # how it is known whether it can burn
