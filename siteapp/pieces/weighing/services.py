"""Pieces put on scales. The only code that writes their rows."""

from __future__ import annotations

from siteapp.pieces.weighing.reading import Known, WeightNow, weighings, weight_now

__all__ = ["Known", "WeightNow", "weighings", "weight_now"]
