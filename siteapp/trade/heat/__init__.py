"""Fire near a piece: clearances, the heat test, its verdict. Names that other rooms use."""

from __future__ import annotations

from siteapp.trade.heat.clearances import (
    COUNTRIES,
    RULES,
    Clearance,
    Held,
    Plate,
    Rule,
    Thing,
    clearances,
    combustible_trim,
    worst,
)
from siteapp.trade.heat.fitting import Fit, fit_exponential, three_point_final
from siteapp.trade.heat.judging import MARGIN_C, HeatVerdict, combine, heat_verdict, heat_verdicts
from siteapp.trade.heat.testing import HeatTest, heat_test

__all__ = [
    "COUNTRIES",
    "MARGIN_C",
    "RULES",
    "Clearance",
    "Fit",
    "HeatTest",
    "HeatVerdict",
    "Held",
    "Plate",
    "Rule",
    "Thing",
    "clearances",
    "combine",
    "combustible_trim",
    "fit_exponential",
    "heat_test",
    "heat_verdict",
    "heat_verdicts",
    "three_point_final",
    "worst",
]
