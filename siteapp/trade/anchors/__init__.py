"""Anchors as set, tightened and proved, and where cables may run; names that other rooms use."""

from __future__ import annotations

from siteapp.trade.anchors.cable_zones import CableZone, cable_zone
from siteapp.trade.anchors.proving import (
    HOLD_S,
    INVESTIGATE,
    PROOF_ASSUMPTIONS,
    PROOF_SOURCE,
    RECHECK_SOURCE,
    SHOWS,
    TEST_ALL,
    VERDICT_SOURCE,
    Proof,
    ProofPlan,
    first_heating_season_end,
    proof_load_n,
    proof_tests,
    proof_verdict,
)
from siteapp.trade.anchors.setting import (
    Asked,
    AsSet,
    Loading,
    Setting,
    Tightening,
    curing_rows,
    earliest_loading,
    loading_verdict,
    setting_verdict,
    tightening_verdict,
)

__all__ = [
    "HOLD_S",
    "INVESTIGATE",
    "PROOF_ASSUMPTIONS",
    "PROOF_SOURCE",
    "RECHECK_SOURCE",
    "SHOWS",
    "TEST_ALL",
    "VERDICT_SOURCE",
    "AsSet",
    "Asked",
    "CableZone",
    "Loading",
    "Proof",
    "ProofPlan",
    "Setting",
    "Tightening",
    "cable_zone",
    "curing_rows",
    "earliest_loading",
    "first_heating_season_end",
    "loading_verdict",
    "proof_load_n",
    "proof_tests",
    "proof_verdict",
    "setting_verdict",
    "tightening_verdict",
]
