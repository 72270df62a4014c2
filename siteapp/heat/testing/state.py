"""Where heat tests stand: read from what is recorded, worked out anew each time."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.heat.appliance.services import appliance_now
from siteapp.heat.evidence.services import limits_now
from siteapp.heat.testing.models import (
    ANCHOR,
    BACK,
    BOND,
    FACE,
    RATED,
    REFUELLED,
    SHUT_DOWN,
    SLIPPED,
    HeatEvent,
    HeatLog,
    HeatProbe,
    HeatReading,
    HeatReadings,
    HeatTest,
    HeatTestEnd,
)
from siteapp.marks.services import marks_of
from siteapp.store.revisions import versions
from siteapp.trade import heat
from siteapp.trade.verdicts import CANNOT_TELL, MET
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from siteapp.heat.evidence.services import LimitsNow
    from siteapp.marks.models import PhotoMark
    from siteapp.pieces.services import PieceNow
    from siteapp.store.models import Entry
    from siteapp.store.revisions import Version

CALCULATION = "heat_verdict 1"
# Which parts a probe stands for by where it sits.
ANSWERS_FOR: Mapping[str, tuple[str, ...]] = {
    FACE: ("laminate", "coat"),
    BACK: ("laminate", "foam"),
    BOND: ("bond",),
    ANCHOR: ("anchor resin",),
}


@dataclass(frozen=True)
class Taken:
    """Readings typed together, with their rows."""

    version: Version[HeatReadings]
    rows: tuple[HeatReading, ...]


@dataclass(frozen=True)
class HeatTestNow:
    """One heat test with everything that was recorded of it, oldest first."""

    begun: Version[HeatTest]
    probes: tuple[HeatProbe, ...]
    marks: tuple[PhotoMark, ...]
    taken: tuple[Taken, ...]
    logs: tuple[Version[HeatLog], ...]
    events: tuple[Version[HeatEvent], ...]
    end: Version[HeatTestEnd] | None

    @property
    def test_id(self) -> str:
        """The id of the entry that began it; a correction of that changes no id."""
        return self.begun.first.id

    @property
    def lit_at(self) -> datetime:
        """When the fire was lit, UTC."""
        return datetime.fromisoformat(self.begun.said.lit_at).astimezone(UTC)

    def points(self) -> dict[str, list[tuple[float, float]]]:
        """(minutes, °C) by probe in order of time, without those of a probe after it slipped."""
        found: dict[str, list[tuple[float, float]]] = {probe.label: [] for probe in self.probes}
        for one in self.taken:
            for row in one.rows:
                found.setdefault(row.probe, []).append((row.minutes, row.surface_c))
        for log in self.logs:
            for label, points in json.loads(log.said.points).items():
                found.setdefault(label, []).extend((at, celsius) for at, celsius in points)
        slipped: dict[str | None, float] = {}
        for event in self.events:  # in order of time, so the first slip of a probe stays
            if event.said.what == SLIPPED:
                slipped.setdefault(event.said.probe, event.said.minutes)
        return {
            label: sorted(one for one in told if label not in slipped or one[0] < slipped[label])
            for label, told in found.items()
        }

    def minutes_of(self, what: str) -> list[float]:
        """When something happened, in order."""
        return sorted(one.said.minutes for one in self.events if one.said.what == what)

    @property
    def shut_down(self) -> float | None:
        """When the fire was shut down, by the first word of it."""
        return next(iter(self.minutes_of(SHUT_DOWN)), None)


@dataclass(frozen=True)
class Judged:
    """What a test comes to now: each probe's readings and verdict, which probe stands in for which part."""

    verdict: str
    stop: bool
    reasons: tuple[str, ...]
    tests: Mapping[str, heat.HeatTest]
    each: Mapping[str, heat.HeatVerdict]
    stands_in: Mapping[str, str]
    limits: Mapping[str, float | None]

    def outcome(self) -> dict[str, Any]:
        """As plain JSON values, for what is kept when the test ends."""
        probes = {
            label: {
                "peak_c": test.peak_c,
                "plateau_c": test.plateau_c,
                "plateau_minutes": test.plateau_minutes,
                "expected_c": self.each[label].expected_c if label in self.each else None,
                "weakest": self.each[label].weakest if label in self.each else None,
                "limit_c": self.each[label].limit_c if label in self.each else None,
                "note": test.note,
            }
            for label, test in self.tests.items()
        }
        return {"probes": probes, "reasons": list(self.reasons), "limits": dict(self.limits)}


@dataclass(frozen=True)
class FireState:
    """Whether the heat test of a piece is met now; `test` is the one that says so, None where none has ended."""

    verdict: str
    reasons: tuple[str, ...]
    test: HeatTestNow | None


def heat_tests(session: Session, piece_id: str) -> tuple[HeatTestNow, ...]:
    """The heat tests of a piece that stand, the latest first."""
    begun = versions(session, HeatTest, piece_id=piece_id)
    if not begun:
        return ()
    readings = versions(session, HeatReadings, piece_id=piece_id)
    logs = versions(session, HeatLog, piece_id=piece_id)
    events = versions(session, HeatEvent, piece_id=piece_id)
    ends = versions(session, HeatTestEnd, piece_id=piece_id)
    rows = _rows(session, HeatReading, [one.entry.id for one in readings])
    probes = _rows(session, HeatProbe, [one.entry.id for one in begun])
    marks = marks_of(session, [one.entry.id for one in begun])
    found = []
    for one in begun:
        here = one.first.id
        found.append(
            HeatTestNow(
                begun=one,
                probes=tuple(probes.get(one.entry.id, ())),
                marks=marks[one.entry.id],
                taken=tuple(
                    Taken(told, tuple(rows.get(told.entry.id, ())))
                    for told in reversed(readings)
                    if told.said.test_id == here
                ),
                logs=tuple(told for told in reversed(logs) if told.said.test_id == here),
                events=tuple(
                    sorted((told for told in events if told.said.test_id == here), key=lambda told: told.said.minutes)
                ),
                end=next((told for told in ends if told.said.test_id == here), None),
            )
        )
    return tuple(found)


def heat_test_now(session: Session, piece_id: str, test_id: str) -> HeatTestNow | None:
    """One heat test of a piece, or None when it has no such."""
    return next((one for one in heat_tests(session, piece_id) if one.test_id == test_id), None)


def judged(test: HeatTestNow, limits: LimitsNow) -> Judged:
    """What a test comes to, held against the limits as they stand."""
    said = test.begun.said
    refuelled = test.minutes_of(REFUELLED)
    by_hand = said.by_hand
    told = {
        label: heat.heat_test(
            points, refuelled_min=refuelled if by_hand or refuelled else None, shut_down_min=test.shut_down
        )
        for label, points in test.points().items()
    }
    spots = {probe.label: ANSWERS_FOR[probe.spot] for probe in test.probes}
    errors = {probe.label: probe.error_c for probe in test.probes}
    verdict, each, stands_in = heat.heat_verdicts(
        told,
        spots,
        limits.known,
        room_now_c=said.room_c,
        hottest_room_c=said.hottest_room_c,
        margin_c=said.margin_c,
        rated_output=None if said.output in {None, "not known"} else said.output == RATED,
        needs_shut_down=True,
        errors_c=errors,
    )
    reasons = [f"{label}: {reason}" for label, one in each.items() for reason in one.reasons]
    if not limits.rows:
        reasons.append(_("Nobody has said how warm the parts of the piece may get."))
    doubts = []
    if by_hand is None:
        doubts.append(_("Whether somebody puts fuel on by hand is not said."))
    if limits.estimated:
        names = ", ".join(limits.estimated)
        doubts.append(
            _("The limit of %(parts)s is an estimate: it may stop a fire, and lets none be lit.", parts=names)
        )
    if limits.apart:
        doubts.append(_("Two machines recorded the limits apart, and nobody has chosen yet."))
    if doubts and verdict == MET:
        verdict = CANNOT_TELL
    stop = any(one.stop for one in each.values())
    return Judged(verdict, stop, (*reasons, *doubts), told, each, stands_in, limits.known)


def fire_state(session: Session, piece: PieceNow) -> FireState:
    """Whether the heat test of a piece is met: the latest that has ended, worked out anew from what is recorded.

    An appliance described after it makes it *cannot tell*: it may be another fire.
    """
    ended = [one for one in heat_tests(session, piece.piece_id) if one.end is not None]
    if not ended:
        return FireState(CANNOT_TELL, (_("No heat test has been made and recorded."),), None)
    last = max(ended, key=lambda one: one.lit_at)
    found = judged(last, limits_now(session, piece.piece_id))
    described = appliance_now(session, piece.piece_id)
    if found.verdict == MET and described and last.end and described.entry.recorded_at > last.end.entry.recorded_at:
        return FireState(CANNOT_TELL, (_("The appliance was described again after the heat test."),), last)
    return FireState(found.verdict, found.reasons, last)


def since(test: HeatTestNow, at: datetime) -> float:
    """Minutes from lighting to an instant."""
    return (at - test.lit_at) / timedelta(minutes=1)


def entries_of(test: HeatTestNow) -> list[Entry]:
    """The entries that a test's page names people of."""
    told = [
        test.begun,
        *(one.version for one in test.taken),
        *test.logs,
        *test.events,
        *([test.end] if test.end else []),
    ]
    return [one.entry for one in told]


def _rows(session: Session, model: type[Any], entry_ids: Sequence[str]) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    query = select(model).where(model.entry_id.in_(tuple(entry_ids))).order_by(model.entry_id, model.position)
    for row in session.scalars(query):
        found.setdefault(row.entry_id, []).append(row)
    return found
