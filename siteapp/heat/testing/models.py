"""The heat test: begun (`heat_test`), read (`heat_readings`, `heat_log`), what happened (`heat_event`), its end.

Temperatures in °C, times in minutes from when the fire was lit. All but the first name their test.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from siteapp.store.base import Base, Body, BodyRow, recorded_args
from siteapp.store.columns import Figure, Flag, IdType, Words, WordsType

FACE, BACK, BOND, ANCHOR = "face", "back", "bond", "anchor"
SPOTS = (FACE, BACK, BOND, ANCHOR)
RATED, NOT_RATED, NOT_KNOWN = "rated output", "less than rated", "not known"
OUTPUTS = (RATED, NOT_RATED, NOT_KNOWN)
REFUELLED, SHUT_DOWN, SLIPPED, OTHER = "refuelled", "shut down", "probe slipped", "other"
HAPPENED = (REFUELLED, SHUT_DOWN, SLIPPED, OTHER)


class HeatTest(Body, Base):
    """A fire with the temperatures of the piece logged; corrections of it change no id."""

    __tablename__ = "heat_test"
    __table_args__ = recorded_args(
        CheckConstraint("output IN ('rated output', 'less than rated', 'not known')", name="output_known"),
        CheckConstraint("margin_c >= 0", name="margin_not_negative"),
    )

    lit_at: Mapped[Words]  # instant, ISO 8601 in UTC
    fuel: Mapped[Words | None]  # what was burnt, how dry, how much a charge
    by_hand: Mapped[Flag | None]  # whether somebody puts the fuel on
    output: Mapped[Words | None]
    output_from: Mapped[Words | None]  # how that is known
    room_c: Mapped[Figure | None]
    hottest_room_c: Mapped[Figure | None]
    hottest_from: Mapped[Words | None]  # why no room there gets hotter
    margin_c: Mapped[Figure]
    watched_by: Mapped[Words | None]  # who stays with the fire
    note: Mapped[Words | None]


class HeatProbe(BodyRow, Base):
    """One probe. Its spot on the photo is the mark of the same number (`marks.PhotoMark`) in the entry's body."""

    __tablename__ = "heat_probe"
    __table_args__ = recorded_args(
        CheckConstraint("spot IN ('face', 'back', 'bond', 'anchor')", name="spot_known"),
        CheckConstraint("error_c >= 0", name="error_not_negative"),
    )

    label: Mapped[Words]
    spot: Mapped[Words]
    placed: Mapped[Words | None]  # where there, in words
    thermometer: Mapped[Words | None]
    error_c: Mapped[Figure]


class HeatReadings(Body, Base):
    """Readings typed or pasted together."""

    __tablename__ = "heat_readings"
    __table_args__ = recorded_args(Index(None, "test_id"))

    test_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    note: Mapped[Words | None]


class HeatReading(BodyRow, Base):
    """One reading of one probe."""

    __tablename__ = "heat_reading"
    __table_args__ = recorded_args()

    probe: Mapped[Words]
    minutes: Mapped[Figure]
    surface_c: Mapped[Figure]


class HeatLog(Body, Base):
    """A logger's file as it came, and what was read out of it then."""

    __tablename__ = "heat_log"
    __table_args__ = recorded_args(Index(None, "test_id"))

    test_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    file_name: Mapped[Words]
    # Half a megabyte that pages do not show: read when somebody asks for it.
    text: Mapped[str] = mapped_column(WordsType, deferred=True)
    points: Mapped[Words]  # JSON: {probe: [[minutes, °C], …]}
    left_out: Mapped[Words | None]  # lines that hold no reading, and why
    reader: Mapped[Words]  # name and version of what read it


class HeatEvent(Body, Base):
    """Something that happened while the test ran."""

    __tablename__ = "heat_event"
    __table_args__ = recorded_args(
        Index(None, "test_id"),
        CheckConstraint("what IN ('refuelled', 'shut down', 'probe slipped', 'other')", name="what_known"),
    )

    test_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    what: Mapped[Words]
    minutes: Mapped[Figure]
    probe: Mapped[Words | None]  # which one slipped
    note: Mapped[Words | None]


class HeatTestEnd(Body, Base):
    """A heat test ends, with what it came to."""

    __tablename__ = "heat_test_end"
    __table_args__ = recorded_args(
        Index(None, "test_id"),
        CheckConstraint("verdict IN ('met', 'not met', 'cannot tell')", name="verdict_known"),
    )

    test_id: Mapped[str] = mapped_column(IdType, ForeignKey("entry.id"))
    verdict: Mapped[Words]
    outcome: Mapped[Words]  # JSON of what was worked out then
    calculation: Mapped[Words]
    note: Mapped[Words | None]
