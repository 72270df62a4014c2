"""The plan of the lift, read from what is recorded now and worked out anew each time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.checks.calculations import WorkedOut
from siteapp.dispatch.services import crate_now
from siteapp.hanging.lifting.models import NO_AID, LiftPlan, LiftStep
from siteapp.pieces.models import WEIGHED
from siteapp.pieces.weighing.services import weight_now
from siteapp.store.revisions import Version, versions
from siteapp.trade import lifting
from siteapp.trade.errors import TradeError
from siteapp.trade.findings import Findings
from siteapp.trade.lifting.steps import LiftStep as Step
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.i18n import _, ngettext

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.dispatch.models import Crate
    from siteapp.pieces.services import PieceNow
    from siteapp.pieces.weighing.services import WeightNow
    from siteapp.trade.lifting.figures import Zone


@dataclass(frozen=True)
class LiftNow:
    """The plan as it was made last, the weights as they are now, and what they come to.

    `found` is None with a `problem` in words where figures cannot be worked with. `apart` where two machines planned
    it apart and nobody has chosen: then it is never met.
    """

    version: Version[LiftPlan]
    steps: tuple[LiftStep, ...]
    weight: WeightNow
    crate: Crate | None
    found: lifting.Plan | None
    worked: WorkedOut
    problem: str | None
    apart: bool


def plans(session: Session, piece_id: str) -> list[Version[LiftPlan]]:
    """The plans that stand, the latest first: more than one where two machines made one apart."""
    return versions(session, LiftPlan, piece_id=piece_id)


def steps_of(session: Session, entry_id: str) -> tuple[LiftStep, ...]:
    """The steps of one plan, in order."""
    query = select(LiftStep).where(LiftStep.entry_id == entry_id)
    return tuple(session.scalars(query.order_by(LiftStep.position)))


def lift_now(session: Session, piece: PieceNow) -> LiftNow | None:
    """The plan as it stands now; None when nobody has made one."""
    stand = plans(session, piece.piece_id)
    if not stand:
        return None
    version = stand[0]
    steps = steps_of(session, version.entry.id)
    weight = weight_now(session, piece)
    described = crate_now(session, piece.piece_id)
    crate = described[1] if described else None
    found, problem = _found(version.said, steps, weight, crate)
    apart = len(stand) > 1
    worked = _worked(version.said, steps, weight, crate, found, problem, apart=apart)
    return LiftNow(version, steps, weight, crate, found, worked, problem, apart)


def work_out(session: Session, piece: PieceNow) -> WorkedOut:
    """What the plan comes to now; without one, *cannot tell*."""
    now = lift_now(session, piece)
    if now is None:
        return WorkedOut(CANNOT_TELL, {}, {"why": [_("nobody has planned the lift")]})
    return now.worked


def people_of(text: str | None) -> tuple[str, ...]:
    """The names in a field of one line a name."""
    return tuple(line.strip() for line in (text or "").splitlines() if line.strip())


def step_of(row: LiftStep, said: LiftPlan) -> Step:
    """One step as the arithmetic takes it. Raises TradeError for what cannot be."""
    return Step(
        row.step,  # type: ignore[arg-type] # words of the table's own constraints, here and below
        lifting=row.people,
        guiding=_hands_free(said),
        zones=_zones(row.zone_from, row.zone_to),
        reach=row.reach,  # type: ignore[arg-type]
        standing=row.standing,  # type: ignore[arg-type]
        lower=row.lower,
        carry_m=row.carry_m,
        aid=None if row.aid == NO_AID else row.aid,  # type: ignore[arg-type]
        aid_rated_kg=row.rated_kg,
        in_crate=bool(row.in_crate),
    )


def _hands_free(said: LiftPlan) -> int | None:
    """How many guide and call without lifting; None while nobody is named to guide, who may be whoever calls."""
    guides = people_of(said.guides)
    return len({name.casefold() for name in (*guides, *people_of(said.calls))}) if guides else None


def _zones(one: str | None, other: str | None) -> tuple[Zone, ...]:
    """Every zone that the hands pass between two; none when one of the two is not said: nobody knows then."""
    known = list(lifting.ZONES)
    if one not in known or other not in known:
        return ()
    first, last = sorted((known.index(one), known.index(other)))  # type: ignore[arg-type] # both are among them
    return tuple(known[first : last + 1])


def _found(
    said: LiftPlan, steps: Sequence[LiftStep], weight: WeightNow, crate: Crate | None
) -> tuple[lifting.Plan | None, str | None]:
    try:
        found = lifting.lift_plan(
            weight.mass_kg,
            [step_of(row, said) for row in steps],
            weighed=weight.origin == WEIGHED,
            crate_kg=crate.gross_kg if crate else None,
            crate_weighed=bool(crate and crate.gross_origin == WEIGHED),
        )
    except TradeError as error:
        return None, str(error)
    return found, None


def _worked(
    said: LiftPlan,
    steps: Sequence[LiftStep],
    weight: WeightNow,
    crate: Crate | None,
    found: lifting.Plan | None,
    problem: str | None,
    *,
    apart: bool,
) -> WorkedOut:
    findings = Findings()
    if problem:
        findings.cannot_tell(problem)
    if apart:
        findings.cannot_tell(_("two machines planned the lift apart, and nobody has chosen yet"))
    _named(findings, said, steps)
    both = {found.verdict if found else CANNOT_TELL, findings.verdict}
    verdict = next(answer for answer in (NOT_MET, CANNOT_TELL, MET) if answer in both)
    inputs: dict[str, Any] = {
        "mass_kg": weight.mass_kg,
        "mass_origin": weight.origin,
        "gross_kg": crate.gross_kg if crate else None,
        "gross_origin": crate.gross_origin if crate else None,
        "calls": said.calls,
        "guides": ", ".join(people_of(said.guides)) or None,
        "lifters": ", ".join(people_of(said.lifters)) or None,
        "stop_call": said.stop_call,
        "steps": [row.step for row in steps],
    }
    outcome: dict[str, Any] = {
        "people": found.people if found else None,
        "aids": list(found.aids) if found and found.aids else None,
        "why": [*(found.reasons if found else ()), *findings.reasons],
        "source": found.source if found else None,
    }
    return WorkedOut(
        verdict,
        {name: value for name, value in inputs.items() if value is not None},
        {name: value for name, value in outcome.items() if value is not None},
    )


def _named(findings: Findings, said: LiftPlan, steps: Sequence[LiftStep]) -> None:
    """Who calls and who lifts are named, and how everything is stopped: ours."""
    if not said.calls:
        findings.cannot_tell(_("who calls the moves is not named"))
    if not said.stop_call:
        findings.cannot_tell(_("the word on which everything stops is not agreed"))
    if not said.lift_points:
        findings.cannot_tell(_("where it is taken hold of is not said"))
    named = len(people_of(said.lifters))
    most = max((row.people or 0 for row in steps), default=0)
    if not named and most:
        findings.cannot_tell(_("who lifts is not named"))
    elif named < most:
        findings.not_met(
            ngettext(
                "%(most)s lift in one step, %(num)s is named",
                "%(most)s lift in one step, %(num)s are named",
                named,
                most=most,
            )
        )
