"""Jobs by revision (entries of kind `job`; the job's id heads each of them)."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from siteapp.store.base import Base, Body
from siteapp.store.columns import Words


class Job(Body, Base):
    """What a job is about. Client, address and access notes never leave for public pages or certificates."""

    __tablename__ = "job"

    title: Mapped[Words]
    client: Mapped[Words]
    place: Mapped[Words]  # said in public: a town or a building's kind, no address
    address: Mapped[Words | None]
    access_notes: Mapped[Words | None]
    brief: Mapped[Words | None]
