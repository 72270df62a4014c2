"""Handovers and certificates (entries of kind `handover` and `certificate`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, recorded_args
from siteapp.store.columns import Digest, DigestType, IdType, Words


class Handover(Body, Base):
    """The client takes the piece over, with a drawn or a typed signature."""

    __tablename__ = "handover"
    __table_args__ = recorded_args(
        CheckConstraint("length(signed_name) > 0", name="signed_name_given"),
    )

    signed_name: Mapped[Words]
    said: Mapped[Words]  # the words they agreed to
    note: Mapped[Words | None]
    signature_sha256: Mapped[str | None] = mapped_column(DigestType, ForeignKey("photo.sha256"))


class Certificate(Body, Base):
    """A certificate's frozen record: everything it prints, as canonical JSON (RFC 8785), and its digest."""

    __tablename__ = "certificate"
    __table_args__ = recorded_args(UniqueConstraint("number"))

    number: Mapped[Words]
    handover_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    record: Mapped[Words]
    record_digest: Mapped[Digest]
