"""What happens when a support lets go: who carries its share, and who goes next."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.loads.forces import SupportForce, support_forces
from siteapp.trade.loads.rail import on_anchor
from siteapp.trade.loads.resistance import Share, share_of_allowed
from siteapp.trade.loads.supports import WEIGHT
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from siteapp.trade.loads.cases import Case
    from siteapp.trade.loads.resistance import Resistance
    from siteapp.trade.loads.supports import Action, Pad, Support
    from siteapp.trade.verdicts import Verdict

SUDDEN = 2.0
LARGEST_SUDDEN = 10.0
NEAR_MM = 0.01
SHOWN = 6

LOSS_SOURCE = (
    "each support and each named group taken away in turn (EN 1990, accidental situation, from memory); a load that "
    "comes suddenly onto an elastic support stretches it twice as far as one laid on slowly (energy of a spring)"
)
LOSS_ASSUMPTIONS = (
    "those that go with one cause (a batten, a brick course, one bonded strip) are named as a group",
    "supports that would be past what is allowed go too, all of them together",
    "one support left, or none to one side of the balance line, counts as not holding, whatever friction may do",
)


class Group(NamedTuple):
    """Supports that would fail together, and what they have in common."""

    name: str
    labels: tuple[str, ...]


@dataclass(frozen=True)
class Loss:
    """What the loss of `gone` (called `name`) comes to.

    `case` is the case that decides. `forces` (in N, the factor `sudden` in them) and `shares` are those of the anchors
    that are left, in that case, right after the loss: empty where the piece does not hold. `then` are those
    that would follow, in this order. `reason` says what stands against *met*.
    """

    name: str
    gone: tuple[str, ...]
    verdict: Verdict
    reason: str
    case: str
    forces: Mapping[str, SupportForce]
    shares: Mapping[str, Share]
    then: tuple[str, ...]
    sudden: float
    assumptions: tuple[str, ...] = LOSS_ASSUMPTIONS
    source: str = LOSS_SOURCE


def lose_each(
    supports: Sequence[Support],
    pads: Sequence[Pad],
    cases: Sequence[Case],
    resistances: Mapping[str, Resistance | None],
    *,
    groups: Iterable[tuple[str, Sequence[str]]] = (),
    sudden: float = SUDDEN,
) -> tuple[Loss, ...]:
    """Each support, then each of `groups` (name, labels), gone: the worst of `cases` for each, and who would follow.

    Every case is taken in its accidental combination where it has one, and all of it times `sudden` (1…10; 2 for a
    load that comes at once). *met*: all that are left hold within what is allowed. *not met*: it does not hold (the
    reason says why), or a support would be past what is allowed. *cannot tell*: what one may carry is not known.
    Source: LOSS_SOURCE. Assumes LOSS_ASSUMPTIONS. Raises TradeError without a case, for a group that is empty or
    names no support, a name given twice, and for what `support_forces` refuses.
    """
    in_range("factor for a sudden loss", sudden, 1, LARGEST_SUDDEN, "(times)")
    if not cases:
        message = "cases to work out: none is given; allowed is at least one"
        raise TradeError(message)
    losses = _losses(supports, groups)
    # Most design cases have an accidental combination in common with another: each is worked out once.
    combinations: dict[tuple[Action, ...], str] = {}
    for case in cases:
        combinations.setdefault(case.accidental or case.actions, case.name)
    setting = _Setting(supports, pads, resistances, sudden)
    return tuple(setting.worst(loss, {name: actions for actions, name in combinations.items()}) for loss in losses)


def _losses(supports: Sequence[Support], groups: Iterable[tuple[str, Sequence[str]]]) -> list[Group]:
    known = [one.label for one in supports]
    losses = [Group(label, (label,)) for label in known]
    for name, labels in groups:
        if not labels or any(label not in known for label in labels):
            message = f"group {name} is {', '.join(labels) or 'empty'}; allowed are labels out of {', '.join(known)}"
            raise TradeError(message)
        losses.append(Group(name, tuple(labels)))
    for name, times in Counter(loss.name for loss in losses).items():
        if times > 1:
            message = f"group or support {name} is given {times} times; allowed is each name once"
            raise TradeError(message)
    return losses


@dataclass(frozen=True)
class _State:
    """A piece with some supports gone, under one combination of actions."""

    fails: str
    forces: Mapping[str, SupportForce]
    shares: Mapping[str, Share]

    def past(self) -> list[str]:
        """Those past what is allowed, the worst first."""
        over = [label for label, share in self.shares.items() if share.verdict == NOT_MET]
        return sorted(over, key=lambda label: _size(self.shares[label]), reverse=True)

    def unknown(self) -> list[str]:
        return [label for label, share in self.shares.items() if share.verdict == CANNOT_TELL]

    def rank(self) -> tuple[bool, bool, bool, float]:
        """The larger, the worse."""
        largest = max(map(_size, self.shares.values()), default=0.0)
        return bool(self.fails), bool(self.past()), bool(self.unknown()), largest


@dataclass(frozen=True)
class _Setting:
    supports: Sequence[Support]
    pads: Sequence[Pad]
    resistances: Mapping[str, Resistance | None]
    sudden: float

    def worst(self, loss: Group, combinations: Mapping[str, Sequence[Action]]) -> Loss:
        states = {name: self.without(set(loss.labels), actions) for name, actions in combinations.items()}
        name = max(states, key=lambda one: states[one].rank())
        state = states[name]
        verdict: Verdict = MET
        reason = ""
        then: tuple[str, ...] = ()
        if state.fails:
            verdict, reason = NOT_MET, f"does not hold: {state.fails}"
        elif past := state.past():
            then, end = self.follow(loss, combinations[name], state)
            over = f"{past[0]} would be past what is allowed ({_size(state.shares[past[0]]):.0%})"
            verdict, reason = NOT_MET, f"{over}; {end}"
        elif unknown := state.unknown():
            verdict, reason = CANNOT_TELL, f"{', '.join(unknown)}: {state.shares[unknown[0]].reason}"
        return Loss(loss.name, loss.labels, verdict, reason, name, state.forces, state.shares, then, self.sudden)

    def follow(self, loss: Group, actions: Sequence[Action], state: _State) -> tuple[tuple[str, ...], str]:
        """Who goes after `loss`, all that are past what is allowed at once, and how it ends."""
        then: list[str] = []
        while past := state.past():
            then += past
            state = self.without({*loss.labels, *then}, actions)
        if state.fails:
            return tuple(then), f"once {_listed(then)} went too, it does not hold: {state.fails}"
        if state.unknown():
            return tuple(then), f"once {_listed(then)} went too, what follows cannot be told"
        return tuple(then), f"once {_listed(then)} went too, those left would hold it"

    def without(self, gone: set[str], actions: Sequence[Action]) -> _State:
        left = [one for one in self.supports if one.label not in gone]
        if fails := _too_few(self.supports, left, actions):
            return _State(fails, {}, {})
        found = support_forces(left, self.pads, actions)
        if found.moves is not None:
            return _State(f"it {found.moves}", {}, {})
        forces = {}
        for one in left:
            force = on_anchor(one, found.worst[one.label])
            parts = (force.across_n, force.up_n, force.shear_n, force.pull_n)
            forces[one.label] = SupportForce(*(self.sudden * part for part in parts))
        shares = {label: share_of_allowed(force, self.resistances.get(label)) for label, force in forces.items()}
        return _State("", forces, shares)


def _too_few(supports: Sequence[Support], left: Sequence[Support], actions: Sequence[Action]) -> str:
    """Why those left are too few to be trusted, whatever the arithmetic says; nothing where they are not."""
    carrying = [one for one in left if one.up]
    if not carrying:
        return "nothing is left that holds it up"
    if len(carrying) == 1:
        return f"one support is left, {carrying[0].label}, and it would swing about it"
    if any(one.across for one in supports) and not any(one.across for one in left):
        return "nothing is left that holds it from sliding to the side"
    weights = [one for one in actions if one.name == WEIGHT] or actions
    down_n = math.fsum(one.fy_n for one in weights)
    if down_n >= 0:
        return ""
    balance_mm = math.fsum(one.fy_n * one.x_mm for one in weights) / down_n
    for side, sign in (("left", 1), ("right", -1)):
        if all(sign * (one.x_mm - balance_mm) > NEAR_MM for one in carrying):
            return f"no support is left on the {side} of the balance line, as seen from the front"
    return ""


def _size(share: Share) -> float:
    known = [part for part in (share.combined, share.pull, share.shear) if part is not None]
    return max(known, default=0.0)


def _listed(labels: Sequence[str]) -> str:
    shown = ", ".join(labels[:SHOWN])
    return shown if len(labels) <= SHOWN else f"{shown} and {len(labels) - SHOWN} more"
