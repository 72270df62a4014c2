"""A bevelled rail: how hard it is pushed off the wall by what hangs on it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from siteapp.trade.errors import in_range
from siteapp.trade.loads.forces import LARGEST_FORCE_N
from siteapp.trade.loads.supports import STEEPEST_DEG

if TYPE_CHECKING:
    from siteapp.trade.loads.forces import SupportForce
    from siteapp.trade.loads.supports import Support

CLIMBING = 1e-9

RAIL_SOURCE = "thrust = V·tan θ: statics of a wedge without friction, θ the bevel's angle from level"
RAIL_ASSUMPTIONS = (
    "no friction on the bevel, which is on the careful side for the rail's anchors",
    "each point on a rail lies at an anchor of the rail, which takes the thrust there",
)


def rail_thrust_n(vertical_n: float, bevel_deg: float) -> float:
    """The force in N that pushes a bevelled rail off the wall under `vertical_n` (0 or more) hung on it.

    thrust = V · tan θ, `bevel_deg` 0…80 from level. Source: RAIL_SOURCE. Assumes RAIL_ASSUMPTIONS. Raises TradeError
    outside the ranges.
    """
    in_range("load on the rail", vertical_n, 0, LARGEST_FORCE_N, "N")
    in_range("bevel of the rail", bevel_deg, 0, STEEPEST_DEG, "° from level")
    return vertical_n * math.tan(math.radians(bevel_deg))


def on_anchor(support: Support, force: SupportForce) -> SupportForce:
    """What the anchor behind a support gets, in N: a rail's is pulled by the larger of the pull and the thrust."""
    if support.bevel_deg is None:
        return force
    return replace(force, pull_n=max(force.pull_n, rail_thrust_n(max(force.up_n, 0.0), support.bevel_deg)))


def rides_up(support: Support, force: SupportForce) -> bool:
    """Whether the piece is pulled off harder than the bevel holds it in: without friction or a lock it would climb."""
    if support.bevel_deg is None:
        return False
    return force.pull_n > rail_thrust_n(max(force.up_n, 0.0), support.bevel_deg) * (1 + CLIMBING)
