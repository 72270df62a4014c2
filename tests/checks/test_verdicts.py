"""What an answer is worth: nothing that is missing ever makes it met."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from siteapp.checks.verdicts import CANNOT_TELL, MET, NOT_MET, within, worst, worth

FIGURES = st.floats(-1e6, 1e6)


@dataclass(frozen=True)
class Asked:
    photo: bool = False
    quantity: str | None = None
    low: float | None = None
    high: float | None = None


ASKED = st.builds(
    Asked,
    photo=st.booleans(),
    quantity=st.none() | st.just("load"),
    low=st.none() | FIGURES,
    high=st.none() | FIGURES,
)
SAID = st.sampled_from((MET, NOT_MET, CANNOT_TELL))
READINGS = st.none() | FIGURES | st.just(math.nan)


@given(ASKED, SAID, READINGS, st.integers(0, 3))
def test_removing_an_input_never_makes_met_what_was_not_met(asked, said, reading, photos) -> None:
    before = worth(asked, said=said, reading=reading, photos=photos)
    fewer = [
        worth(asked, said=said, reading=None, photos=photos),
        worth(asked, said=said, reading=reading, photos=0),
        worth(asked, said=said, reading=None, photos=0),
        worst([]),
    ]
    assert before == MET or MET not in fewer


@given(ASKED, SAID, READINGS, st.integers(0, 3))
def test_what_was_answered_is_never_made_better(asked, said, reading, photos) -> None:
    order = [NOT_MET, CANNOT_TELL, MET]
    assert order.index(worth(asked, said=said, reading=reading, photos=photos)) <= order.index(said)


@given(ASKED, FIGURES, st.integers(1, 3))
def test_met_needs_the_reading_within_its_limits(asked, reading, photos) -> None:
    found = worth(asked, said=MET, reading=reading, photos=photos)
    if asked.quantity is None:
        assert found == MET
    else:
        assert (found == MET) == within(asked, reading)


def test_the_limits_themselves_are_within() -> None:
    asked = Asked(quantity="load", low=1.0, high=2.0)
    assert [within(asked, value) for value in (0.999, 1.0, 2.0, 2.001, math.nan)] == [False, True, True, False, False]


@given(st.lists(SAID, min_size=1))
def test_answers_that_disagree_are_never_met(answers) -> None:
    assert (worst(answers) == MET) == (set(answers) == {MET})


def test_no_answer_is_cannot_tell() -> None:
    assert worst([]) == CANNOT_TELL
