"""A piece moved about on its bolts: the best of all places that its holes allow.

How far a bolt lies from where its hole lets it be is a convex function of the piece's place, but for the small turn,
which is followed exactly. So a place that is best among those near it is best of all. It is found by an interior path:
a barrier keeps every bolt inside its hole and is made weaker until the place is within `GAP_MM` of the best, which the
barrier itself tells (2n over its weight). Boyd & Vandenberghe, Convex Optimization (2004), chapter 11, from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.survey.network import Array

EXACT_MM = 1e-6
# How far from the best the place that is found may be, and the barrier's way there.
GAP_MM = 1e-7
FIRST_WEIGHT = 1.0
WEIGHT_TIMES = 300.0
MOST_STEPS = 60
SETTLED = 1e-3
SMALLEST_STEP = 1e-7
DESCENT = 0.1
# What a hole costs that has to be let out beyond everything that was offered; as good as forbidden.
FORBIDDEN = 1e3
STILL_SHORT_MM = 1e-4
INSIDE = 0.9


@dataclass(frozen=True)
class Place:
    """Where a piece is (mm and radians, about the middle of its holes), what each hole needs, and the price of it.

    `away` is how far each bolt's middle is from where the middle of a hole, or of a slot's end, would have it;
    `towards` the unit direction from there to the bolt. `extra` are the values of what may be added to the room.
    """

    across_mm: float
    up_mm: float
    turn: float
    away: Array
    towards: Array
    extra: Array


class Bolts:
    """Holes of a piece and the bolts they go on. All arrays in mm: holes and bolts n×2, half slots n, axes n×2."""

    def __init__(self, holes: Array, bolts: Array, half_slots: Array, axes: Array) -> None:
        import numpy as np

        self.middle = holes.mean(axis=0)
        self.bolts_middle = bolts.mean(axis=0)
        self._holes = holes - self.middle
        self._bolts = bolts - self.bolts_middle
        self._half = half_slots
        self._axes = axes
        self.reach = max(float(np.hypot(*self._holes.T).max()), 1.0)

    def least(
        self,
        room: Array,
        most_turn: float,
        *,
        cost: Sequence[float] = (0.0, 0.0, 0.0),
        shares: Array,
        extra_cost: Sequence[float],
        extra_low: float | None,
    ) -> Place | None:
        """The place of least cost where each bolt is away by at most its `room` plus its shares of what is added.

        `cost` is per mm across, mm up and radian; `shares` n×k says how much of each of k added amounts a hole gets,
        `extra_cost` what each costs, `extra_low` their least value (None: may be negative). None where nothing will do.
        """
        import numpy as np

        number, added = shares.shape
        path = _Path(self, room, most_turn, np.column_stack([shares, np.ones(number)]), extra_low)
        # The last added amount is for every hole and is to stay at nothing.
        price = np.array([cost[0], cost[1], cost[2] / self.reach, *extra_cost, FORBIDDEN], dtype=float)
        at = path.follow(price)
        if at[-1] > STILL_SHORT_MM:
            return None
        turn = float(at[2]) / self.reach
        gap, _, _ = self.gaps(float(at[0]), float(at[1]), turn)
        away = np.hypot(*gap.T)
        shift = self.bolts_middle - self.middle
        return Place(
            across_mm=float(at[0] + shift[0]),
            up_mm=float(at[1] + shift[1]),
            turn=turn,
            away=away,
            towards=gap / np.maximum(away, 1e-12)[:, None],
            extra=at[3 : 3 + added],
        )

    def best_turn(self) -> float:
        """The turn of the best rigid fit, in radians."""
        a, b = self._holes, self._bolts
        return math.atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))

    def gaps(self, across: float, up: float, turn: float) -> tuple[Array, Array, Array]:
        """From where each hole lets its bolt be to the bolt, its rates with the turn, and the axes of free slots.

        Each n×2. The rates are per mm of turn at `reach`; an axis is zero where the bolt is not between the ends of a
        slot.
        """
        import numpy as np

        cos, sin = math.cos(turn), math.sin(turn)
        turned = np.array([[cos, sin], [-sin, cos]])
        spot = self._holes @ turned
        gap = self._bolts - spot - (across, up)
        if not self._half.any():
            return gap, spot[:, ::-1] * (1 / self.reach, -1 / self.reach), np.zeros_like(gap)
        axes = self._axes @ turned
        full = (gap * axes).sum(axis=1)
        along = np.minimum(np.maximum(full, -self._half), self._half)[:, None]
        spot = spot + along * axes
        free = axes * (np.abs(full) < self._half)[:, None]
        return gap - along * axes, spot[:, ::-1] * (1 / self.reach, -1 / self.reach), free


@dataclass(frozen=True)
class _Near:
    """How near a place is to its limits: the barrier's value and what it was made of."""

    value: float
    room: Array
    gap: Array
    lever: Array
    free: Array
    left: Array


class _Path:
    """The way to the best place, from well inside what is allowed."""

    def __init__(self, bolts: Bolts, room: Array, most_turn: float, shares: Array, low: float | None) -> None:
        import numpy as np

        self._bolts, self._room, self._shares, self._low = bolts, room, shares, low
        self._most = most_turn * bolts.reach
        turn = min(max(bolts.best_turn(), -INSIDE * most_turn), INSIDE * most_turn)
        gap, _, _ = bolts.gaps(0.0, 0.0, turn)
        # Let out so far that every bolt is inside; what was added is then taken back.
        start = max(float((np.hypot(*gap.T) - room).max()), 0.0) + 1.0
        added = shares.shape[1] - 1
        self.at = np.array([0.0, 0.0, turn * bolts.reach, *[1.0 + (low or 0.0)] * added, start])
        # A turn that is not allowed is no unknown.
        self._moving = np.array([n for n in range(len(self.at)) if n != len("xy") or self._most > 0])
        self._low_at = np.array([*range(3, 3 + added)] if low is not None else [], dtype=int)

    def follow(self, price: Array) -> Array:
        """The best place, to within `GAP_MM` of what it could cost at least."""
        weight, limits = FIRST_WEIGHT, 2 * len(self._room) + len(self.at)
        while True:
            self._centre(price * weight)
            if limits / weight < GAP_MM:
                return self.at
            weight *= WEIGHT_TIMES

    def _centre(self, price: Array) -> None:
        """Newton's steps to where price and barrier balance."""
        import numpy as np

        near = self._near(self.at)
        for _ in range(MOST_STEPS):
            if near is None:
                return
            slope, bend = self._bent(self.at, near)
            full = (price + slope)[self._moving]
            bend.flat[:: len(bend) + 1] *= 1 + 1e-13
            step = np.zeros_like(self.at)
            step[self._moving] = -np.linalg.solve(bend[np.ix_(self._moving, self._moving)], full)
            falls = -float(full @ step[self._moving])
            if falls < SETTLED:
                return
            size = 1.0
            while size > SMALLEST_STEP:
                tried = self.at + size * step
                new = self._near(tried)
                if new is not None:
                    if new.value - near.value + size * float(price @ step) <= -DESCENT * size * falls:
                        break
                    size /= 2
                else:
                    size /= 4
            else:
                return
            self.at, near = tried, new

    def _near(self, at: Array) -> _Near | None:
        """How near everything is to its limit; None where a limit is passed."""
        import numpy as np

        others = [at[-1], *(at[self._low_at] - (self._low or 0.0))]
        if self._most > 0:
            others += [self._most - at[2], self._most + at[2]]
        room = self._room + self._shares @ at[3:]
        if min(others) <= 0 or room.min() <= 0:
            return None
        gap, lever, free = self._bolts.gaps(float(at[0]), float(at[1]), float(at[2]) / self._bolts.reach)
        away = np.hypot(gap[:, 0], gap[:, 1])
        left = (room - away) * (room + away)
        if left.min() <= 0:
            return None
        value = -float(np.log(left).sum()) - sum(math.log(each) for each in others)
        return _Near(value, room, gap, lever, free, left)

    def _bent(self, at: Array, near: _Near) -> tuple[Array, Array]:
        """Slope and bend of the barrier."""
        import numpy as np

        size = len(at)
        bend = np.zeros((size, size))
        # d(room² − away²), then the curvature that is left: −2 (shares²) + 2 (rates², without what a slot lets pass).
        leaning = np.empty((len(near.room), size))
        leaning[:, :2] = 2 * near.gap
        leaning[:, 2] = -2 * (near.gap * near.lever).sum(axis=1)
        leaning[:, 3:] = 2 * near.room[:, None] * self._shares
        leaning /= near.left[:, None]
        slope = -leaning.sum(axis=0)
        bend += leaning.T @ leaning
        root = np.sqrt(2 / near.left)[:, None]
        shared = self._shares * root
        bend[3:, 3:] -= shared.T @ shared
        arm = near.lever * root
        bend[0, 0] += float((root**2).sum())
        bend[1, 1] += float((root**2).sum())
        crossed = (arm * root).sum(axis=0)
        bend[:2, 2] -= crossed
        bend[2, :2] -= crossed
        bend[2, 2] += float((arm**2).sum())
        if near.free.any():
            passed = np.column_stack([-near.free, (near.free * near.lever).sum(axis=1)]) * root
            bend[:3, :3] -= passed.T @ passed
        for index in (size - 1, *self._low_at):
            each = at[index] - (0.0 if index == size - 1 else self._low or 0.0)
            slope[index] -= 1 / each
            bend[index, index] += 1 / each**2
        if self._most > 0:
            below, above = self._most + at[2], self._most - at[2]
            slope[2] += 1 / above - 1 / below
            bend[2, 2] += 1 / above**2 + 1 / below**2
        return slope, bend
