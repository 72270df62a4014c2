"""Bolts: what must always hold of their tables and of what their steel carries."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.trade import bolts
from siteapp.trade.errors import TradeError


def test_a_larger_bolt_needs_a_larger_hole_and_carries_more() -> None:
    for smaller, larger in pairwise(bolts.BOLTS):
        for fit in bolts.FITS:
            assert bolts.clearance_hole_mm(smaller, fit) < bolts.clearance_hole_mm(larger, fit)
        for name in bolts.PROOF_CLASSES:
            assert bolts.proof_load_n(smaller, name) < bolts.proof_load_n(larger, name)
        for name in bolts.CLASSES:
            less, more = bolts.steel_resistance(smaller, name), bolts.steel_resistance(larger, name)
            assert less.pull_n < more.pull_n
            assert less.shear_n < more.shear_n


@pytest.mark.parametrize("bolt", bolts.BOLTS)
def test_a_hole_is_wider_than_its_bolt_and_a_coarser_fit_than_a_finer_one(bolt: str) -> None:
    fine, medium, coarse = (bolts.clearance_hole_mm(bolt, fit) for fit in bolts.FITS)
    assert bolts.BOLTS[bolt].diameter_mm < fine < medium < coarse
    assert bolts.BOLTS[bolt].hole_known


@pytest.mark.parametrize("bolt", bolts.BOLTS)
def test_what_is_allowed_of_the_steel_is_less_than_stretches_it(bolt: str) -> None:
    for name in set(bolts.CLASSES) & set(bolts.PROOF_CLASSES):
        found = bolts.steel_resistance(bolt, name)
        assert found.shear_n < found.pull_n < bolts.proof_load_n(bolt, name)
        assert found.source
        assert found.assumptions


@given(st.floats(1, 1000), st.floats(0.05, 1))
def test_partial_factors_never_make_steel_stronger(tensile: float, share: float) -> None:
    pull, shear = bolts.steel_factors(tensile, tensile * share)
    assert pull >= 1.4
    assert shear >= 1.25


@pytest.mark.parametrize("typed", ["m8", " M8 ", "M8"])
def test_a_small_letter_is_forgiven(typed: str) -> None:
    assert bolts.clearance_hole_mm(typed) == 9


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: bolts.clearance_hole_mm("M9"), "bolt is 'M9'; allowed is one of M3, "),
        (lambda: bolts.clearance_hole_mm(""), "bolt is ''; allowed"),
        (lambda: bolts.clearance_hole_mm(8), "bolt is '8'; allowed"),
        (lambda: bolts.clearance_hole_mm(None), "bolt is 'None'; allowed"),
        (lambda: bolts.clearance_hole_mm("M8", "tight"), "fit is 'tight'; allowed is one of fine, medium, coarse"),
        (lambda: bolts.stress_area_mm2("M" + "8" * 500), "allowed is one of"),
        (lambda: bolts.proof_load_n("M8", "A4-70"), "property class is 'A4-70'; allowed is one of 4.6"),
        (lambda: bolts.proof_load_n("M8", 8.8), "property class is '8.8'; allowed"),
        (lambda: bolts.steel_resistance("M8", "12.9"), "property class is '12.9'; allowed is one of 4.6"),
        (lambda: bolts.steel_factors(math.nan, 1), "tensile strength is nan N/mm²; allowed"),
        (lambda: bolts.steel_factors(800, math.inf), "yield strength is inf N/mm²; allowed"),
        (lambda: bolts.steel_factors(0, 0), "tensile strength is 0 N/mm²; allowed"),
        (lambda: bolts.steel_factors(400, 500), "yield strength is 500 N/mm²; allowed is at most the tensile"),
    ],
)
def test_what_the_tables_do_not_have_is_refused_with_what_they_have(call, words: str) -> None:
    with pytest.raises(TradeError, match=words):
        call()
