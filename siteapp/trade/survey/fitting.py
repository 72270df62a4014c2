"""The template laid on the holes as one rigid figure, and whether it was read from the back."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError
from siteapp.trade.survey.readings import FEWEST_POINTS, places

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from siteapp.trade.survey.network import Array

# The mirrored template fits far better: a third of what is left over, and less by 1 mm or, for a small figure, by 2 %
# of its size (all ours).
FAR_BETTER = 3.0
CLEARLY_MM = 1.0
CLEARLY_SHARE = 0.02

SOURCE = "rigid fit by least squares without scale and without mirror (Kabsch 1976, Acta Cryst. A32, 922; in the plane)"
ASSUMPTIONS = (
    "both are seen from the front",
    "each hole has the same name on the template and on the wall",
    "a figure that is its own mirror image cannot be told from its mirror image",
)


@dataclass(frozen=True)
class Fit:
    """A template on the holes: measured ≈ turned template + shift. mm and degrees, anticlockwise from the front.

    The turn is about the template's own origin, then the shift. `residuals` are measured minus fitted, across and up,
    of each hole that both have. `mirrored` says that the template's mirror image fits far better (`mirrored_rms_mm`).
    """

    shift_x_mm: float
    shift_y_mm: float
    rotation_deg: float
    residuals: Mapping[str, tuple[float, float]]
    rms_mm: float
    mirrored: bool
    mirrored_rms_mm: float
    missing: tuple[str, ...]
    assumptions: tuple[str, ...] = ASSUMPTIONS
    source: str = SOURCE


def best_fit(template: Mapping[str, tuple[float, float]], measured: Mapping[str, tuple[float, float]]) -> Fit:
    """Lay `template` on `measured` (mm, by hole; 2…60 each): no scale, no mirror, least sum of squares.

    Holes that only one of them has are left out and named in `missing`. Raises TradeError for bad input and when
    fewer than two holes are in both.
    """
    drawn, found = places("template", template), places("measured holes", measured)
    both = [label for label in drawn if label in found]
    if len(both) < FEWEST_POINTS:
        message = f"holes that template and wall both have: {len(both)}; allowed is 2 or more"
        raise TradeError(message)
    angle, shift, left = turn_and_shift([drawn[label] for label in both], [found[label] for label in both])
    flipped = [(-drawn[label][0], drawn[label][1]) for label in both]
    _, _, mirror_left = turn_and_shift(flipped, [found[label] for label in both])
    rms, mirror_rms = _rms(left), _rms(mirror_left)
    size = _rms(_about_middle([drawn[label] for label in both]))
    return Fit(
        shift_x_mm=shift[0],
        shift_y_mm=shift[1],
        rotation_deg=math.degrees(angle),
        residuals={label: (float(x), float(y)) for label, (x, y) in zip(both, left, strict=True)},
        rms_mm=rms,
        mirrored=FAR_BETTER * mirror_rms < rms and rms - mirror_rms > min(CLEARLY_MM, CLEARLY_SHARE * size),
        mirrored_rms_mm=mirror_rms,
        missing=tuple(label for label in (*drawn, *found) if label not in both),
    )


def turn_and_shift(
    template: Sequence[tuple[float, float]], measured: Sequence[tuple[float, float]]
) -> tuple[float, tuple[float, float], Array]:
    """Angle (radians), shift (mm) and what is left over (n×2, mm) of the best rigid fit about the origin."""
    import numpy as np

    drawn, found = np.array(template, dtype=float), np.array(measured, dtype=float)
    a, b = _about_middle(drawn), _about_middle(found)
    angle = math.atan2(float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum()), float((a * b).sum()))
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    shift = found.mean(axis=0) - turn @ drawn.mean(axis=0)
    return angle, (float(shift[0]), float(shift[1])), b - a @ turn.T


def _about_middle(points: Sequence[tuple[float, float]] | Array) -> Array:
    import numpy as np

    listed = np.array(points, dtype=float)
    middle: Array = listed - listed.mean(axis=0)
    return middle


def _rms(left: Array) -> float:
    return math.sqrt(float((left**2).sum()) / len(left))
