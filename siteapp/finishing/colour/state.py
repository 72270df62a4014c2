"""Where colour and sheen stand against each sample: read from what is recorded, worked out anew each time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.finishing.colour.models import AnsweredReading, ColourAnswer, ColourReading, ColourSample
from siteapp.finishing.names import plain
from siteapp.store.revisions import versions
from siteapp.trade import colour
from siteapp.trade.heat import combine
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from siteapp.store.revisions import Version

CALCULATION = "colour_match 1"


@dataclass(frozen=True)
class ZoneNow:
    """One zone: its readings, its match and its sheen; None where none was read."""

    name: str
    readings: tuple[Version[ColourReading], ...]
    match: colour.Match | None
    gloss: colour.GlossMatch | None


@dataclass(frozen=True)
class ColourNow:
    """One sample with everything that was read against it, the client's answers the latest first."""

    version: Version[ColourSample]
    zones: tuple[ZoneNow, ...]
    pairs: tuple[colour.ZonePair, ...]
    answers: tuple[Version[ColourAnswer], ...]
    answered_on: frozenset[str]  # the readings that the latest answer was given on

    @property
    def sample(self) -> ColourSample:
        """What is said of the sample now."""
        return self.version.said

    @property
    def readings(self) -> tuple[Version[ColourReading], ...]:
        """All readings, zone by zone."""
        return tuple(one for zone in self.zones for one in zone.readings)

    @property
    def matches(self) -> list[colour.Match]:
        """The zones' matches."""
        return [zone.match for zone in self.zones if zone.match]

    @property
    def verdict(self) -> str:
        """The worst of all zones, between them, and of their sheen; *cannot tell* before anything was read."""
        told = [one.verdict for one in self.matches] + [pair.verdict for pair in self.pairs]
        told += [zone.gloss.verdict for zone in self.zones if zone.gloss]
        return combine(told)

    @property
    def reasons(self) -> tuple[str, ...]:
        """What stands against *met*, with its zone."""
        found = [
            f"{zone.name}: {why}"
            for zone in self.zones
            for one in (zone.match, zone.gloss)
            if one
            for why in one.reasons
        ]
        found += [f"{pair.zone} – {pair.other}: {why}" for pair in self.pairs for why in pair.reasons]
        return tuple(found) or (() if self.zones else (_("nothing was read yet"),))

    @property
    def worst(self) -> float | None:
        """ΔE2000 of the reading furthest off."""
        return max((one.worst for one in self.matches if one.worst is not None), default=None)

    @property
    def mean_delta_e(self) -> float | None:
        """ΔE2000 of the zone whose mean is furthest off."""
        return max((one.delta_e for one in self.matches if one.delta_e is not None), default=None)

    @property
    def gloss_difference(self) -> float | None:
        """The zones' largest difference in sheen, with its sign."""
        told = [zone.gloss.difference for zone in self.zones if zone.gloss and zone.gloss.difference is not None]
        return max(told, key=abs, default=None)

    @property
    def answer(self) -> Version[ColourAnswer] | None:
        """The latest answer."""
        return self.answers[0] if self.answers else None

    @property
    def answered_before(self) -> bool:
        """Whether readings came after the latest answer, or were put right since."""
        return self.answer is not None and self.answered_on != {one.entry.id for one in self.readings}


def colours(session: Session, piece_id: str) -> tuple[ColourNow, ...]:
    """Every sample of a piece that counts, in the order in which they came."""
    samples = [one for one in reversed(versions(session, ColourSample, piece_id=piece_id)) if not one.said.dropped]
    if not samples:
        return ()
    readings = list(reversed(versions(session, ColourReading, piece_id=piece_id)))
    answers = versions(session, ColourAnswer, piece_id=piece_id)
    query = select(AnsweredReading).where(AnsweredReading.entry_id.in_([one.entry.id for one in answers]))
    on: dict[str, set[str]] = {}
    for row in session.scalars(query):
        on.setdefault(row.entry_id, set()).add(row.reading_id)
    return tuple(_now(one, readings, answers, on) for one in samples)


def colour_now(session: Session, piece_id: str, sample_id: str) -> ColourNow | None:
    """One sample of a piece, or None when it has no such."""
    return next((one for one in colours(session, piece_id) if one.sample.sample_id == sample_id), None)


def reading_of(said: ColourSample | ColourReading, label: str = "") -> colour.Reading | None:
    """A colour as the trade's arithmetic takes it; None where none was read."""
    if said.l is None or said.a is None or said.b is None:
        return None
    return colour.Reading(colour.Lab(said.l, said.a, said.b), said.instrument, said.illuminant, said.observer, label)


def _now(
    sample: Version[ColourSample],
    readings: list[Version[ColourReading]],
    answers: list[Version[ColourAnswer]],
    on: Mapping[str, set[str]],
) -> ColourNow:
    here = sample.said.sample_id
    mine = [one for one in readings if one.said.sample_id == here]
    by_zone: dict[str, list[Version[ColourReading]]] = {}
    for one in mine:
        by_zone.setdefault(plain(one.said.zone), []).append(one)
    zones = tuple(_zone(sample.said, told) for told in by_zone.values())
    read = {zone.name: _readings(zone.readings) for zone in zones}
    pairs = colour.between_zones({name: told for name, told in read.items() if told}, sample.said.tolerance)
    said = tuple(one for one in answers if one.said.sample_id == here)
    return ColourNow(sample, zones, pairs, said, frozenset(on.get(said[0].entry.id, ()) if said else ()))


def _zone(sample: ColourSample, told: list[Version[ColourReading]]) -> ZoneNow:
    readings = _readings(told)
    found = colour.match(reading_of(sample), readings, sample.tolerance) if readings else None
    shine = [(one.said.gloss, one.said.gloss_deg) for one in told if one.said.gloss is not None and one.said.gloss_deg]
    reference = (sample.gloss, sample.gloss_deg) if sample.gloss is not None and sample.gloss_deg else None
    gloss = colour.gloss_match(reference, shine, sample.gloss_tolerance) if shine else None
    return ZoneNow(told[0].said.zone, tuple(told), found, gloss)


def _readings(told: list[Version[ColourReading]] | tuple[Version[ColourReading], ...]) -> list[colour.Reading]:
    found = [reading_of(one.said, f"{place}") for place, one in enumerate(told, 1)]
    return [one for one in found if one]
