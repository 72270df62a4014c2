"""A run in which nothing goes on ends, and says so."""

from __future__ import annotations

import threading

import pytest

from tests.soak.watch import Stuck, Watch


def test_without_a_beat_it_bites_and_the_next_beat_says_so():
    bitten = threading.Event()
    with Watch(bitten.set, 0.1) as watch:
        assert bitten.wait(20)
        with pytest.raises(Stuck, match="nothing went on"):
            watch.beat()


def test_with_beats_it_stays_quiet():
    bitten = threading.Event()
    with Watch(bitten.set, 60) as watch:
        watch.beat()
        assert not bitten.wait(1.5)
