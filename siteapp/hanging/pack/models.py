"""The form of the fixing pack that came back (entries of kind `pack_back`)."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Id, Words


class PackBack(Body, Base):
    """Who filled the form in, and when; what stands on it is kept where it belongs (wall, anchors, holes)."""

    __tablename__ = "pack_back"
    __table_args__ = recorded_args()

    filled_by: Mapped[Words]
    filled_on: Mapped[Words]  # day, ISO 8601
    template_id: Mapped[Id | None]  # the template that it answers
    note: Mapped[Words | None]
