"""A figure of holes laid on the holes as planned, with what is known of it carried along."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from siteapp.trade.survey.network import rigid

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.survey.network import Array

# A hole is planned elsewhere, not drilled badly, when it is this far off and leaving it out of the fit brings the rest
# three times closer (ours).
MISPLACED_MM = 100.0
TIMES_CLOSER = 3.0
FEWEST_THAT_TELL = 3


def on_the_plan(xy: Array, cofactor: Array, target: Array, *, turns: bool) -> tuple[Array, Array, tuple[int, ...]]:
    """Points and cofactor brought onto the plan by best fit, and which points the fit leaves out as misplaced."""
    import numpy as np

    fitting = list(range(len(xy)))
    placed = laid_on(xy, target, fitting, turns=turns)
    misplaced: list[int] = []
    while len(fitting) > FEWEST_THAT_TELL:
        far = np.hypot(*(placed - target).T)
        # The farthest point drags the others along, so each is tried: the best fit of the rest tells.
        tries = (
            [
                (float(np.hypot(*(laid_on(xy, target, rest, turns=turns) - target)[rest].T).max()), rest)
                for rest in ([n for n in fitting if n != out] for out in fitting)
            ]
            if far[fitting].max() > MISPLACED_MM
            else []
        )
        if not tries or min(tries)[0] > far[fitting].max() / TIMES_CLOSER:
            break
        rest = min(tries)[1]
        misplaced += [n for n in fitting if n not in rest]
        fitting = rest
        placed = laid_on(xy, target, fitting, turns=turns)
    ways = rigid(placed, turns=turns)
    chosen = np.zeros_like(ways)
    rows = [2 * n + axis for n in fitting for axis in (0, 1)]
    chosen[rows] = ways[rows]
    away = np.eye(2 * len(xy)) - ways @ np.linalg.solve(chosen.T @ ways, chosen.T)
    turned = turned_about(xy, placed) if turns else np.eye(2 * len(xy))
    return placed, away @ turned @ cofactor @ turned.T @ away.T, tuple(misplaced)


def laid_on(xy: Array, target: Array, fitting: Sequence[int], *, turns: bool) -> Array:
    """`xy` shifted, and where it `turns` turned, so that the points in `fitting` come nearest to their targets."""
    import numpy as np

    here, there = xy[fitting].mean(axis=0), target[fitting].mean(axis=0)
    matrix = np.eye(2)
    if turns:
        a, b = xy[fitting] - here, target[fitting] - there
        angle = math.atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))
        matrix = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    laid: Array = (xy - here) @ matrix.T + there
    return laid


def turned_about(xy: Array, placed: Array) -> Array:
    """The turn from `xy` to `placed` as a matrix on all coordinates."""
    import numpy as np

    step, there = xy[-1] - xy[0], placed[-1] - placed[0]
    angle = math.atan2(float(there[1]), float(there[0])) - math.atan2(float(step[1]), float(step[0]))
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    return np.kron(np.eye(len(xy)), turn)
