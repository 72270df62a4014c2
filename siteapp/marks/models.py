"""Marks on photos (entries of kind `marks`, or rows in the body of what they belong to, such as a snag)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import DigestType, Figure, IdType, Whole, Words


class MarkSet(Body, Base):
    """All marks on the photos of one entry, as they stand; a later set takes the place of this one."""

    __tablename__ = "mark_set"
    __table_args__ = recorded_args(Index(None, "of_id"))

    of_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))


class PhotoMark(BodyRow, Base):
    """A numbered spot. `x` and `y` are fractions of the upright photo's width and height, from its upper left."""

    __tablename__ = "photo_mark"
    __table_args__ = recorded_args(
        CheckConstraint("x >= 0 AND x <= 1 AND y >= 0 AND y <= 1", name="on_the_photo"),
        CheckConstraint("number >= 1", name="number_from_one"),
    )

    sha256: Mapped[str] = mapped_column(DigestType, ForeignKey("photo.sha256"))
    number: Mapped[Whole]
    x: Mapped[Figure]
    y: Mapped[Figure]
    kind: Mapped[Words | None]  # of damage, in the words of `marks.kinds`
    note: Mapped[Words | None]
