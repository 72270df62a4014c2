"""Where the piece goes on its wall, and what is asked of whoever drills (entries of kind `fixing_template`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Figure, Id, Words


class FixingTemplate(Body, Base):
    """The datum, where the piece's lower left corner lies from it as seen from the front, and the anchors asked for."""

    __tablename__ = "fixing_template"
    __table_args__ = recorded_args(
        CheckConstraint("drill_mm > 0", name="drill_positive"),
        CheckConstraint("embedment_mm > 0", name="embedment_positive"),
        CheckConstraint("proof_kn > 0", name="proof_positive"),
        CheckConstraint("torque_nm > 0", name="torque_positive"),
    )

    datum: Mapped[Words]  # the point that positions are measured from
    x_mm: Mapped[Figure]
    y_mm: Mapped[Figure]
    level_line: Mapped[Words | None]  # where the line is drawn
    level_mm: Mapped[Figure | None]  # its height above the datum
    wall_asked: Mapped[Words | None]  # one of wall.models.MATERIALS
    anchor: Mapped[Words | None]  # product and size
    anchor_document: Mapped[Words | None]  # approval document
    drill_mm: Mapped[Figure | None]
    embedment_mm: Mapped[Figure | None]
    torque_nm: Mapped[Figure | None]
    proof_kn: Mapped[Figure | None]  # load that each test is held at
    designed_by: Mapped[Words | None]  # who answers for wall and anchors
    note: Mapped[Words | None]
    particulars_id: Mapped[Id]  # the revision whose points it was drawn from
