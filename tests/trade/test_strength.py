"""The piece's own strength: what must always hold of it, and what it refuses."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.trade import strength
from siteapp.trade.errors import TradeError
from siteapp.trade.strength import COUPON, NOT_PROVED, PROOF_LOAD, point_strength
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

COUPON_PULLED: dict[str, Any] = {
    "pull_n": 300.0,
    "shear_n": 400.0,
    "proof": COUPON,
    "proof_n": 1570.0,
    "coupon_area_mm2": 314.0,
    "bond_area_mm2": 12_000.0,
    "factor": 8.0,
    "near_heat": True,
    "hottest_c": 60.0,
    "bond_service_c": 70.0,
    "hole_mm": 9.0,
    "edge_mm": 15.0,
    "plate_mm": 4.0,
}
HELD = COUPON_PULLED | {"proof": PROOF_LOAD, "proof_n": 600.0}
RANK = {NOT_MET: 0, CANNOT_TELL: 1, MET: 2}

forces = st.floats(0, 5_000)
everything = st.fixed_dictionaries(
    {
        "pull_n": st.none() | forces,
        "shear_n": st.none() | forces,
        "proof": st.sampled_from((None, COUPON, PROOF_LOAD, NOT_PROVED)),
        "proof_n": st.none() | st.floats(1, 10_000),
        "bond_area_mm2": st.none() | st.floats(100, 50_000),
        "coupon_area_mm2": st.none() | st.floats(50, 2_000),
        "factor": st.none() | st.floats(1, 20),
        "near_heat": st.sampled_from((None, True, False)),
        "hottest_c": st.none() | st.floats(20, 120),
        "bond_service_c": st.none() | st.floats(20, 120),
        "hole_mm": st.none() | st.floats(4, 20),
        "slot_mm": st.none() | st.floats(0, 30),
        "edge_mm": st.none() | st.floats(4, 60),
        "plate_mm": st.none() | st.floats(1, 10),
    }
)
# What a slot says by its absence is that there is none; that it hangs away from heat is said, too, and not measured.
MAY_BE_MISSING = sorted(set(HELD) - {"proof"})


@pytest.mark.parametrize("proved", [COUPON_PULLED, HELD])
def test_a_point_that_was_proved_and_lacks_nothing_is_met(proved: dict[str, Any]) -> None:
    found = point_strength(**proved)
    assert (found.verdict, found.reasons) == (MET, ())
    assert found.assumptions
    assert found.source


@pytest.mark.parametrize("proof", [None, NOT_PROVED])
def test_a_point_that_was_not_proved_is_cannot_tell(proof: str | None) -> None:
    found = point_strength(**(HELD | {"proof": proof}))
    assert found.verdict == CANNOT_TELL
    assert found.allowed_n is None
    assert "not proved" in found.reasons[0]


@pytest.mark.parametrize("name", MAY_BE_MISSING)
def test_what_is_missing_is_named_and_cannot_tell(name: str) -> None:
    found = point_strength(**(COUPON_PULLED | {name: None}))
    assert found.verdict == CANNOT_TELL
    assert found.reasons


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"proof_n": 100.0}, "designed for 500 N and was proved for 478 N"),
        ({"factor": 100.0}, "and was proved for 600 N"),
        ({"bond_service_c": 59.0}, "may get 60 °C hot and its bond stands 59 °C"),
        ({"edge_mm": 10.0}, "10 mm from the plate's edge; at least 10.8 mm are asked"),
        ({"slot_mm": 6.0, "edge_mm": 13.0}, "at least 13.5 mm are asked"),
    ],
)
def test_what_is_too_little_is_not_met_and_said_with_its_figures(change: dict[str, Any], words: str) -> None:
    demand = {"pull_n": 600.0, "shear_n": 400.0} if "factor" in change else {}
    found = point_strength(**(COUPON_PULLED | demand | change))
    assert found.verdict == NOT_MET
    assert words in " ".join(found.reasons)


def test_a_slot_that_may_run_towards_the_edge_cannot_be_told() -> None:
    assert point_strength(**(HELD | {"slot_mm": 6.0, "edge_mm": 14.0})).verdict == CANNOT_TELL
    assert point_strength(**(HELD | {"slot_mm": 6.0, "edge_mm": 16.6})).verdict == MET


def test_a_slot_of_unknown_length_cannot_be_told() -> None:
    found = point_strength(**(HELD | {"slotted": True}))
    assert (found.verdict, found.reasons) == (CANNOT_TELL, ("how long its slot is is not known",))


def test_a_hook_has_no_hole_near_an_edge() -> None:
    hook = HELD | {"has_hole": False, "hole_mm": None, "edge_mm": None, "plate_mm": None}
    assert point_strength(**hook).verdict == MET


def test_thin_sheet_is_outside_the_rule_for_edges() -> None:
    found = point_strength(**(HELD | {"plate_mm": 2.0}))
    assert found.verdict == CANNOT_TELL
    assert "begins at 3 mm" in found.reasons[0]


def test_away_from_heat_the_bond_is_not_asked_for_its_heat() -> None:
    away = HELD | {"near_heat": False, "bond_service_c": None, "hottest_c": None}
    assert point_strength(**away).verdict == MET
    assert point_strength(**(away | {"near_heat": None})).verdict == CANNOT_TELL


@settings(max_examples=100)
@given(everything, st.sampled_from(MAY_BE_MISSING))
def test_taking_an_input_away_never_moves_towards_met(said: dict[str, Any], name: str) -> None:
    less = said | {name: None}
    before, after = point_strength(**said).verdict, point_strength(**less).verdict
    # What stops the work may be taken away with its figure; what is left is then unknown, and never met.
    assert after != MET or before == MET


@settings(max_examples=100)
@given(everything, st.floats(1, 3))
def test_a_larger_load_never_moves_towards_met_and_a_larger_bond_never_away_from_it(
    said: dict[str, Any], times: float
) -> None:
    before = RANK[point_strength(**said).verdict]
    heavier = {name: said[name] and said[name] * times for name in ("pull_n", "shear_n")}
    assert RANK[point_strength(**(said | heavier)).verdict] <= before
    larger = {"bond_area_mm2": said["bond_area_mm2"] and said["bond_area_mm2"] * times}
    assert RANK[point_strength(**(said | larger)).verdict] >= before


@settings(max_examples=100)
@given(everything)
def test_nothing_is_met_without_a_proof_of_what_it_is_designed_for(said: dict[str, Any]) -> None:
    found = point_strength(**said)
    if found.verdict == MET:
        assert found.demand_n is not None
        assert found.allowed_n is not None
        assert found.demand_n <= found.allowed_n
        assert not found.reasons
    else:
        assert found.reasons


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -1.0, True, "12"])
@pytest.mark.parametrize(
    "name",
    ["pull_n", "shear_n", "proof_n", "bond_area_mm2", "coupon_area_mm2", "factor", "hole_mm", "edge_mm", "plate_mm"],
)
def test_what_is_no_number_in_its_range_is_refused_by_name(name: str, bad: Any) -> None:
    with pytest.raises(TradeError, match="allowed is a number"):
        point_strength(**(COUPON_PULLED | {name: bad}))


@pytest.mark.parametrize("name", ["hottest_c", "bond_service_c"])
def test_a_heat_that_cannot_be_is_refused(name: str) -> None:
    with pytest.raises(TradeError, match="°C; allowed is a number from -40 to 1000 °C"):
        point_strength(**(HELD | {name: -273.15}))


def test_another_way_of_proving_is_refused() -> None:
    with pytest.raises(TradeError, match="how it was proved is 'by eye'; allowed is one of coupon pull, proof load"):
        point_strength(**(HELD | {"proof": "by eye"}))


def test_a_factor_below_one_would_add_strength_and_is_refused() -> None:
    with pytest.raises(TradeError, match=r"factor is 0\.5"):
        strength.bond_allowed_n(1570, 314, 12_000, 0.5)
