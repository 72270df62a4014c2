"""The forces that balance a load at the least elastic energy, when some of them act one way only.

Three equations of balance, any number of equally stiff springs and of rigid stops. What is looked for is the small
movement of the rigid body at which springs and stops balance the load: three numbers, however many springs there are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Flags = NDArray[np.bool_]

# Relative to the load. A load further than this from what can be held is not held.
UNBALANCED = 1e-9
BALANCED = 1e-13
NOTHING = 1e-12
STOP_STIFFNESS = (1e3, 1e5)
ROUNDS = 10
STEPS = 100
SLIGHTLY = 1e-12
TIDIED = 3


@dataclass(frozen=True)
class Balance:
    """Forces of springs and stops, or a movement that nothing stops.

    `movement` is None where the load can be balanced. Else it is a direction, of length up to 1 and in the coordinates
    of the equations, in which no spring and no stop resists and the load does work; the forces then say what it turns
    about.
    """

    springs: Numbers
    stops: Numbers
    movement: Numbers | None


def balance(springs: Numbers, one_way: Flags, stops: Numbers, load: Numbers) -> Balance:
    """Least ½Σf² of the springs with springs·f + stops·q + load = 0, q ≥ 0, and f ≥ 0 where `one_way`.

    `springs` is 3×n, `stops` 3×m (what a unit force of each does in the three equations), `load` has length 3. A load
    that cannot be balanced gives the movement instead: by Farkas' lemma there is always one of the two. The forces of
    the springs are unique; those of more stops than needed are shared nearly as equally stiff ones would share them.
    """
    import numpy as np
    from scipy.optimize import nnls  # type: ignore[import-untyped]

    size = float(np.linalg.norm(load))
    count = springs.shape[1]
    every = np.hstack([springs, stops])
    if size == 0:
        return Balance(np.zeros(count), np.zeros(every.shape[1] - count), None)
    wanted = -load / size
    if not every.shape[1]:
        # Not left to the library: its routine for no columns at all crashes (SciPy 1.17).
        return Balance(np.zeros(0), np.zeros(0), -wanted)
    one_way = np.concatenate([one_way, np.ones(stops.shape[1], dtype=bool)])
    # A spring that works both ways counts as two. What is left over of this least-squares problem is at right angles
    # to all that holds, and against nothing that is free to yield: it is the movement.
    held, _ = nnls(np.hstack([every, -every[:, ~one_way]]), wanted, maxiter=10_000)
    forces = held[: every.shape[1]]
    forces[~one_way] -= held[every.shape[1] :]
    missing = wanted - every @ forces
    movement = -missing if float(np.linalg.norm(missing)) > UNBALANCED else None
    if movement is None:
        forces = _Body(every, one_way, count, wanted).least_energy()
        forces[np.abs(forces) < NOTHING] = 0
    return Balance(forces[:count] * size, forces[count:] * size, movement)


@dataclass(frozen=True)
class _Body:
    """A body on springs (the first `count` columns of `every`) and stops (the rest), and the force wanted of them."""

    every: Numbers
    one_way: Flags
    count: int
    wanted: Numbers

    def least_energy(self) -> Numbers:
        """Forces of all columns.

        Stops begin as springs a thousand times stiffer with a shim behind each; the shims are thickened until no stop
        gives way any more (the method of multipliers). So rigid stops cost less accuracy than very stiff springs would.
        """
        import numpy as np

        stiffness = np.ones(self.every.shape[1])
        shims = np.zeros(self.every.shape[1])
        moved = np.zeros(3)
        for stiff in (*STOP_STIFFNESS, *STOP_STIFFNESS[-1:] * ROUNDS):
            stiffness[self.count :] = stiff
            moved = self._rest(stiffness, shims, moved)
            forces = self._forces(shims + stiffness * (self.every.T @ moved))
            gave_way = np.abs(forces - shims)[self.count :].max(initial=0)
            if gave_way < NOTHING * (1 + np.abs(forces).max(initial=0)):
                break
            shims[self.count :] = forces[self.count :]
        # What rounding left over goes to those that work, in the smallest amounts; one that it would turn round is out.
        for _ in range(TIDIED):
            working = ~self.one_way | (forces > 0)
            rest = self.wanted - self.every @ forces
            forces[working] += np.linalg.lstsq(self.every[:, working], rest, rcond=1e-10)[0]
            forces = self._forces(forces)
        return forces

    def _forces(self, as_springs: Numbers) -> Numbers:
        import numpy as np

        return np.where(self.one_way & (as_springs < 0), 0.0, as_springs)

    def _rest(self, stiffness: Numbers, shims: Numbers, moved: Numbers) -> Numbers:
        """The movement at which all balances: Newton's method on an energy that is convex and made of parabolas."""
        import numpy as np

        before, worked = np.inf, self.one_way
        for _ in range(STEPS):
            as_springs = shims + stiffness * (self.every.T @ moved)
            missing = self.wanted - self.every @ self._forces(as_springs)
            size = float(np.linalg.norm(missing))
            working = ~self.one_way | (as_springs > 0)
            # While the same ones work, one step is enough: what a second one cannot halve is rounding.
            if size < BALANCED or (size > before / 2 and np.array_equal(working, worked)):
                break
            before, worked = size, working
            resists = (self.every[:, working] * stiffness[working]) @ self.every[:, working].T
            # A trace of stiffness everywhere, so that a direction in which nothing works has an answer too.
            step = np.linalg.solve(resists + SLIGHTLY * (1 + np.trace(resists)) * np.eye(3), missing)
            moved = moved + self._length(as_springs, stiffness, step) * step
        return moved

    def _length(self, as_springs: Numbers, stiffness: Numbers, step: Numbers) -> float:
        """How far along `step` the energy is least: where its slope, straight between kinks and rising, passes 0."""
        import numpy as np

        turns = self.every.T @ step
        change = stiffness * turns

        def downhill(length: float) -> float:
            return float(step @ self.wanted - turns @ self._forces(as_springs + length * change))

        # Near the end the whole step is the right one, and the kinks need no looking at.
        if abs(downhill(1.0)) < SLIGHTLY * abs(float(step @ self.wanted)):
            return 1.0
        with np.errstate(divide="ignore", invalid="ignore"):
            kinks = -as_springs[self.one_way] / change[self.one_way]
        kinks = np.sort(kinks[np.isfinite(kinks) & (kinks > 0)])
        low, high = 0, len(kinks)  # the slope passes 0 after `low` kinks at the least, and before kink `high`
        while low < high:
            middle = (low + high) // 2
            low, high = (middle + 1, high) if downhill(float(kinks[middle])) > 0 else (low, middle)
        before = float(kinks[low - 1]) if low else 0.0
        after = float(kinks[low]) if low < len(kinks) else before + 1.0
        first, second = downhill(before), downhill(after)
        return before + (after - before) * first / (first - second) if first > second else before
