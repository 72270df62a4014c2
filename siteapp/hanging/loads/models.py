"""What the loads are worked out from beside the particulars (entries of kind `load_sheet`). Forces in N, lengths mm."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, Id, Words

STEEL, CONCRETE, MASONRY_SOLID, MASONRY_HOLLOW = "steel", "concrete", "masonry solid", "masonry hollow"
TIMBER, TESTED = "timber", "tested on site"
KINDS = (STEEL, CONCRETE, MASONRY_SOLID, MASONRY_HOLLOW, TIMBER, TESTED)


class LoadSheet(Body, Base):
    """What a person leaning on the piece counts as, and what the anchors may carry, with what came of it then."""

    __tablename__ = "load_sheet"
    __table_args__ = recorded_args(
        CheckConstraint("lean_n >= 0", name="lean_not_negative"),
        CheckConstraint("sudden >= 1", name="sudden_not_below_one"),
        CheckConstraint("verdict IN ('met', 'not met', 'cannot tell')", name="verdict_known"),
    )

    lean_n: Mapped[Figure | None]
    lean_x_mm: Mapped[Figure | None]
    lean_y_mm: Mapped[Figure | None]
    lean_why: Mapped[Words | None]
    sudden: Mapped[Figure | None]  # factor on what a lost support passes on at once
    note: Mapped[Words | None]
    verdict: Mapped[Words]
    outcome: Mapped[Words]  # JSON of what was worked out then
    calculation: Mapped[Words]  # name and version of what worked it out
    particulars_id: Mapped[Id]
    weighing_id: Mapped[Id | None]
    wall_id: Mapped[Id | None]


class LoadPad(BodyRow, Base):
    """Where the piece bears on the wall."""

    __tablename__ = "load_pad"
    __table_args__ = recorded_args()

    x_mm: Mapped[Figure]
    y_mm: Mapped[Figure]


class LoadResistance(BodyRow, Base):
    """What one anchor may carry in this wall, already reduced for edges, spacing, sustained load and temperature."""

    __tablename__ = "load_resistance"
    __table_args__ = recorded_args(
        CheckConstraint(
            "kind IN ('steel', 'concrete', 'masonry solid', 'masonry hollow', 'timber', 'tested on site')",
            name="kind_known",
        ),
        CheckConstraint("pull_n > 0", name="pull_positive"),
        CheckConstraint("shear_n > 0", name="shear_positive"),
    )

    label: Mapped[Words]
    kind: Mapped[Words]
    pull_n: Mapped[Figure | None]
    shear_n: Mapped[Figure | None]
    document: Mapped[Words | None]  # approval document or test report, with its number
    covered: Mapped[Flag | None]  # whether that document covers this wall and this use
