"""Snags and how they ended (entries of kind `snag` and `snag_close`; marks on a snag's photos are rows of its body)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Id, IdType, Words


class Snag(Body, Base):
    """Something to put right. `list_id`, `line_key` and `answer_id` say which check raised it, if one did."""

    __tablename__ = "snag"

    words: Mapped[Words]
    place: Mapped[Words | None]  # where on the piece or in the room
    list_id: Mapped[Id | None]
    line_key: Mapped[Words | None]
    answer_id: Mapped[Id | None]


class SnagClose(Body, Base):
    """A snag ends: cleared with a photo, accepted as left by the client, or with the check that raised it."""

    __tablename__ = "snag_close"
    __table_args__ = recorded_args(
        Index(None, "snag_id"),
        CheckConstraint("how IN ('cleared', 'accepted', 'check met', 'taken back')", name="how_known"),
        CheckConstraint("how <> 'accepted' OR accepted_by IS NOT NULL", name="accepted_by_somebody"),
    )

    snag_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    how: Mapped[Words]
    said: Mapped[Words | None]  # what was done, or the client's words
    accepted_by: Mapped[Words | None]
