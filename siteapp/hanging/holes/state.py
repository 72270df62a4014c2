"""Where the holes are by what is recorded now, and whether the piece goes on them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.checks.calculations import WorkedOut
from siteapp.hanging.holes.models import HEIGHT, TAPE, HoleReading, HoleSurvey
from siteapp.pieces.points.reading import holes, places
from siteapp.store.revisions import Version, versions
from siteapp.trade.errors import TradeError
from siteapp.trade.findings import Findings
from siteapp.trade.survey.readings import FEWEST_POINTS
from siteapp.trade.verdicts import CANNOT_TELL, NOT_MET
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.trade.survey import Adjustment, Fit, OfferUp, Reading


@dataclass(frozen=True)
class HolesNow:
    """The round of readings that stands, and what it comes to with the particulars as they are.

    `problem` says in words why nothing could be worked out; then `adjustment`, `fit` and `offered` are None.
    `missing` are readings without which a slip would not be named.
    """

    version: Version[HoleSurvey]
    readings: tuple[HoleReading, ...]
    adjustment: Adjustment | None
    fit: Fit | None
    offered: OfferUp | None
    worked: WorkedOut
    problem: str | None
    missing: tuple[Reading, ...] = ()


@dataclass
class _Found:
    """What was worked out so far."""

    adjustment: Adjustment | None = None
    fit: Fit | None = None
    offered: OfferUp | None = None
    problem: str | None = None
    missing: tuple[Reading, ...] = ()
    findings: Findings = field(default_factory=Findings)


def rounds(session: Session, piece_id: str) -> list[Version[HoleSurvey]]:
    """The rounds of readings that stand, the latest first."""
    return versions(session, HoleSurvey, piece_id=piece_id)


def readings_of(session: Session, survey_id: str) -> tuple[HoleReading, ...]:
    """The readings of one round, in the order they were typed in."""
    query = select(HoleReading).where(HoleReading.entry_id == survey_id).order_by(HoleReading.position)
    return tuple(session.scalars(query))


def holes_now(session: Session, piece: PieceNow) -> HolesNow | None:
    """What the latest round comes to, worked out now; None where nothing was read yet."""
    found = rounds(session, piece.piece_id)
    if not found:
        return None
    return come_to(piece, found[0], readings_of(session, found[0].entry.id))


def work_out(session: Session, piece: PieceNow) -> WorkedOut:
    """Whether the piece goes on the holes as drilled, for the checks that ask it."""
    now = holes_now(session, piece)
    if now is None:
        return WorkedOut(CANNOT_TELL, {"readings": 0}, {"why": [_("The holes were not measured yet.")]})
    return now.worked


def come_to(piece: PieceNow, version: Version[HoleSurvey], read: Sequence[HoleReading]) -> HolesNow:
    """What a round of readings comes to with the piece's points as they are now."""
    found = _Found()
    try:
        _measure(piece, read, found)
    except TradeError as refused:
        found.problem = str(refused)
        found.findings.cannot_tell(found.problem)
    _judge(version.said, found)
    worked = WorkedOut(found.findings.verdict, _inputs(version, read), _outcome(found))
    return HolesNow(
        version,
        tuple(read),
        found.adjustment,
        found.fit,
        found.offered,
        worked,
        found.problem,
        found.missing,
    )


def reading_of(row: HoleReading) -> Reading:
    """A recorded reading as `trade.survey` takes it."""
    from siteapp.trade.survey import HeightReading, TapeReading

    if row.what == TAPE:
        return TapeReading(row.a, row.b or "", row.mm, from_100=row.from_mm is not None)
    return HeightReading(row.a, row.mm)


def _measure(piece: PieceNow, read: Sequence[HoleReading], found: _Found) -> None:
    from siteapp.trade import survey

    planned = places(piece)
    readings = [reading_of(row) for row in read]
    found.adjustment = survey.adjust(readings, planned)
    found.missing = survey.what_is_missing(found.adjustment.readings, planned)
    if len(found.adjustment.points) > 1:
        found.fit = survey.best_fit(planned, found.adjustment.points)
    for point in piece.hanging_points:
        if point.hole_mm is None or point.bolt_mm is None:
            found.findings.cannot_tell(_("%(label)s: hole or bolt is not given in the particulars.", label=point.label))
    there = holes(piece)
    if len(there) >= FEWEST_POINTS:
        found.offered = survey.offer_up(there, found.adjustment.points, covariance=found.adjustment.covariance)


def _judge(said: HoleSurvey, found: _Found) -> None:
    """The reasons against *met*: first what keeps anybody from telling, then what was found."""
    findings = found.findings
    if said.mirrored:
        findings.not_met(_("Facing the wall, the holes run the other way round: the template was held back to front."))
    elif said.mirrored is None:
        findings.cannot_tell(_("Nobody said whether the holes run the same way round as the points, facing the wall."))
    if found.missing:
        findings.cannot_tell(_("There are not enough readings to name a slip of 15 mm in any of them."))
    if found.adjustment is not None:
        _judge_readings(found.adjustment, found.offered, findings)


def _judge_readings(adjustment: Adjustment, offered: OfferUp | None, findings: Findings) -> None:
    if adjustment.unnamed or adjustment.loose or adjustment.misplaced:
        for note in adjustment.notes:
            findings.cannot_tell(note)
    # Readings that contradict one another say nothing of the wall, for or against.
    if offered is None or adjustment.unnamed:
        return
    add = findings.not_met if offered.verdict == NOT_MET else findings.cannot_tell
    for reason in offered.reasons:
        add(reason)


def _inputs(version: Version[HoleSurvey], read: Sequence[HoleReading]) -> dict[str, Any]:
    return {
        "survey": version.entry.id,
        "tapes": sum(row.what == TAPE for row in read),
        "heights": sum(row.what == HEIGHT for row in read),
        "caller": version.said.caller,
    }


def _outcome(found: _Found) -> dict[str, Any]:
    offered, adjustment = found.offered, found.adjustment
    told: dict[str, Any] = {"why": list(found.findings.reasons)}
    if adjustment is not None:
        told["again"] = [words_of(reading) for reading in adjustment.suspects]
    if offered is not None and offered.least_slack_mm is not None:
        told |= {
            "tightest": offered.tightest,
            "least_slack_mm": round(offered.least_slack_mm, 2),
            "least_slack_low_mm": _rounded(offered.least_slack_low_mm),
            "seated_rotation_deg": _rounded(offered.seated_rotation_deg),
            "source": offered.source,
        }
    return told


def words_of(reading: Reading) -> str:
    """A reading as it is called out, in the page's words."""
    from siteapp.trade.survey import HeightReading, TapeReading

    if isinstance(reading, TapeReading):
        words = _("%(a)s to %(b)s, from 100") if reading.from_100 else _("%(a)s to %(b)s")
        return f"{words % {'a': reading.a, 'b': reading.b}}: {written(reading.distance_mm, 1)} mm"
    if isinstance(reading, HeightReading):
        return _("height of %(a)s: %(mm)s mm", a=reading.label, mm=written(reading.height_mm, 1))
    return _("%(a)s level with %(b)s", a=reading.a, b=reading.b)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)
