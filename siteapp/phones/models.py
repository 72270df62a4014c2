"""What phones said, and this laptop's addresses over time. Ordinary rows that never travel."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, plain_args
from siteapp.store.columns import Id, Instant, Whole, Words

MOST = 10_000


class Phone(Base):
    """What one device last said is waiting on it.

    A browser keeps its things under the address it reached the laptop by, so the same phone is another device under
    another address, with things waiting of its own.
    """

    __tablename__ = "phone"
    __table_args__ = plain_args(
        CheckConstraint(f"waiting >= 0 AND waiting <= {MOST}", name="waiting_range"),
        CheckConstraint(f"look >= 0 AND look <= {MOST}", name="look_range"),
        Index(None, "seen_at"),
    )

    device: Mapped[Words] = mapped_column(primary_key=True)
    person_id: Mapped[Id]  # who was last signed in on it
    host: Mapped[Words]  # the address it came by, without the port
    waiting: Mapped[Whole]
    look: Mapped[Whole]  # of what waits, how many need a look by a person
    seen_at: Mapped[Instant]


class LanAddress(Base):
    """A stretch of time in which a laptop had an address that phones can reach."""

    __tablename__ = "lan_address"
    __table_args__ = plain_args()

    laptop_id: Mapped[Id] = mapped_column(primary_key=True)
    address: Mapped[Words] = mapped_column(primary_key=True)
    since_at: Mapped[Instant] = mapped_column(primary_key=True)
    rank: Mapped[Whole]  # 0 is the one to show first
    gone_at: Mapped[Instant | None]  # when it was noticed to be gone; absent while it is there
