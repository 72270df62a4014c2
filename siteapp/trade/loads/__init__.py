"""What hangs on each support of a piece on a wall, and whether that is allowed.

The names of this calculation in one place; each file says what it works out. The wall and its anchors are judged by a
competent person; resistances come from the anchor's approval document for that wall.
"""

from __future__ import annotations

from siteapp.trade.loads.cases import Case, design_cases
from siteapp.trade.loads.forces import Forces, SupportForce, support_forces
from siteapp.trade.loads.losing import Group, Loss, lose_each
from siteapp.trade.loads.rail import rail_thrust_n
from siteapp.trade.loads.resistance import Resistance, Share, share_of_allowed
from siteapp.trade.loads.supports import Action, Pad, Support, weight_action

__all__ = [
    "Action",
    "Case",
    "Forces",
    "Group",
    "Loss",
    "Pad",
    "Resistance",
    "Share",
    "Support",
    "SupportForce",
    "design_cases",
    "lose_each",
    "rail_thrust_n",
    "share_of_allowed",
    "support_forces",
    "weight_action",
]
