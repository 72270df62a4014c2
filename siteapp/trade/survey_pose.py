"""A piece moved about on its bolts: the best of all places within convex limits, by linear programming.

How far a bolt lies from where its hole lets it be is, in every direction, at least what that one direction shows; so
each direction gives a linear limit that is never too strict. Directions are added where the best place so far
breaks one, until it breaks none: then no other place can be better. The small turn is followed by taking all limits
anew at each place. Kelley, "The cutting-plane method for solving convex programs", J. SIAM 8 (1960), from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from siteapp.trade.survey_network import Array

FIRST_DIRECTIONS = 8
EXACT_MM = 1e-6
# Holes this near to their limit are looked at in one more direction each round.
NEAR_MM = 1.0
# Limits taken at a turn this close, at the farthest hole, are true to well under EXACT_MM.
TURN_SETTLED_MM = 0.02
MOST_ROUNDS = 60
FARTHEST_MM = 1e6


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
        from scipy.optimize import linprog  # type: ignore[import-untyped]

        number, added = shares.shape
        limits = _Limits(number, self._axes, self._half)
        turn = 0.0
        price = np.array([cost[0], cost[1], cost[2] / self.reach, *extra_cost], dtype=float)
        bounds: list[tuple[float | None, float | None]] = [(-FARTHEST_MM, FARTHEST_MM)] * 2
        bounds += [(-most_turn * self.reach, most_turn * self.reach), *[(extra_low, None)] * added]
        for _ in range(MOST_ROUNDS):
            rates, right = self._limits_at(limits, turn)
            answer = linprog(
                price,
                A_ub=np.hstack([rates, -shares[limits.hole]]),
                b_ub=right + room[limits.hole],
                bounds=bounds,
                method="highs",
            )
            if answer.x is None:
                return None
            across, up, turned = (float(value) for value in answer.x[:3])
            turn, before = turned / self.reach, turn
            place = self._place(across, up, turn, answer.x[3:])
            over = place.away - room - shares @ place.extra
            if float(over.max()) <= EXACT_MM and abs(turn - before) * self.reach <= TURN_SETTLED_MM:
                return place
            limits.add(place.towards, self._along(across, up, turn), np.flatnonzero(over > -NEAR_MM))
        return place

    def _place(self, across: float, up: float, turn: float, extra: Array) -> Place:
        import numpy as np

        gap = self._gap(across, up, turn, self._along(across, up, turn))
        away = np.hypot(*gap.T)
        towards = gap / np.maximum(away, 1e-12)[:, None]
        # The bolt counts from its own middle; shifts are told about the holes' middle.
        shift = self.bolts_middle - self.middle
        return Place(across + float(shift[0]), up + float(shift[1]), turn, away, towards, extra)

    def _gap(self, across: float, up: float, turn: float, along: Array) -> Array:
        there = self._holes + along[:, None] * self._axes
        gap: Array = self._bolts - there @ _turn(turn).T - [across, up]
        return gap

    def _along(self, across: float, up: float, turn: float) -> Array:
        """How far along its slot, from the middle, each bolt sits."""
        import numpy as np

        gap = self._gap(across, up, turn, np.zeros(len(self._holes)))
        along: Array = np.clip((gap * (self._axes @ _turn(turn).T)).sum(axis=1), -self._half, self._half)
        return along

    def _limits_at(self, limits: _Limits, turn: float) -> tuple[Array, Array]:
        """Each limit as rates · (across, up, reach·turn) ≤ right + room, taken at `turn`."""
        import numpy as np

        axes = self._axes[limits.hole] @ _turn(turn).T
        middles = self._holes[limits.hole] @ _turn(turn).T
        # As far as the slot reaches towards the bolt, whichever way: never too strict.
        reaches = self._half[limits.hole] * np.abs((limits.direction * axes).sum(axis=1))
        gap = (limits.direction * (self._bolts[limits.hole] - middles)).sum(axis=1) - reaches
        there = middles + limits.along[:, None] * axes
        sideways = np.stack([-there[:, 1], there[:, 0]], axis=1)
        leans = (limits.direction * sideways).sum(axis=1)
        rates = -np.column_stack([limits.direction, leans / self.reach])
        return rates, -gap - leans * turn


class _Limits:
    """Directions in which holes are looked at, and the place in the slot that each is taken at."""

    def __init__(self, number: int, axes: Array, half: Array) -> None:
        import numpy as np

        angles = np.arange(FIRST_DIRECTIONS) * (2 * math.pi / FIRST_DIRECTIONS)
        compass = np.stack([np.cos(angles), np.sin(angles)], axis=1)
        self.hole = np.repeat(np.arange(number), FIRST_DIRECTIONS)
        self.direction = np.tile(compass, (number, 1))
        self.along = half[self.hole] * np.sign((self.direction * axes[self.hole]).sum(axis=1))

    def add(self, towards: Array, along: Array, chosen: NDArray[np.intp]) -> None:
        import numpy as np

        self.hole = np.concatenate([self.hole, chosen])
        self.direction = np.concatenate([self.direction, towards[chosen]])
        self.along = np.concatenate([self.along, along[chosen]])


def _turn(angle: float) -> Array:
    import numpy as np

    return np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
