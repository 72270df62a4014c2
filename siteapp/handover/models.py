"""Handovers, certificates, withdrawals (entries of kind `handover`, `certificate`, `certificate_withdrawal`)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, plain_args, recorded_args
from siteapp.store.columns import Digest, DigestType, Id, IdType, Instant, Whole, Words


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


class HandoverCondition(BodyRow, Base):
    """Something that must hold, in writing, before the piece is used as it is meant to be."""

    __tablename__ = "handover_condition"

    words: Mapped[Words]


class HandoverSignature(BodyRow, Base):
    """A further signature on the handover: the maker's, a witness's, a second owner's."""

    __tablename__ = "handover_signature"

    name: Mapped[Words]
    capacity: Mapped[Words | None]
    signature_sha256: Mapped[str | None] = mapped_column(DigestType, ForeignKey("photo.sha256"))


class Certificate(Body, Base):
    """A certificate's frozen record: everything it prints, as canonical JSON (RFC 8785), and its digest."""

    __tablename__ = "certificate"
    __table_args__ = recorded_args(UniqueConstraint("number"))

    number: Mapped[Words]
    handover_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    record: Mapped[Words]
    record_digest: Mapped[Digest]
    why: Mapped[Words | None]  # why one was issued again
    # Absent for those issued before certificates were signed.
    file_sha256: Mapped[Digest | None]  # the signed PDF, in the folder of certificates
    key_fingerprint: Mapped[Digest | None]  # of the key that signed it


class CertificateWithdrawal(Body, Base):
    """A certificate that does not stand any more, and why."""

    __tablename__ = "certificate_withdrawal"
    __table_args__ = recorded_args(Index(None, "certificate_id"))

    certificate_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    reason: Mapped[Words]


class GivenLink(Base):
    """A link under which anybody on the hotspot gets one certificate's PDF for an hour. Never travels."""

    __tablename__ = "given_link"
    __table_args__ = plain_args(CheckConstraint("opened >= 0", name="opened_not_negative"))

    token_digest: Mapped[Digest] = mapped_column(primary_key=True)
    certificate_id: Mapped[Id]
    made_by: Mapped[Id]
    until_at: Mapped[Instant]
    opened: Mapped[Whole]
