"""Who can lift what, step by step, by published filters; names that other rooms use."""

from __future__ import annotations

from siteapp.trade.lifting.figures import ZONES, filter_kg, team_capacity_kg
from siteapp.trade.lifting.plan import Plan, StepFound, lift_plan
from siteapp.trade.lifting.steps import LiftStep

__all__ = [
    "ZONES",
    "LiftStep",
    "Plan",
    "StepFound",
    "filter_kg",
    "lift_plan",
    "team_capacity_kg",
]
