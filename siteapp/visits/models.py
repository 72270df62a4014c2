"""Visits, site contacts, and what is still to bring.

Entries of kind `visit`, `site_contacts`, `to_bring` and `brought`, all of a job.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Id, IdType, Words

PACKED = "packed"
NOT_NEEDED = "not needed"


class Visit(Body, Base):
    """One attendance at the site. `day` is ISO 8601; times are HH:MM on the site's clock, as somebody wrote them."""

    __tablename__ = "visit"
    __table_args__ = recorded_args(Index(None, "day"))

    visit_id: Mapped[Id]
    day: Mapped[Words]
    from_time: Mapped[Words | None]
    until_time: Mapped[Words | None]
    purpose: Mapped[Words | None]
    note: Mapped[Words | None]


class VisitPerson(BodyRow, Base):
    """Somebody who is named for a visit; `person_id` when they are one of the crew."""

    __tablename__ = "visit_person"

    name: Mapped[Words]
    person_id: Mapped[Id | None]
    role: Mapped[Words | None]


class SiteContacts(Body, Base):
    """Whom to ask at the site, revised as a whole. Never leaves for public pages or certificates."""

    __tablename__ = "site_contacts"

    note: Mapped[Words | None]


class SiteContact(BodyRow, Base):
    """One person at the site."""

    __tablename__ = "site_contact"

    name: Mapped[Words]
    role: Mapped[Words | None]
    phone: Mapped[Words | None]
    note: Mapped[Words | None]


class ToBring(Body, Base):
    """Something that is still to be brought to the site."""

    __tablename__ = "to_bring"

    words: Mapped[Words]
    note: Mapped[Words | None]


class Brought(Body, Base):
    """Something that was still to be brought is in the van, or is not needed after all."""

    __tablename__ = "brought"
    __table_args__ = recorded_args(
        Index(None, "item_id"), CheckConstraint("how IN ('packed', 'not needed')", name="how_known")
    )

    item_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    how: Mapped[Words]
    note: Mapped[Words | None]
