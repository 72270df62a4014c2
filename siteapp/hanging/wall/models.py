"""The wall as found (entries of kind `wall_found`). Lengths in mm."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Figure, Flag, Words

CONCRETE, SOLID_MASONRY, HOLLOW_MASONRY = "concrete", "solid masonry", "hollow masonry"
TIMBER, STUD_WALL, OTHER = "timber", "stud wall", "other"
MATERIALS = (CONCRETE, SOLID_MASONRY, HOLLOW_MASONRY, TIMBER, STUD_WALL, OTHER)
TRIAL_HOLE, LOOKED, TOLD = "trial hole", "looked", "told"
PROVED = (TRIAL_HOLE, LOOKED, TOLD)
NONE_NEAR, NEAR, NOT_LOOKED = "none near", "near", "not looked"
SERVICES = (NONE_NEAR, NEAR, NOT_LOOKED)
WRITTEN, SPOKEN, NO_CONSENT = "in writing", "spoken", "not given"
CONSENT = (WRITTEN, SPOKEN, NO_CONSENT)
SURVEYED_CLEAR, BUILT_AFTER, ASBESTOS_FOUND, NOT_KNOWN = "surveyed clear", "built after the ban", "found", "not known"
ASBESTOS = (SURVEYED_CLEAR, BUILT_AFTER, ASBESTOS_FOUND, NOT_KNOWN)


class WallFound(Body, Base):
    """The wall where the piece goes, as somebody found it. What was not looked at is absent."""

    __tablename__ = "wall_found"
    __table_args__ = recorded_args(
        CheckConstraint(
            "material IN ('concrete', 'solid masonry', 'hollow masonry', 'timber', 'stud wall', 'other')",
            name="material_known",
        ),
        CheckConstraint("proved_by IN ('trial hole', 'looked', 'told')", name="proved_by_known"),
        CheckConstraint("services_front IN ('none near', 'near', 'not looked')", name="services_front_known"),
        CheckConstraint("services_back IN ('none near', 'near', 'not looked')", name="services_back_known"),
        CheckConstraint("consent IN ('in writing', 'spoken', 'not given')", name="consent_known"),
        CheckConstraint(
            "asbestos IN ('surveyed clear', 'built after the ban', 'found', 'not known')", name="asbestos_known"
        ),
        CheckConstraint("thickness_mm > 0", name="thickness_positive"),
        CheckConstraint("gap_mm >= 0", name="gap_not_negative"),
    )

    material: Mapped[Words | None]
    material_words: Mapped[Words | None]  # brick and mortar, class of concrete, what the other is
    proved_by: Mapped[Words | None]
    thickness_mm: Mapped[Figure | None]
    sound: Mapped[Flag | None]  # dry, whole, nothing hollow behind
    gap_mm: Mapped[Figure | None]  # plaster, board, packers between the plate and the sound wall
    studs: Mapped[Words | None]
    lintels: Mapped[Words | None]
    flue: Mapped[Words | None]
    bow_mm: Mapped[Figure | None]  # out of flat over the piece; a belly in the wall counts as positive
    plumb_mm_m: Mapped[Figure | None]  # out of plumb, mm a metre; leaning forward at the top counts as positive
    services_front: Mapped[Words | None]
    services_back: Mapped[Words | None]
    services_words: Mapped[Words | None]  # what is where
    detector: Mapped[Words | None]  # what they were looked for with
    consent: Mapped[Words | None]
    consent_by: Mapped[Words | None]
    asbestos: Mapped[Words | None]
    asbestos_words: Mapped[Words | None]  # the survey's number and day, or how it is known
    found_by: Mapped[Words]
    found_on: Mapped[Words]  # day, ISO 8601
    from_form: Mapped[Flag | None]  # typed from the form that came back
    note: Mapped[Words | None]
