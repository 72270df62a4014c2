"""A bevelled rail: how hard it is pushed off the wall by what hangs on it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from siteapp.trade.errors import in_range
from siteapp.trade.support_forces import LARGEST_FORCE_N
from siteapp.trade.supports import Action

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from siteapp.trade.support_forces import SupportForce
    from siteapp.trade.supports import Support

STEEPEST_DEG = 80.0

RAIL_SOURCE = "thrust = V·tan θ: statics of a wedge without friction, θ the bevel's angle from level"
RAIL_ASSUMPTIONS = (
    "no friction on the bevel, which is on the careful side for the rail's anchors",
    "the rail is straight and stiff, and carries the thrust into its own anchors",
)


def rail_thrust_n(vertical_n: float, bevel_deg: float) -> float:
    """The force in N that pushes a bevelled rail off the wall under `vertical_n` (0 or more) hung on it.

    thrust = V · tan θ, `bevel_deg` 0…80 from level. Source: RAIL_SOURCE. Assumes RAIL_ASSUMPTIONS. Raises TradeError
    outside the ranges.
    """
    in_range("load on the rail", vertical_n, 0, LARGEST_FORCE_N, "N")
    in_range("bevel of the rail", bevel_deg, 0, STEEPEST_DEG, "° from level")
    return vertical_n * math.tan(math.radians(bevel_deg))


def rail_actions(
    forces: Mapping[str, SupportForce], supports: Sequence[Support], bevel_deg: float, *, stands_off_mm: float
) -> tuple[Action, ...]:
    """What the piece does to a rail at each of `supports` that hangs on it: for the rail's own anchors as a group.

    `forces` in N are what each support does to the piece; the rail gets them the other way round, and outwards the
    larger of the thrust and the pull. `stands_off_mm` is how far the bevel lies before the wall. Raises TradeError as
    `rail_thrust_n`.
    """
    found = []
    for one in supports:
        force = forces[one.label]
        out_n = max(rail_thrust_n(max(force.up_n, 0.0), bevel_deg), force.pull_n)
        found.append(Action(-force.across_n, -force.up_n, out_n, one.x_mm, one.y_mm, stands_off_mm, one.label))
    return tuple(found)
