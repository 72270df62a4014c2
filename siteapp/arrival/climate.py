"""The climate before a piece is unwrapped: what was read, how long the crate asks to wait, and what they come to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING, TypedDict

from siteapp.store.revisions import believed
from siteapp.trade.climate import (
    AIR_ERROR_C,
    HUMIDITY_ERROR,
    SURFACE_ERROR_C,
    UNWRAPPING_ASSUMPTIONS,
    safe_to_unwrap,
)
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.parts import when

if TYPE_CHECKING:
    from datetime import datetime

    from siteapp.arrival.models import Arrival
    from siteapp.dispatch.models import Crate
    from siteapp.store.models import Entry
    from siteapp.store.revisions import Version

CALCULATION = "safe_to_unwrap 1"


class UnwrapFacts(TypedDict):
    """What was read: the coldest part of the piece and the air in °C, relative humidity in %; None where it was not."""

    piece_c: float | None
    air_c: float | None
    relative_humidity: float | None
    instrument: str | None


@dataclass(frozen=True)
class Wait:
    """How long the crate's record asks to wait after the arrival, in h."""

    since: datetime
    hours: float

    @property
    def until(self) -> datetime:
        """Not unwrapped before this, UTC."""
        return self.since + timedelta(hours=self.hours)


@dataclass(frozen=True)
class Outcome:
    """What a reading comes to, as it is kept: figures in °C, the verdict and why, the sources."""

    dew_point_c: float | None
    margin_c: float | None
    margin_low_c: float | None
    verdict: str
    reasons: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Told:
    """When something happened as a device told it, if it did, and when the laptop recorded it; instants in UTC."""

    device: str | None
    told: datetime | None
    recorded: datetime

    @classmethod
    def by(cls, entry: Entry) -> Told:
        """What an entry says of it."""
        return cls(entry.device, entry.at, entry.recorded_at)


def wait_after(arrived: Version[Arrival], crate: Crate | None) -> Wait | None:
    """How long a piece waits in its crate after an arrival; None when the crate's record asks for no time."""
    if crate is None or not crate.acclimatise_hours:
        return None
    return Wait(arrived.at, crate.acclimatise_hours)


def wait_as_read(arrived: Version[Arrival], crate: Crate | None, read: Told) -> tuple[Wait | None, datetime]:
    """The wait after an arrival, and the instant of a reading to hold it against.

    One device's clock measures the time between two things that it told, however late it sent them and however wrong
    it goes. Of two devices each is believed only where it fits when the laptop recorded it.
    """
    first = Told.by(arrived.first)
    wait = wait_after(arrived, crate)
    if wait and first.device and first.device == read.device and first.told and read.told:
        return replace(wait, since=first.told), read.told
    return wait, believed(read.told, read.recorded)


def work_out(facts: UnwrapFacts, wait: Wait | None, at: datetime) -> Outcome:
    """Whether the piece may be unwrapped `at`: by `trade.climate.safe_to_unwrap`, an instrument and the crate's time.

    Ours beside the calculation: figures without their instrument count as an estimate, which is never *met*; and
    before the time that the crate's record asks for is over it is *not met*, however warm the surface reads, since
    what lies under it warms later. Raises TradeError for figures that cannot be.
    """
    found = safe_to_unwrap(facts["piece_c"], facts["air_c"], facts["relative_humidity"])
    verdict: str = found.verdict
    reasons = list(found.reasons)
    if facts["instrument"] is None:
        reasons.append(_("no instrument is named, so the figures count as an estimate"))
        verdict = CANNOT_TELL if verdict == MET else verdict
    if wait is not None and at < wait.until:
        words = _(
            "the crate's record asks for %(hours)s h to acclimatise, which are over at %(until)s",
            hours=written(wait.hours),
            until=when(wait.until),
        )
        reasons.append(words)
        verdict = NOT_MET
    return Outcome(found.dew_point_c, found.margin_c, found.margin_low_c, verdict, tuple(reasons), found.source)


def assumptions() -> tuple[str, ...]:
    """What was taken for granted when a reading was worked out."""
    errors = _(
        "the instrument may be off by ±%(air)s °C (air), ±%(humidity)s %% (humidity), ±%(surface)s °C (surface)",
        air=f"{AIR_ERROR_C:g}",
        humidity=f"{HUMIDITY_ERROR:g}",
        surface=f"{SURFACE_ERROR_C:g}",
    )
    return (*(_(line) for line in UNWRAPPING_ASSUMPTIONS), errors)
