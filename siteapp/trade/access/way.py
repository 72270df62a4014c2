"""The crate's way from the van to the wall: the ways up it may travel carried from step to step, the first obstacle.

`through_opening`, `round_corner` and `stand_up` are the bare geometry (`passing`), given on from here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.access.fit import LIFT_SOURCE, STAIRS_SOURCE, Fit, fits
from siteapp.trade.access.passing import (
    ASSUMPTIONS,
    CORNER_SOURCE,
    MOST_ROOM_MM,
    OPENING_SOURCE,
    ROOM_MM,
    STANDING_SOURCE,
)
from siteapp.trade.access.steps import WAYS, Box
from siteapp.trade.errors import in_range, whole_in_range
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.access.steps import Step, Way
    from siteapp.trade.verdicts import Verdict


MOST_STEPS = 60
ROUTE_ASSUMPTIONS = (
    *ASSUMPTIONS,
    "carried level and lengthways, turned on plan only where a corner or a landing is named",
    "floors, stairs and ramps carry the crate and those who carry it: somebody competent says so",
    "there is room before and behind an opening to tilt it, and to turn it over where it is turned",
)


@dataclass(frozen=True)
class StepFound:
    """One step of the way: what it comes to at best, how, and the ways up in which the crate may leave it.

    `spare_mm` and `spare_kg` are what is left, negative: what is short; None where it cannot be told.
    """

    step: Step
    verdict: Verdict
    how: str
    spare_mm: float | None
    spare_kg: float | None
    ways_up: tuple[Way, ...]


@dataclass(frozen=True)
class Route:
    """The whole way. `first_obstacle` is the name of the first step that stops it, or else of the first not known.

    `shortfall_mm` and `shortfall_kg` are what is short there, None where that cannot be told.
    """

    verdict: Verdict
    first_obstacle: str | None
    shortfall_mm: float | None
    shortfall_kg: float | None
    reasons: tuple[str, ...]
    steps: tuple[StepFound, ...]
    assumptions: tuple[str, ...]
    source: str


def route(box: Box, steps: Sequence[Step], *, room_mm: float = ROOM_MM) -> Route:
    """Take a crate along `steps` (at most 60) in order, keeping at each all ways up in which it may have come there.

    *Met* when one way up, or several with a place to turn it over between, surely passes every step. *Not met* when no
    permitted way up can pass a step, or the lift's plate says less than it weighs. Else *cannot tell*: a size is
    missing, nobody said which ways up it may travel, the weight is not weighed, or only leaning or a rule that this
    program does not have could say. Steps after an obstacle are looked at as if it had been passed. `room_mm` 0…1000
    all round, for hands and blankets. Source and assumptions stand in the result. Raises TradeError outside.
    """
    in_range("room for hands", room_mm, 0, MOST_ROOM_MM, "mm")
    whole_in_range("number of steps on the way", len(steps), 0, MOST_STEPS, "steps")
    permitted = box.ways_up or WAYS
    sure: frozenset[Way] = frozenset(box.ways_up or ())
    possible: frozenset[Way] = frozenset(permitted)
    found: list[StepFound] = []
    for step in steps:
        outcomes = [(way, way in sure, fit) for way in WAYS if way in possible for fit in fits(box, way, step, room_mm)]
        surely = frozenset(fit.way_out for _way, known, fit in outcomes if known and fit.verdict == MET)
        perhaps = frozenset(fit.way_out for _way, _known, fit in outcomes if fit.verdict != NOT_MET)
        best = _best([fit for _way, _known, fit in outcomes])
        verdict: Verdict = MET if surely else CANNOT_TELL if perhaps else NOT_MET
        how = best.how
        if verdict == CANNOT_TELL and best.verdict == MET:
            how = f"{best.how}, if it comes there with its {best.way_out} upright, which is not known"
        # What follows is looked at all the same: after an obstacle as if it had been passed.
        possible = perhaps or frozenset(permitted)
        sure = surely or possible
        found.append(StepFound(step, verdict, how, best.spare_mm, best.spare_kg, _in_order(perhaps)))
    return _summed(found)


def _summed(found: list[StepFound]) -> Route:
    verdict: Verdict = MET
    if not found:
        verdict = CANNOT_TELL
    for answer in (CANNOT_TELL, NOT_MET):
        if any(one.verdict == answer for one in found):
            verdict = answer
    first = next((one for one in found if one.verdict == verdict), None) if verdict != MET else None
    reasons = [f"{one.step.name}: {one.how}" for one in found if one.verdict != MET]
    if not found:
        reasons = ["no step of the way is described"]
    return Route(
        verdict,
        first.step.name if first else None,
        _short(first.spare_mm) if first else None,
        _short(first.spare_kg) if first else None,
        tuple(reasons),
        tuple(found),
        ROUTE_ASSUMPTIONS,
        f"{OPENING_SOURCE}; {CORNER_SOURCE}; {STANDING_SOURCE}; {STAIRS_SOURCE}; {LIFT_SOURCE}",
    )


def _best(outcomes: list[Fit]) -> Fit:
    """The outcome that goes furthest, and among like ones the one with most to spare."""
    rank = {MET: 2, CANNOT_TELL: 1, NOT_MET: 0}

    def worth(fit: Fit) -> tuple[int, float]:
        return rank[fit.verdict], -float("inf") if fit.spare_mm is None else fit.spare_mm

    return max(outcomes, key=worth)


def _short(spare: float | None) -> float | None:
    return -spare if spare is not None and spare < 0 else None


def _in_order(ways: frozenset[Way]) -> tuple[Way, ...]:
    return tuple(way for way in WAYS if way in ways)
