"""Getting it up, step by step, held against the published filters.

`filter_kg` and `team_capacity_kg` are the published figures (siteapp.trade.lifting.figures), given on from here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import in_range, whole_in_range
from siteapp.trade.findings import Findings
from siteapp.trade.lifting.figures import (
    BELOW_KNUCKLES,
    HEAVIEST_KG,
    LARGEST_TEAM,
    LONGEST_CARRY_M,
    REACHES,
    SOURCE,
    TEAM_SHARES,
    ZONES,
    filter_kg,
    team_capacity_kg,
)
from siteapp.trade.lifting.steps import CARRIES, KINDS, Kind, LiftStep
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.verdicts import Verdict


GUIDED: tuple[Kind, ...] = ("raise", "seat")
# Ours: no published figure covers holding still, so half of what may be lifted there, for a minute or two.
HOLDING_SHARE = 0.5

MOST_STEPS = 60

ASSUMPTIONS = (
    "the load is easily grasped with both hands, the footing is good, nobody twists or hurries",
    "no more than about 30 lifts an hour",
    "everybody who lifts is fit for it and well on the day; nobody new to it, pregnant or hurt",
    "everybody in a team can see or hear whoever guides, has room, and carries a like share",
    "holding still counts with half the filter, for a minute or two: ours, no published figure",
    "on stairs those below are counted as carrying all of it: ours; HSE L23 says most, and gives no figure",
    "somebody guides a raise or a seating and does not lift, unless one person does it alone: ours",
    "an aid, its slings and what it hangs from or stands on are as its plate says, in date, used by somebody trained",
)


@dataclass(frozen=True)
class StepFound:
    """What one step comes to: the weight in kg it was held against, what those named may lift, the fewest who may.

    `capacity_kg` None: no published figure, or not enough said. `fewest` None: not even three, or not enough said.
    """

    step: LiftStep
    weight_kg: float | None
    capacity_kg: float | None
    fewest: int | None
    verdict: Verdict
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """The whole lift: `people` is the most that any step has busy at once, None where a step does not say.

    `aids` are those planned, and the kinds of step that want one. `reasons` say what stands against *met*.
    """

    people: int | None
    verdict: Verdict
    aids: tuple[str, ...]
    reasons: tuple[str, ...]
    steps: tuple[StepFound, ...]
    assumptions: tuple[str, ...]
    source: str


def lift_plan(
    weight_kg: float | None,
    steps: Sequence[LiftStep],
    *,
    weighed: bool = False,
    crate_kg: float | None = None,
    crate_weighed: bool = False,
) -> Plan:
    """Hold every step against the filters; *met* only with all five kinds of step described and the weight weighed.

    `weight_kg` of the piece and `crate_kg` of the packed crate, above 0 to 5000 kg, None unknown; an estimate may
    stop a step, and lets none go on. At most 60 steps. *Not met*: from a ladder, heavier than those named can lift
    even if nothing else stood against it, heavier than an aid's plate, nobody guiding. *Cannot tell*: something is
    missing, more than three lift, a carry over 10 m or with hands below the knuckles. Source: SOURCE. Assumes
    ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    for what, one_kg in (("weight of the piece", weight_kg), ("gross weight of the crate", crate_kg)):
        if one_kg is not None:
            in_range(what, one_kg, 0, HEAVIEST_KG, "kg", above_low=True)
    whole_in_range("number of steps", len(steps), 0, MOST_STEPS, "steps")
    load = _Load(weight_kg, weighed, crate_kg, crate_weighed)
    found = tuple(_step(step, load) for step in steps)
    reasons = [
        f"step {place} ({one.step.kind}): {reason}" for place, one in enumerate(found, 1) for reason in one.reasons
    ]
    absent = [kind for kind in KINDS if kind not in {step.kind for step in steps}]
    reasons += [f"no step says how it goes: {kind}" for kind in absent]
    verdicts = {one.verdict for one in found}
    verdict: Verdict = MET
    if NOT_MET in verdicts:
        verdict = NOT_MET
    elif absent or CANNOT_TELL in verdicts:
        verdict = CANNOT_TELL
    busy = [_busy(step) for step in steps]
    counted = [people for people in busy if people is not None]
    people = max(counted) if counted and len(counted) == len(busy) else None
    return Plan(people, verdict, _aids(found), tuple(reasons), found, ASSUMPTIONS, SOURCE)


@dataclass(frozen=True)
class _Load:
    piece_kg: float | None
    weighed: bool
    crate_kg: float | None
    crate_weighed: bool

    def of(self, step: LiftStep) -> tuple[float | None, bool]:
        """The weight to hold against, and whether it is measured. A crate weighs at least what is in it.

        One that was weighed lighter than its piece, or whose piece has no weight to compare, counts as an estimate.
        """
        if not step.in_crate:
            return self.piece_kg, self.weighed
        if self.crate_kg is None or self.piece_kg is None:
            return self.crate_kg or self.piece_kg, False
        return max(self.crate_kg, self.piece_kg), self.crate_weighed and self.crate_kg >= self.piece_kg


def _step(step: LiftStep, load: _Load) -> StepFound:
    findings = Findings()
    weight_kg, measured = load.of(step)
    what = "the packed crate" if step.in_crate else "the piece"
    if weight_kg is None:
        findings.cannot_tell(f"the weight of {what} is not known")
    elif not measured:
        wanting = (
            "the crate is not weighed, packed, at more than its piece" if step.in_crate else f"{what} is not weighed"
        )
        findings.cannot_tell(f"{wanting}; an estimate lets nothing go on")
    _footing(step, findings)
    each_sure, each_most = _each(step)
    if step.aid is None:
        capacity_kg = _by_hand(step, weight_kg, each_sure, each_most, findings)
    else:
        capacity_kg = step.aid_rated_kg
        if capacity_kg is None:
            findings.cannot_tell(f"the load on the plate of the {step.aid} is not given")
        elif weight_kg is not None and weight_kg > capacity_kg:
            findings.not_met(f"{what} weighs {weight_kg:g} kg; the plate of the {step.aid} says {capacity_kg:g} kg")
    fewest = None
    if weight_kg is not None and each_sure is not None:
        fewest = next((people for people in TEAM_SHARES if weight_kg <= _team(people, each_sure)), None)
    return StepFound(step, weight_kg, capacity_kg, fewest, findings.verdict, tuple(findings.reasons))


def _footing(step: LiftStep, findings: Findings) -> None:
    if step.standing is None:
        findings.cannot_tell("what people stand on is not said")
    elif step.standing == "ladder":
        findings.not_met("nobody lifts from a ladder: take a work platform, or a hoist with everybody off the ladder")
    if step.kind not in GUIDED or (step.lifting == 1 and step.aid is None):
        return
    if step.guiding is None:
        findings.cannot_tell("who guides is not said; whoever guides does not lift")
    elif step.guiding == 0:
        findings.not_met("nobody guides; at least one person guides and does not lift")


def _each(step: LiftStep) -> tuple[float | None, float]:
    """What one person may lift here, None when not enough is said; and the most it could be, whatever is missing."""
    reaches = REACHES if step.reach is None else (step.reach,)
    share = HOLDING_SHARE if step.kind == "hold" else 1.0
    figures = [max(filter_kg(zone, reach) for reach in reaches) * share for zone in step.zones or ZONES]
    if not step.zones:
        return None, max(figures)
    return (None if step.reach is None else min(figures)), min(figures)


def _by_hand(
    step: LiftStep, weight_kg: float | None, each_sure: float | None, each_most: float, findings: Findings
) -> float | None:
    """What those named may lift, None when no published figure says; every reason against it goes to `findings`."""
    if each_sure is None:
        findings.cannot_tell("where the hands pass, and how far from the body, is not said")
    _carry(step, findings)
    if step.lifting is None:
        findings.cannot_tell("how many lift is not said")
        return None
    if step.lifting == 0:
        findings.not_met("nobody lifts, and nothing else carries it")
        return 0.0
    capacity_kg = None
    if step.lifting > LARGEST_TEAM:
        findings.cannot_tell(f"{step.lifting} people lift; no published factor covers more than three: use an aid")
    elif each_sure is not None:
        capacity_kg = _team(step.lifting, each_sure)
    most_kg = _team(step.lifting, each_most)
    if weight_kg is not None and weight_kg > most_kg:
        findings.not_met(f"it weighs {weight_kg:g} kg; {step.lifting} lifting may lift {most_kg:.1f} kg here at most")
    elif step.standing == "stairs":
        return _below(step, weight_kg, each_sure, capacity_kg, findings)
    return capacity_kg


def _below(
    step: LiftStep, weight_kg: float | None, each_sure: float | None, capacity_kg: float | None, findings: Findings
) -> float | None:
    """What a team on stairs may lift: what those below could lift alone, since they carry most."""
    if step.lower is None:
        findings.cannot_tell("how many are below on the stairs is not said; they carry most")
        return None
    if capacity_kg is None or each_sure is None:
        return None
    below_kg = _team(step.lower, each_sure)
    if weight_kg is not None and weight_kg > below_kg:
        findings.cannot_tell(
            f"on stairs those below carry most: {step.lower} below may lift {below_kg:.1f} kg, it weighs "
            f"{weight_kg:g} kg, and no published figure says how it is shared"
        )
    return below_kg


def _carry(step: LiftStep, findings: Findings) -> None:
    if step.kind != "carry":
        return
    if step.carry_m is None:
        findings.cannot_tell("how far it is carried without a rest is not said")
    elif step.carry_m > LONGEST_CARRY_M:
        findings.cannot_tell(
            f"{step.carry_m:g} m without a rest; the figures reach to {LONGEST_CARRY_M:g} m: set it down on the way"
        )
    if any(zone in BELOW_KNUCKLES for zone in step.zones):
        findings.cannot_tell("carried with the hands below the knuckles, which the figures do not cover")


def _team(people: int, each_kg: float) -> float:
    """What `people` may lift together when each may lift `each_kg`; with no published factor at most their sum."""
    capacity_kg = team_capacity_kg([each_kg] * people)
    return people * each_kg if capacity_kg is None else capacity_kg


def _busy(step: LiftStep) -> int | None:
    return None if step.guiding is None or step.lifting is None else step.guiding + step.lifting


def _aids(found: Sequence[StepFound]) -> tuple[str, ...]:
    """The aids that are planned, and the steps that want one."""
    told = [f"{one.step.kind}: {one.step.aid}" for one in found if one.step.aid is not None]
    for one in found:
        if one.step.aid is None and one.weight_kg is not None and one.fewest is None and _each(one.step)[0] is not None:
            carriers = " or ".join(aid for aid, kinds in CARRIES.items() if one.step.kind in kinds)
            told.append(f"{one.step.kind}: more than three people may lift; take a {carriers}")
    return tuple(dict.fromkeys(told))
