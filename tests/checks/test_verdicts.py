"""What an answer is worth: nothing that is missing ever makes it met."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hypothesis import given
from hypothesis import strategies as st

from siteapp.checks.verdicts import CANNOT_TELL, MET, NOT_MET, Shown, within, worst, worth

FIGURES = st.floats(-1e6, 1e6)


@dataclass(frozen=True)
class Asked:
    photo: bool = False
    second: bool | None = None
    quantity: str | None = None
    low: float | None = None
    high: float | None = None
    calculation: str | None = None


ASKED = st.builds(
    Asked,
    photo=st.booleans(),
    second=st.none() | st.booleans(),
    quantity=st.none() | st.just("load"),
    low=st.none() | FIGURES,
    high=st.none() | FIGURES,
    calculation=st.none() | st.just("weighed"),
)
SAID = st.sampled_from((MET, NOT_MET, CANNOT_TELL))
READINGS = st.none() | FIGURES | st.just(math.nan)
SHOWN = st.builds(
    Shown,
    reading=READINGS,
    photos=st.integers(0, 3),
    second=st.none() | st.just("Somebody"),
    worked_out=st.booleans(),
    stale=st.booleans(),
)
NOTHING = {"reading": None, "photos": 0, "second": None, "worked_out": False}


@given(ASKED, SAID, SHOWN, st.sets(st.sampled_from(sorted(NOTHING))))
def test_removing_an_input_never_makes_met_what_was_not_met(asked, said, shown, gone) -> None:
    before = worth(asked, said, shown)
    fewer = [worth(asked, said, replace(shown, **{name: NOTHING[name] for name in gone})), worst([])]
    assert before == MET or MET not in fewer


@given(ASKED, SAID, SHOWN)
def test_what_was_answered_is_never_made_better_unless_it_is_out_of_date(asked, said, shown) -> None:
    order = [NOT_MET, CANNOT_TELL, MET]
    found = worth(asked, said, shown)
    assert order.index(found) <= order.index(said) or (shown.stale and found == CANNOT_TELL)


@given(ASKED, SAID, SHOWN)
def test_what_was_worked_out_from_old_particulars_is_cannot_tell(asked, said, shown) -> None:
    assert worth(asked, said, replace(shown, stale=True)) == CANNOT_TELL


@given(ASKED, SHOWN)
def test_met_needs_everything_that_the_line_asks_for(asked, shown) -> None:
    there = [
        not shown.stale,
        asked.quantity is None or (shown.reading is not None and within(asked, shown.reading)),
        not asked.photo or shown.photos > 0,
        not asked.second or shown.second is not None,
        asked.calculation is None or shown.worked_out,
    ]
    assert (worth(asked, MET, shown) == MET) == all(there)


def test_the_limits_themselves_are_within() -> None:
    asked = Asked(quantity="load", low=1.0, high=2.0)
    assert [within(asked, value) for value in (0.999, 1.0, 2.0, 2.001, math.nan)] == [False, True, True, False, False]


@given(st.lists(SAID, min_size=1))
def test_answers_that_disagree_are_never_met(answers) -> None:
    assert (worst(answers) == MET) == (set(answers) == {MET})


def test_no_answer_is_cannot_tell() -> None:
    assert worst([]) == CANNOT_TELL
