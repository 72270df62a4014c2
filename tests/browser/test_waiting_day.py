"""A short day on site with a bad network, drawn from a seed (`python3 -m siteapp soak waiting` has the long one)."""

from __future__ import annotations

import os

import pytest

from tests.soak.outbox_day import run
from tests.soak.report import Plan
from tests.support.lan import NoNetwork

SEED = int(os.environ.get("SITEAPP_TESTS_SEED", "20260305"))
PLAN = Plan(SEED, entries=8, photos=3, cuts=12, quiet=2, longest_s=60)


@pytest.mark.timeout(300)
def test_a_day_of_cuts_loses_nothing_doubles_nothing_and_no_line_says_otherwise(tmp_path):
    try:
        result = run(PLAN, tmp_path, lambda _done, _total, _what: None)
    except NoNetwork as why:
        pytest.skip(f"no networks of our own here: {why}")
    assert result.faults == []
    assert result.said == []
    if not result.ran_out:
        assert result.entered == PLAN.entries + PLAN.quiet
        assert result.photos == PLAN.photos
        assert sum(result.cuts.values()) >= PLAN.cuts
