"""The journey of a piece, told from the kinds of its entries and how far its checks have come."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from siteapp.checks.state import OpenHold, Standing
from siteapp.journey.services import STAGES, WORDS, steps

AT = datetime(2026, 11, 4, 9, 30, tzinfo=UTC)
HOLD = OpenHold("ready", "Weighed", "not met", "weighed")
READY = ("piece", "particulars")
ARRIVED = (*READY, "arrival")
CLOSED = (*ARRIVED, "finishing_session", "finishing_close")


def standing(ready: int | None = None, fixed: int | None = None, holds: tuple[OpenHold, ...] = ()) -> Standing:
    return Standing(left={"ready": ready, "arrived": None, "fixed": fixed}, holds=holds)


@pytest.mark.parametrize(
    ("kinds", "checks", "next_step"),
    [
        (READY, None, "ready"),
        (READY, standing(), "ready"),
        (READY, standing(ready=9, holds=(HOLD,)), "ready"),
        (READY, standing(ready=2), "arrived"),
        (ARRIVED, standing(ready=9, fixed=7, holds=(HOLD,)), "fixed"),
        (ARRIVED, standing(), "fixed"),
        (ARRIVED, standing(fixed=0), "finished"),
        (CLOSED, standing(fixed=1), "fixed"),
        (CLOSED, standing(fixed=0), "handed over"),
        ((*CLOSED, "handover"), standing(fixed=0), "cared for"),
    ],
)
def test_the_next_step_is_the_first_that_is_not_done(
    kinds: tuple[str, ...], checks: Standing | None, next_step: str
) -> None:
    path = steps(dict.fromkeys(kinds, AT), checks)
    assert [step.stage.key for step in path if step.state == "now"] == [next_step]
    done = [step for step in path if step.state == "done"]
    assert all(step.at in {AT, None} for step in done)
    later = next(place for place, step in enumerate(path) if step.state == "now")
    assert all(step.state != "now" for step in path[later + 1 :])


def test_being_cared_for_never_ends() -> None:
    everything = dict.fromkeys((*CLOSED, "handover", "aftercare", "care_date"), AT)
    assert steps(everything, standing(fixed=0))[-1].state == "now"


def test_every_kind_by_which_a_stage_is_told_has_words_of_its_own() -> None:
    assert all(stage.kind in WORDS for stage in STAGES if stage.kind)
