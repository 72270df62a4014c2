"""The force on every support and pad of a piece that hangs still, or how it would move."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

from siteapp.trade.errors import TradeError
from siteapp.trade.loads.balance import balance
from siteapp.trade.loads.movement import Tilt, Turn, along_the_wall, off_the_wall, one_place

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from siteapp.trade.loads.balance import Balance, Numbers
    from siteapp.trade.loads.supports import Action, Pad, Support

MOST_OF_EACH = 500
MOST_LINES = 4
# A pad that stands off the wall bears once the piece has turned a little: it is taken to, before the next ones would
# push this many times as hard. Ours, no source.
HARDER = 5.0
SHORTEST_MM = 1.0
# Levers multiply an action, many times over where supports lie close together.
LARGEST_FORCE_N = 1e15
# Relative to all that acts: less than this is no force, and no turning over.
NOTHING = 1e-9

FORCES_SOURCE = (
    "equilibrium of a rigid piece on equally stiff supports at the least elastic energy; for supports that hold every "
    "way it is the textbook group, V/n + M·r/Σr² along the wall and M·d/Σd² about the line where the piece bears "
    "(Shigley's Mechanical Engineering Design; NASA RP-1228)"
)
FORCES_ASSUMPTIONS = (
    "the piece is rigid, every support is as stiff as the others, and the pads are far stiffer",
    "no friction anywhere: what only friction holds counts as not held",
    "pads push, hooks hold up, anchors pull; a slot holds nothing along itself",
    "every hole bears already: with play in the holes one support may carry the share of others until it has moved",
    "where the pads that bear may stand off the wall, the next ones are tried, and the worst is counted",
    "a pad that stands off bears again before others would push more than five times as hard (ours)",
)


@dataclass(frozen=True)
class SupportForce:
    """What one support does to the piece, in N: to the right, upwards, both together (`shear_n`), and inwards.

    The anchor is loaded by the same forces the other way round.
    """

    across_n: float
    up_n: float
    shear_n: float
    pull_n: float


@dataclass(frozen=True)
class Forces:
    """What holds the piece, or how it moves.

    `by_support` and `by_pad_n` (in the order of the pads) are one equilibrium, in N. `worst` has for each support the
    most it pulls on any line of pads that may be the one that bears. With `moves` there are no numbers: it says in
    words how the piece would move, and that is never *met*.
    """

    by_support: Mapping[str, SupportForce]
    by_pad_n: tuple[float, ...]
    moves: str | None
    assumptions: tuple[str, ...] = FORCES_ASSUMPTIONS
    source: str = FORCES_SOURCE
    worst: Mapping[str, SupportForce] = field(default_factory=dict)


def support_forces(supports: Sequence[Support], pads: Sequence[Pad], actions: Sequence[Action]) -> Forces:
    """The equilibrium of a rigid piece under `actions`, at the least elastic energy of its supports.

    Supports are equally stiff, each only in the ways in which it holds; pads are rigid and only push. Places in mm,
    forces in N, z out from the wall. Where nothing balances the actions, `moves` says how the piece would move.
    Source: FORCES_SOURCE. Assumes FORCES_ASSUMPTIONS. Raises TradeError for two supports of one label, or more than
    500 supports, pads or actions.
    """
    for what, many in (("supports", supports), ("pads", pads), ("actions", actions)):
        if len(many) > MOST_OF_EACH:
            message = f"there are {len(many)} {what}; allowed are up to {MOST_OF_EACH}"
            raise TradeError(message)
    for label, times in Counter(support.label for support in supports).items():
        if times > 1:
            message = f"support {label} is given {times} times; allowed is each label once"
            raise TradeError(message)
    frame = _Frame.around(supports, pads, actions)
    along, off = frame.along(supports, actions), frame.off(supports, pads, actions)
    moves = (_moves_along(along, frame, supports, actions), _moves_off(off, frame, pads, actions))
    if any(moves):
        return Forces({}, (), "; ".join(filter(None, moves)))
    by_support = _forces(supports, along, off)
    worst = by_support
    for line in _other_lines(off, frame, supports, pads, actions):
        other = _forces(supports, along, line)
        worst = {label: max(force, other[label], key=lambda one: one.pull_n) for label, force in worst.items()}
    return Forces(by_support, tuple(float(push) for push in off.stops), None, worst=worst)


class _Frame(NamedTuple):
    """The place about which moments are taken, amid the supports and pads, and the length that makes them forces."""

    x_mm: float
    y_mm: float
    length_mm: float

    @classmethod
    def around(cls, supports: Sequence[Support], pads: Sequence[Pad], actions: Sequence[Action]) -> _Frame:
        amid: Sequence[Support | Pad | Action] = [*supports, *pads] or actions
        x_mm = math.fsum(one.x_mm for one in amid) / max(len(amid), 1)
        y_mm = math.fsum(one.y_mm for one in amid) / max(len(amid), 1)
        every: Sequence[Support | Pad | Action] = [*supports, *pads, *actions]
        reach = max((math.hypot(one.x_mm - x_mm, one.y_mm - y_mm) for one in every), default=0.0)
        return cls(x_mm, y_mm, max(SHORTEST_MM, reach, *(abs(action.z_mm) for action in actions)))

    def right(self, x_mm: float) -> float:
        return (x_mm - self.x_mm) / self.length_mm

    def above(self, y_mm: float) -> float:
        return (y_mm - self.y_mm) / self.length_mm

    def along(self, supports: Sequence[Support], actions: Sequence[Action]) -> Balance:
        """The wall's plane: forces to the right and up, and the moment that turns the piece anticlockwise."""
        columns, one_way = [], []
        for one in supports:
            if one.across:
                columns.append((1.0, 0.0, -self.above(one.y_mm)))
                one_way.append(False)
            if one.up or one.down:
                sign = 1.0 if one.up else -1.0
                columns.append((0.0, sign, sign * self.right(one.x_mm)))
                one_way.append(not (one.up and one.down))
        loads = [
            (one.fx_n, one.fy_n, self.right(one.x_mm) * one.fy_n - self.above(one.y_mm) * one.fx_n) for one in actions
        ]
        return _balance(columns, one_way, [], loads)

    def off(self, supports: Sequence[Support], pads: Sequence[Pad], actions: Sequence[Action]) -> Balance:
        """Out from the wall: the force outwards, and the moments about the level and the upright line."""
        pulls = [(-1.0, -self.above(one.y_mm), self.right(one.x_mm)) for one in supports if one.pull]
        pushes = [(1.0, self.above(one.y_mm), -self.right(one.x_mm)) for one in pads]
        loads = []
        for one in actions:
            forward = one.z_mm / self.length_mm
            about_level = self.above(one.y_mm) * one.fz_n - forward * one.fy_n
            about_upright = forward * one.fx_n - self.right(one.x_mm) * one.fz_n
            loads.append((one.fz_n, about_level, about_upright))
        return _balance(pulls, [True] * len(pulls), pushes, loads)


Three = tuple[float, float, float]


def _balance(
    springs: Sequence[Three], one_way: Sequence[bool], stops: Sequence[Three], loads: Sequence[Three]
) -> Balance:
    import numpy as np

    def upright(columns: Sequence[Three]) -> Numbers:
        return np.array(columns, dtype=float).reshape(-1, 3).T

    load = np.array([math.fsum(parts) for parts in zip(*loads, strict=True)] or [0.0, 0.0, 0.0])
    largest = max((abs(part) for parts in loads for part in parts), default=0.0)
    # Actions that cancel each other leave crumbs of rounding, which nothing has to hold.
    load[np.abs(load) < NOTHING * NOTHING * largest] = 0
    return balance(upright(springs), np.array(one_way, dtype=bool), upright(stops), load)


def _shears(supports: Sequence[Support], along: Balance) -> list[tuple[float, float]]:
    """What each support does along the wall, to the right and up."""
    springs = iter(along.springs)
    found = []
    for one in supports:
        across_n = float(next(springs)) if one.across else 0.0
        up_n = float(next(springs)) * (1 if one.up else -1) if one.up or one.down else 0.0
        found.append((across_n, up_n))
    return found


def _forces(supports: Sequence[Support], along: Balance, off: Balance) -> dict[str, SupportForce]:
    pulls = iter(off.springs)
    return {
        one.label: SupportForce(across_n, up_n, math.hypot(across_n, up_n), float(next(pulls)) if one.pull else 0.0)
        for one, (across_n, up_n) in zip(supports, _shears(supports, along), strict=True)
    }


def _other_lines(
    off: Balance, frame: _Frame, supports: Sequence[Support], pads: Sequence[Pad], actions: Sequence[Action]
) -> Iterator[Balance]:
    """The same piece where the pads that bore stand off the wall, as long as others can take their place."""
    left, bearable = list(pads), HARDER * sum(off.stops)
    for _ in range(MOST_LINES):
        most = max(off.stops, default=0.0)
        still = [pad for pad, push in zip(left, off.stops, strict=True) if push <= NOTHING * most]
        if not still or len(still) == len(left):
            return
        left, off = still, frame.off(supports, still, actions)
        if off.movement is not None or sum(off.stops) > bearable:
            return
        yield off


def _moves_along(along: Balance, frame: _Frame, supports: Sequence[Support], actions: Sequence[Action]) -> str:
    if along.movement is not None:
        most = max(map(abs, along.springs), default=0.0)
        shears = list(zip(supports, _shears(supports, along), strict=True))
        # What still bears its weight is what it swings about; only where nothing does, what holds it to the side.
        carrying = [one for one, (_across, up_n) in shears if abs(up_n) > NOTHING * most]
        beside = [one for one, (across_n, _up) in shears if abs(across_n) > NOTHING * most]
        return along_the_wall(Turn(*(float(part) for part in along.movement)), carrying or beside)
    holding = [one for one in supports if one.across or one.up or one.down]
    if not holding or not one_place(holding):
        return ""
    # Hung at one place: as a pendulum when what acts lies below it, as a pencil on its tip when above.
    pivot = holding[0]
    turning = [(one.x_mm - pivot.x_mm) * one.fx_n + (one.y_mm - pivot.y_mm) * one.fy_n for one in actions]
    if math.fsum(turning) < -NOTHING * frame.length_mm * math.fsum(abs(one.fx_n) + abs(one.fy_n) for one in actions):
        return f"turns over about {pivot.label}, which it stands on"
    return ""


def _moves_off(off: Balance, frame: _Frame, pads: Sequence[Pad], actions: Sequence[Action]) -> str:
    if off.movement is None:
        return ""
    out, about_level, about_upright = (float(part) for part in off.movement)
    tilt = Tilt(out, frame.x_mm, frame.y_mm, -about_upright / frame.length_mm, about_level / frame.length_mm)
    return off_the_wall(tilt, pads, actions, bears=max(off.stops, default=0.0) > NOTHING)
