"""Recorded lists, the answers to their lines, releases of hold points.

Entries of kind `check_list`, `check_answer`, `check_taken_back` and `check_release`.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Digest, Figure, Flag, Id, IdType, Words

VERDICTS = ("met", "not met", "cannot tell")


class CheckList(Body, Base):
    """A list as it stood when its stage opened; the file it came from may change later and this does not."""

    __tablename__ = "check_list"

    stage: Mapped[Words]
    name: Mapped[Words]
    file_digest: Mapped[Digest]
    list_key: Mapped[Words | None]  # which list of its stage; absent in what was recorded before there were several


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
    second: Mapped[Flag | None]  # met only with the name of a second person who saw it
    calculation: Mapped[Words | None]  # met only by what this calculation came to


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
    second_name: Mapped[Words | None]
    second_id: Mapped[Id | None]  # when the second person is one of the crew
    calculation: Mapped[Words | None]  # name and version of what worked it out
    inputs: Mapped[Words | None]  # what it was worked out from, and what it came to: canonical JSON (RFC 8785)
    outcome: Mapped[Words | None]
    particulars_id: Mapped[Id | None]  # the revision of the particulars that it was worked out from


class CheckTakenBack(Body, Base):
    """An answer that was given by mistake and taken back at once; its line is open again."""

    __tablename__ = "check_taken_back"

    list_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    line_key: Mapped[Words]


class CheckRelease(Body, Base):
    """A maker lets the work go on although a line is not met, or sets a whole list aside, and says why.

    `seen` names the answers that stood then, by entry id: a later one brings the hold point back.
    """

    __tablename__ = "check_release"
    __table_args__ = recorded_args(Index(None, "list_id", "line_key"))

    list_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    line_key: Mapped[Words | None]  # absent: the whole list
    released: Mapped[Flag]  # false where a revision takes the release back
    reason: Mapped[Words]
    seen: Mapped[Words]
