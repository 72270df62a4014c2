"""The tables every room builds on.

`entry` heads everything that happened; rooms' own tables hold what it says. What is recorded only gains rows.
"""

from __future__ import annotations

from datetime import datetime  # noqa: TC003 - SQLAlchemy reads annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, plain_args, recorded_args
from siteapp.store.columns import (
    Digest,
    DigestType,
    Id,
    IdType,
    Instant,
    Whole,
    Words,
    WordsType,
)


class Entry(Base):
    """The head of one thing that happened, chained to the one before it on the same laptop and job."""

    __tablename__ = "entry"
    __table_args__ = recorded_args(
        UniqueConstraint("chain", "seq"),
        CheckConstraint("seq >= 1", name="seq_from_one"),
        Index(None, "piece_id", "recorded_at", "id"),
        Index(None, "job_id", "kind"),
        Index(None, "kind", "recorded_at"),
    )

    id: Mapped[Id] = mapped_column(primary_key=True)
    kind: Mapped[Words]
    job_id: Mapped[Id | None]
    piece_id: Mapped[Id | None]
    chain: Mapped[Words]
    seq: Mapped[Whole]
    at: Mapped[Instant | None]  # the device's word for when; absent when it gave none
    recorded_at: Mapped[Instant]
    by_id: Mapped[Id | None]  # absent only where the program itself wrote
    device: Mapped[Words | None]
    body_digest: Mapped[Digest]
    previous_digest: Mapped[Digest]
    digest: Mapped[Digest]

    @property
    def happened_at(self) -> datetime:
        """When it happened by the device's word, else when it was recorded."""
        return self.at or self.recorded_at


class EntryCorrects(Base):
    """An entry that this one corrects or revises; covered by the entry's own digest."""

    __tablename__ = "entry_corrects"
    __table_args__ = recorded_args(Index(None, "corrects_id"))

    entry_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"), primary_key=True)
    corrects_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"), primary_key=True)


class BodyHead(Body, Base):
    """Version and salt of an entry's body. The salt keeps an erased body from being guessed from its digest."""

    __tablename__ = "body_head"

    version: Mapped[Whole]
    salt: Mapped[Words]


class Photo(Base):
    """A photo whose bytes are in the photos folder under this hash."""

    __tablename__ = "photo"
    __table_args__ = plain_args(CheckConstraint("bytes > 0", name="bytes_positive"))

    sha256: Mapped[Digest] = mapped_column(primary_key=True)
    media_type: Mapped[Words]
    bytes: Mapped[Whole]
    width: Mapped[Whole]
    height: Mapped[Whole]
    recorded_at: Mapped[Instant]
    by_id: Mapped[Id | None]


class EntryPhoto(BodyRow, Base):
    """A photo that belongs to what an entry says."""

    __tablename__ = "entry_photo"
    __table_args__ = recorded_args(Index(None, "sha256"))

    sha256: Mapped[str] = mapped_column(DigestType, ForeignKey("photo.sha256"))
    slot: Mapped[Words]
    caption: Mapped[Words | None]


class Erasure(Body, Base):
    """Lets the body of another entry go; that entry's digest stays."""

    __tablename__ = "erasure"
    __table_args__ = recorded_args(UniqueConstraint("erased_id"))

    erased_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    reason: Mapped[Words]


class ErasureLeft(Body, Base):
    """What was left of an entry's body when the rest of it was let go; the latest one for an entry counts."""

    __tablename__ = "erasure_left"
    __table_args__ = recorded_args(Index(None, "left_id"))

    left_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    left_digest: Mapped[Digest | None]  # of the rows that are left; absent when none is
    reason: Mapped[Words]


class ErasedPhoto(BodyRow, Base):
    """A photo whose file was let go; its row, which says nothing of what it showed, stays."""

    __tablename__ = "erased_photo"
    __table_args__ = recorded_args(Index(None, "sha256"))

    sha256: Mapped[str] = mapped_column(DigestType, ForeignKey("photo.sha256"))
    reason: Mapped[Words]


class SigningKey(Body, Base):
    """The public half of a key that certificates are signed with, as its X.509 certificate (PEM)."""

    __tablename__ = "signing_key"
    __table_args__ = recorded_args(UniqueConstraint("fingerprint"))

    fingerprint: Mapped[Digest]  # SHA-256 of the certificate's DER form
    certificate: Mapped[Words]


class LaptopStart(Body, Base):
    """A laptop that begins to write chains of its own, and the heads of the chains it found when it began."""

    __tablename__ = "laptop_start"
    __table_args__ = recorded_args(UniqueConstraint("laptop_id"))

    laptop_id: Mapped[Id]
    public_key: Mapped[Words]  # Ed25519 (RFC 8032), 64 hexadecimal digits


class LaptopFoundHead(BodyRow, Base):
    """One chain head found by a laptop that began on a restored copy."""

    __tablename__ = "laptop_found_head"

    chain: Mapped[Words]
    seq: Mapped[Whole]
    digest: Mapped[Digest]


class ChainHead(Base):
    """The last entry of a chain; locked before the next is written. Not recorded: it moves."""

    __tablename__ = "chain_head"
    __table_args__ = plain_args()

    chain: Mapped[Words] = mapped_column(primary_key=True)
    seq: Mapped[Whole]
    digest: Mapped[Digest]


class FormPost(Base):
    """A form that was saved, with the answer it got, so that a repeat gets the same one."""

    __tablename__ = "form_post"
    __table_args__ = plain_args()

    id: Mapped[Id] = mapped_column(primary_key=True)
    by_id: Mapped[Id | None]
    fingerprint: Mapped[Digest]
    status: Mapped[Whole | None]
    location: Mapped[Words | None]
    recorded_at: Mapped[Instant]


class Setting(Base):
    """A setting of this laptop; never travels."""

    __tablename__ = "setting"
    __table_args__ = plain_args()

    name: Mapped[str] = mapped_column(WordsType, primary_key=True)
    value: Mapped[Words]
