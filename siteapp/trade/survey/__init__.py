"""Drilled holes: what to measure, where they are, and whether the piece goes on. Names that other rooms use."""

from __future__ import annotations

from siteapp.trade.survey.adjustment import CRITICAL, FINDABLE, Adjustment, adjust
from siteapp.trade.survey.easing import Easing
from siteapp.trade.survey.fitting import Fit, best_fit
from siteapp.trade.survey.hole import Hole
from siteapp.trade.survey.offering import OfferUp, offer_up
from siteapp.trade.survey.readings import HeightReading, LevelPair, Reading, TapeReading, in_words
from siteapp.trade.survey.suggesting import suggest_readings, what_is_missing

__all__ = [
    "CRITICAL",
    "FINDABLE",
    "Adjustment",
    "Easing",
    "Fit",
    "HeightReading",
    "Hole",
    "LevelPair",
    "OfferUp",
    "Reading",
    "TapeReading",
    "adjust",
    "best_fit",
    "in_words",
    "offer_up",
    "suggest_readings",
    "what_is_missing",
]
