"""People by revision, and what their signing in needs (ordinary rows that never travel)."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, plain_args, recorded_args
from siteapp.store.columns import Digest, Flag, Id, Instant, Whole, Words

MAKER = "maker"
FITTER = "fitter"
ROLES = (MAKER, FITTER)


class Person(Body, Base):
    """A person's name and role, as revised (entries of kind `person`)."""

    __tablename__ = "person"
    __table_args__ = recorded_args(
        Index(None, "person_id"),
        CheckConstraint("role IN ('maker', 'fitter')", name="role_known"),
    )

    person_id: Mapped[Id]
    name: Mapped[Words]
    role: Mapped[Words]
    active: Mapped[Flag]


class Credential(Base):
    """Hashes of a person's passphrase and day PIN."""

    __tablename__ = "credential"
    __table_args__ = plain_args()

    person_id: Mapped[Id] = mapped_column(primary_key=True)
    passphrase_hash: Mapped[Words]


class SignIn(Base):
    """One device on which a person is signed in."""

    __tablename__ = "sign_in"
    __table_args__ = plain_args(Index(None, "person_id"))

    token_hash: Mapped[Digest] = mapped_column(primary_key=True)
    person_id: Mapped[Id]
    device: Mapped[Words | None]
    started_at: Mapped[Instant]
    seen_at: Mapped[Instant]
    pin_hash: Mapped[Words | None]  # set for this device after the passphrase; good for the day
    pin_until: Mapped[Instant | None]


class SignInDelay(Base):
    """Failed tries of one account or one device, so that each next try waits longer."""

    __tablename__ = "sign_in_delay"
    __table_args__ = plain_args()

    about: Mapped[Words] = mapped_column(primary_key=True)
    failures: Mapped[Whole]
    last_at: Mapped[Instant]
