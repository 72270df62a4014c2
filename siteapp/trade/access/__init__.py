"""A crate's way in: through openings, round corners, up stairs, in a lift; names that other rooms use."""

from __future__ import annotations

from siteapp.trade.access.passing import Passage, round_corner, stand_up, through_opening
from siteapp.trade.access.steps import Box, Corner, Lift, Opening, Slope, Stairs, Stand
from siteapp.trade.access.way import Route, StepFound, route

__all__ = [
    "Box",
    "Corner",
    "Lift",
    "Opening",
    "Passage",
    "Route",
    "Slope",
    "Stairs",
    "Stand",
    "StepFound",
    "round_corner",
    "route",
    "stand_up",
    "through_opening",
]
