"""No input that is taken away moves a verdict to met."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.finishing.climate import work_out
from tests.finishing.support import GOOD, MAY_BE_MISSING, climate

FACTS = st.fixed_dictionaries(
    {
        "air_c": st.floats(-10, 45),
        "relative_humidity": st.floats(5, 100),
        "surface_c": st.floats(-10, 60),
        "instrument": st.just("meter"),
        "air_error_c": st.floats(0, 2),
        "humidity_error": st.floats(0, 6),
        "surface_error_c": st.floats(0, 4),
        "product": st.just("glaze"),
        "limits_source": st.just("sheet"),
        "air_min_c": st.floats(-5, 15),
        "air_max_c": st.floats(15, 45),
        "surface_min_c": st.floats(-5, 15),
        "surface_max_c": st.floats(15, 60),
        "humidity_min": st.floats(0, 40),
        "humidity_max": st.floats(40, 100),
        "margin_limit_c": st.floats(3, 15),
    }
)
# Near the good day, so that met is drawn often and not only by luck.
NEAR_GOOD = st.fixed_dictionaries(
    {
        name: st.floats(value - 6, value + 6) if name in {"air_c", "surface_c", "relative_humidity"} else st.just(value)
        for name, value in GOOD.items()
    }
)


@given(facts=FACTS | NEAR_GOOD, gone=st.sets(st.sampled_from(MAY_BE_MISSING), min_size=1))
def test_taking_inputs_or_limits_away_never_leaves_met(facts: dict[str, Any], gone: set[str]) -> None:
    assert work_out(climate(**facts | dict.fromkeys(gone))).verdict != "met"


@given(facts=FACTS | NEAR_GOOD)
def test_a_worse_instrument_never_moves_a_verdict_to_met(facts: dict[str, Any]) -> None:
    worse = facts | {"air_error_c": 5.0, "humidity_error": 20.0, "surface_error_c": 10.0}
    before, after = work_out(climate(**facts)), work_out(climate(**worse))
    assert after.verdict != "met" or before.verdict == "met"
    assert before.verdict != "not met" or after.verdict == "not met"


@pytest.mark.parametrize("name", MAY_BE_MISSING)
def test_each_missing_input_says_so(name: str) -> None:
    found = work_out(climate(**{name: None}))
    assert found.verdict == "cannot tell"
    assert found.reasons


def test_the_good_day_is_met_without_reasons() -> None:
    found = work_out(climate())
    assert (found.verdict, found.reasons) == ("met", ())
