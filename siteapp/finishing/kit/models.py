"""The recipe and the kit for touching up that stay with the client (entries of kind `touch_up`). Days are ISO 8601."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Id, Words


class TouchUp(Body, Base):
    """The recipe as a person left it; a later one takes its place."""

    __tablename__ = "touch_up"

    recipe: Mapped[Words]
    assembled: Mapped[Words | None]  # what it was put together from, before it was written over
    kept: Mapped[Words | None]  # where the kit is
    keeps_until: Mapped[Words | None]
    keeps_why: Mapped[Words | None]
    note: Mapped[Words | None]


class KitItem(BodyRow, Base):
    """One thing in the kit: a jar of a product, a tool."""

    __tablename__ = "touch_up_item"
    __table_args__ = recorded_args()

    what: Mapped[Words]
    amount: Mapped[Words | None]
    product_id: Mapped[Id | None]
    batch_id: Mapped[Id | None]
    batch: Mapped[Words | None]
    keeps_until: Mapped[Words | None]
    why: Mapped[Words | None]  # how that day is known
