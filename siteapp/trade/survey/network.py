"""The equations of a hole survey: what the readings should be, what they fix, and how they are brought together."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.survey.readings import HeightReading, TapeReading

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from siteapp.trade.survey.readings import Reading

    Array = NDArray[np.float64]

# A way in which holes may move with a standard deviation above this is not held by the readings at all (ours).
NOT_HELD_SD_MM = 25.0
# Share of a unit movement under which a hole stands still in it.
STANDS_STILL = 0.1
ENDS_OF_A_ROW = 2
ROW_SHARE = 0.02
MOST_STEPS = 40
SETTLED_MM = 1e-6
NO_GAIN = 1e-11
LEAST_DAMPING = 1e-7
MOST_DAMPING = 1e8
# From this many standard deviations on a reading pulls with its square root: a start that one slip cannot spoil.
ROBUST_FROM = 3.0


@dataclass(frozen=True)
class Solved:
    """Holes where the readings come together best, and what that rests on; arrays in mm.

    `xy` n×2; `off` is computed minus read, per reading; `cofactor` 2n×2n (free directions left out); `hat` m×m in
    units of each reading's standard deviation; `free` the number of directions that nothing holds.
    """

    xy: Array
    off: Array
    cofactor: Array
    hat: Array
    free: int
    squares: float


class Network:
    """Readings among holes, in the order of `labels`; holes in `fixed` stay where they are."""

    def __init__(self, readings: Sequence[Reading], labels: Sequence[str], fixed: frozenset[str] = frozenset()) -> None:
        import numpy as np

        self.readings = tuple(readings)
        self.labels = tuple(labels)
        self.fixed = fixed
        index = {label: number for number, label in enumerate(self.labels)}
        self._tapes = np.array([n for n, r in enumerate(self.readings) if isinstance(r, TapeReading)], dtype=int)
        self._heights = np.array([n for n, r in enumerate(self.readings) if isinstance(r, HeightReading)], dtype=int)
        ends = [(index[r.holes[0]], index[r.holes[-1]]) for r in self.readings]
        self._from = np.array([one for one, _ in ends], dtype=int)
        self._to = np.array([other for _, other in ends], dtype=int)
        self._read = np.array([r.observed_mm for r in self.readings], dtype=float)
        self.sigma = np.array([r.sigma_mm for r in self.readings], dtype=float)
        self._weights = 1 / self.sigma
        # Unknowns: x and y of each hole, then the height of the laser line where one was used.
        moving = [2 * n + axis for n, label in enumerate(self.labels) if label not in fixed for axis in (0, 1)]
        if len(self._heights):
            moving.append(2 * len(self.labels))
        self._moving = np.array(moving, dtype=int)

    def equations(self, xy: Array, line: float) -> tuple[Array, Array]:
        """Computed minus read in mm, and its rates of change (m × (2n+1), the last column for the laser line)."""
        import numpy as np

        rates = np.zeros((len(self.readings), 2 * len(xy) + 1))
        step = xy[self._to] - xy[self._from]
        # A pair set level: the difference in height. Tapes and heights are written over it.
        computed = step[:, 1].copy()
        rows = np.arange(len(self.readings))
        rates[rows, 2 * self._to + 1] = 1.0
        rates[rows, 2 * self._from + 1] -= 1.0
        tapes, heights = self._tapes, self._heights
        if len(tapes):
            length = np.maximum(np.hypot(step[tapes, 0], step[tapes, 1]), 1e-9)
            along = step[tapes] / length[:, None]
            computed[tapes] = length
            for axis in (0, 1):
                rates[tapes, 2 * self._to[tapes] + axis] = along[:, axis]
                rates[tapes, 2 * self._from[tapes] + axis] = -along[:, axis]
        if len(heights):
            computed[heights] = xy[self._from[heights], 1] - line
            rates[heights, 2 * self._from[heights] + 1] = 1.0
            rates[heights, -1] = -1.0
        return computed - self._read, rates

    def first_line(self, xy: Array) -> float:
        """Where the laser line seems to lie: the middle one of what each height says of it."""
        import numpy as np

        heights = self._heights
        return float(np.median(xy[self._from[heights], 1] - self._read[heights])) if len(heights) else 0.0

    def movements(self, xy: Array) -> tuple[Array, Array]:
        """Ways in which nothing holds the holes (2n × k), and the cofactor (2n+1 square) of all that is held."""
        import numpy as np

        _, rates = self.equations(xy, 0.0)
        held = rates[:, self._moving] * self._weights[:, None]
        strengths, ways = np.linalg.eigh(held.T @ held)
        firm = strengths > NOT_HELD_SD_MM**-2
        size = 2 * len(xy) + 1
        cofactor = np.zeros((size, size))
        cofactor[np.ix_(self._moving, self._moving)] = (ways[:, firm] / strengths[firm]) @ ways[:, firm].T
        loose = np.zeros((size, int((~firm).sum())))
        loose[self._moving] = ways[:, ~firm]
        return loose[:-1], cofactor

    def hat(self, xy: Array, cofactor: Array) -> Array:
        """Share of each reading's error that the result takes over from each reading (m×m)."""
        _, rates = self.equations(xy, 0.0)
        weighted = rates * self._weights[:, None]
        shares: Array = weighted @ cofactor @ weighted.T
        return shares

    def solve(self, start: Array, steps: int = MOST_STEPS) -> Solved:
        """Least squares from `start`, in at most `steps`; directions that nothing holds are left as they are."""
        import numpy as np

        xy, line = self._settle(start, steps, robust=False)
        off, _ = self.equations(xy, line)
        ways, cofactor = self.movements(xy)
        weighted = off * self._weights
        return Solved(
            xy=xy,
            off=off,
            cofactor=cofactor[:-1, :-1],
            hat=self.hat(xy, cofactor),
            free=ways.shape[1],
            squares=float(np.dot(weighted, weighted)),
        )

    def robust_start(self, start: Array) -> Array:
        """Holes with single large errors held down, as a place to start from."""
        return self._settle(start, MOST_STEPS, robust=True)[0]

    def _settle(self, start: Array, steps: int, *, robust: bool) -> tuple[Array, float]:
        """Levenberg's damped steps; with `robust` large errors count by their size, not by its square."""
        import numpy as np

        xy, line = start.copy(), self.first_line(start)
        off, rates = self.equations(xy, line)
        cost, scale = self._cost(off, robust=robust)
        damping = LEAST_DAMPING
        for _ in range(steps):
            held = rates[:, self._moving] * scale[:, None]
            normal = held.T @ held
            normal.flat[:: len(normal) + 1] += damping * (1.0 + float(normal.diagonal().max(initial=0.0)))
            step = np.zeros(2 * len(xy) + 1)
            step[self._moving] = -np.linalg.solve(normal, held.T @ (off * scale))
            tried = xy + step[:-1].reshape(-1, 2)
            tried_line = line + float(step[-1])
            tried_off, tried_rates = self.equations(tried, tried_line)
            tried_cost, tried_scale = self._cost(tried_off, robust=robust)
            if tried_cost <= cost * (1 + 1e-12) + 1e-18:
                gained, moved = cost - tried_cost, float(np.abs(step).max())
                xy, line, off, rates, cost, scale = tried, tried_line, tried_off, tried_rates, tried_cost, tried_scale
                damping = max(damping / 10, LEAST_DAMPING)
                if moved < SETTLED_MM or gained <= NO_GAIN * cost:
                    break
            else:
                damping *= 10
                if damping > MOST_DAMPING:
                    break
        return xy, line

    def _cost(self, off: Array, *, robust: bool) -> tuple[float, Array]:
        import numpy as np

        sizes = np.abs(off * self._weights)
        if not robust:
            return float(sizes @ sizes), self._weights
        large = np.maximum(sizes / ROBUST_FROM, 1.0)
        costs = np.where(sizes > ROBUST_FROM, 2 * ROBUST_FROM * sizes - ROBUST_FROM**2, sizes**2)
        return float(costs.sum()), self._weights / np.sqrt(large)


def tied_together(network: Network, xy: Array) -> tuple[str, ...]:
    """The largest group of holes that the readings hold as one rigid figure, in the order of the network's labels."""
    import numpy as np

    ways, _ = network.movements(xy)
    index = {label: number for number, label in enumerate(network.labels)}
    known = [index[label] for label in network.labels if label in network.fixed]
    if len(known) > 1:
        bases = [(known[0], known[1])]
    else:
        pairs = {r.key for r in network.readings if isinstance(r, TapeReading)}
        bases = sorted((index[a], index[b]) for a, b in pairs if not known or known[0] in {index[a], index[b]})
    best: Array | None = None
    for base in bases:
        still = _stands_still(ways, xy, *base)
        if still[base[0]] and still[base[1]] and (best is None or still.sum() > best.sum()):
            best = still
            if best.all():
                break
    if best is None:
        return ()
    return tuple(label for label, holds in zip(network.labels, np.asarray(best), strict=True) if holds)


def _stands_still(ways: Array, xy: Array, a: int, b: int) -> Array:
    """Which holes stand still, in every way of moving, for somebody who rides on hole `a` and looks at `b`."""
    import numpy as np

    moved = ways.reshape(len(xy), 2, -1)
    seen = moved - moved[a]
    arm = xy - xy[a]
    square = float(arm[b] @ arm[b])
    turned = np.stack([-arm[:, 1], arm[:, 0]], axis=1)
    rate = np.einsum("d,dk->k", turned[b], seen[b]) / square
    left = seen - turned[:, :, None] * rate
    still: Array = np.sqrt((left**2).sum(axis=(1, 2))) < STANDS_STILL
    return still


def in_a_row(xy: Array) -> bool:
    """Whether all points lie in one line, within 2 % of its length (ours)."""
    import numpy as np

    if len(xy) <= ENDS_OF_A_ROW:
        return True
    spread = np.linalg.svd(xy - xy.mean(axis=0), compute_uv=False)
    return bool(spread[1] <= ROW_SHARE * spread[0])


def rigid(xy: Array, *, turns: bool) -> Array:
    """The movements of the whole figure (2n × 2, or × 3 when it may turn about its middle)."""
    import numpy as np

    middle = xy - xy.mean(axis=0)
    columns = [np.tile([1.0, 0.0], len(xy)), np.tile([0.0, 1.0], len(xy))]
    if turns:
        reach = max(math.sqrt(float((middle**2).sum())), 1e-9)
        columns.append((np.stack([-middle[:, 1], middle[:, 0]], axis=1) / reach).ravel())
    return np.stack(columns, axis=1)
