"""Recorded lists and the answers to their lines (entries of kind `check_list` and `check_answer`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Digest, Figure, Flag, IdType, Words

VERDICTS = ("met", "not met", "cannot tell")


class CheckList(Body, Base):
    """A list as it stood when its stage opened; the file it came from may change later and this does not."""

    __tablename__ = "check_list"

    stage: Mapped[Words]
    name: Mapped[Words]
    file_digest: Mapped[Digest]


class CheckLine(BodyRow, Base):
    """One line of a recorded list."""

    __tablename__ = "check_line"
    __table_args__ = recorded_args(UniqueConstraint("entry_id", "line_key"))

    line_key: Mapped[Words]
    words: Mapped[Words]
    why: Mapped[Words]
    hold: Mapped[Flag]
    photo: Mapped[Flag]  # met only with a photo
    quantity: Mapped[Words | None]  # what is read, when a reading is asked for
    unit: Mapped[Words | None]
    low: Mapped[Figure | None]
    high: Mapped[Figure | None]


class CheckAnswer(Body, Base):
    """What somebody answered to a line."""

    __tablename__ = "check_answer"
    __table_args__ = recorded_args(
        Index(None, "list_id", "line_key"),
        CheckConstraint("verdict IN ('met', 'not met', 'cannot tell')", name="verdict_known"),
    )

    list_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    line_key: Mapped[Words]
    verdict: Mapped[Words]
    reading: Mapped[Figure | None]
    unit: Mapped[Words | None]
    instrument: Mapped[Words | None]
    note: Mapped[Words | None]
