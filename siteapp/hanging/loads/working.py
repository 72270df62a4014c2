"""The loads of a piece from what is recorded now: every case, any one support lost. Knows no database."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from siteapp.trade.loads import SupportForce, design_cases, lose_each, share_of_allowed, support_forces
from siteapp.trade.loads.cases import CASES_SOURCE
from siteapp.trade.loads.forces import FORCES_ASSUMPTIONS, FORCES_SOURCE
from siteapp.trade.loads.losing import LOSS_ASSUMPTIONS, LOSS_SOURCE
from siteapp.trade.loads.rail import on_anchor, rides_up
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from siteapp.trade.loads import Loss, Pad, Resistance, Share, Support
    from siteapp.trade.loads.supports import Place

MOST_LOST = 40  # points of which each is taken away in turn; more would keep the page waiting
KEPT = 64


@dataclass(frozen=True)
class Inputs:
    """All that the loads are worked out from; forces in N, places in mm. `lean_n` None: nobody said how hard."""

    supports: tuple[Support, ...]
    pads: tuple[Pad, ...]
    groups: tuple[tuple[str, tuple[str, ...]], ...]
    mass_kg: float
    centre: Place
    lean_n: float | None
    lean_at: tuple[Place, ...]
    resistances: tuple[tuple[str, Resistance], ...]
    sudden: float


@dataclass(frozen=True)
class Demand:
    """The largest pull and the largest shear on one hanging point, in N, with factors, and the case they come from."""

    pull_n: float
    shear_n: float
    case: str


@dataclass(frozen=True)
class CaseFound:
    """One case: what each anchor gets and the share of what it may carry, or how the piece would move."""

    name: str
    does: str  # what people do in it; "weight" where it is the weight alone
    moves: str | None
    forces: Mapping[str, SupportForce]
    shares: Mapping[str, Share]
    climbs: tuple[str, ...]  # rails that the piece would ride up

    @property
    def verdict(self) -> str:
        """The worst of the supports; *not met* where it would move."""
        if self.moves is not None:
            return NOT_MET
        return worst([share.verdict for share in self.shares.values()] + [CANNOT_TELL] * bool(self.climbs))

    @property
    def rank(self) -> tuple[bool, bool, float]:
        """The larger, the worse."""
        return self.verdict == NOT_MET, self.verdict == CANNOT_TELL, self.largest[1] if self.largest else 0.0

    @property
    def largest(self) -> tuple[str, float] | None:
        """The support that uses the largest share of what is allowed, and that share; None while none is known."""
        known = [(label, size) for label, share in self.shares.items() if (size := size_of(share)) is not None]
        return max(known, key=lambda pair: pair[1], default=None)


@dataclass(frozen=True)
class LoadsFound:
    """Every case, every loss, and the largest load on each point over all of them."""

    cases: tuple[CaseFound, ...]
    losses: tuple[Loss, ...]
    by_label: Mapping[str, Demand]
    assumptions: tuple[str, ...] = FORCES_ASSUMPTIONS + LOSS_ASSUMPTIONS
    source: str = f"{FORCES_SOURCE}. {CASES_SOURCE}. {LOSS_SOURCE}"

    @property
    def worst_of_each(self) -> tuple[CaseFound, ...]:
        """The worst case of each thing that people do, in order."""
        found: dict[str, CaseFound] = {}
        for case in self.cases:
            found[case.does] = max(found.get(case.does, case), case, key=lambda one: one.rank)
        return tuple(found.values())


@lru_cache(maxsize=KEPT)
def work_out(inputs: Inputs) -> LoadsFound:
    """Work out every case and every loss. Kept for the same inputs, since a page asks again each time it is opened."""
    places = inputs.lean_at or (inputs.centre,)
    cases = design_cases(inputs.mass_kg, inputs.centre, lean_n=inputs.lean_n or 0.0, lean_at=places)
    if inputs.lean_n is None:
        cases = cases[:1]
    resistances = dict(inputs.resistances)
    found = []
    for case in cases:
        forces = support_forces(inputs.supports, inputs.pads, case.actions)
        at = {} if forces.moves else {one.label: on_anchor(one, forces.worst[one.label]) for one in inputs.supports}
        shares = {label: share_of_allowed(force, resistances.get(label)) for label, force in at.items()}
        climbs = tuple(one.label for one in inputs.supports if at and rides_up(one, forces.worst[one.label]))
        found.append(CaseFound(case.name, case.actions[-1].name, forces.moves, at, shares, climbs))
    losses: tuple[Loss, ...] = ()
    if len(inputs.supports) <= MOST_LOST:
        groups = [(name, labels) for name, labels in inputs.groups if len(labels) > 1]
        losses = lose_each(inputs.supports, inputs.pads, cases, resistances, groups=groups, sudden=inputs.sudden)
    return LoadsFound(tuple(found), losses, _demands(found, losses))


def _demands(cases: Iterable[CaseFound], losses: Iterable[Loss]) -> dict[str, Demand]:
    """The largest on each point; none at all where the piece would move in a case, since then no number holds."""
    found: dict[str, Demand] = {}
    for case in cases:
        if case.moves is not None:
            return {}
        for label, force in case.forces.items():
            _raise(found, label, force, case.name)
    for loss in losses:
        for label, force in loss.forces.items():
            _raise(found, label, force, lost_words(loss))
    return found


def _raise(found: dict[str, Demand], label: str, force: SupportForce, case: str) -> None:
    before = found.get(label, Demand(0.0, 0.0, case))
    larger = force.pull_n + force.shear_n > before.pull_n + before.shear_n
    found[label] = Demand(
        max(before.pull_n, force.pull_n), max(before.shear_n, force.shear_n), case if larger else before.case
    )


def shares_of(found: LoadsFound, label: str) -> list[tuple[str, Share]]:
    """The share of what a support may carry in each case and each loss, named; the worst first."""
    shares = [(case.name, case.shares[label]) for case in found.cases if label in case.shares]
    shares += [(lost_words(loss), loss.shares[label]) for loss in found.losses if label in loss.shares]
    order = {NOT_MET: 0, CANNOT_TELL: 1, MET: 2}
    return sorted(shares, key=lambda pair: (order[pair[1].verdict], -(size_of(pair[1]) or 0.0)))


def lost_words(loss: Loss) -> str:
    """What a loss is called, with the case that decides it."""
    return _("%(name)s lost, %(case)s", name=loss.name, case=loss.case)


def worst(verdicts: Iterable[str]) -> str:
    """The worst of some verdicts; without any, *cannot tell*."""
    given = set(verdicts)
    return next((one for one in (NOT_MET, CANNOT_TELL) if one in given), MET if given else CANNOT_TELL)


def size_of(share: Share) -> float | None:
    """How much of what is allowed a support uses: both together where known, else the larger of the two."""
    known = [part for part in (share.pull, share.shear, share.combined) if part is not None]
    return max(known, default=None)
