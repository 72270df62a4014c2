"""The next coat not before: hours as the data sheet has them, counted from when the coat went on."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.finishing.models import Coat
from siteapp.finishing.state import early_for, wait_under, waits
from siteapp.web.parts import when
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.finishing.support import GOOD, coat
from tests.finishing.test_services import Bench
from tests.finishing.test_views import begin, typed

if TYPE_CHECKING:
    from siteapp.store.db import Store
    from tests.web_support import Browser

NOW = datetime.now(UTC)
BOTH = {"recoat_hours": 4.0}


def ago(hours: float) -> datetime:
    return NOW - timedelta(hours=hours)


def bench_with_a_coat(session: Any, hours_ago: float, **facts: Any) -> tuple[Bench, str]:
    bench = Bench(session)
    bench.climate(at=ago(hours_ago + 0.2))
    return bench, bench.coat(at=ago(hours_ago), **BOTH | facts)


def test_a_coat_before_the_time_of_the_coat_under_it_is_refused_with_the_time(database: Store) -> None:
    with database.write() as session:
        bench, first = bench_with_a_coat(session, 3.5)
        with pytest.raises(FieldProblem) as refused:
            bench.coat(number=2)
        assert refused.value.field == "reason"
        for words in (when(ago(3.5) + timedelta(hours=4)), f"4 h after {when(ago(3.5))}", "left wing", "by the data"):
            assert words in str(refused.value)
        (wait,) = waits(bench.state())
        assert (wait.coat.entry.id, wait.until) == (first, ago(3.5) + timedelta(hours=4))


def test_with_a_reason_it_is_kept_with_it_and_stays_visible(store: Store) -> None:
    with store.write() as session:
        bench, first = bench_with_a_coat(session, 3.5)
        second = bench.coat(number=2, reason="The maker said wet on wet, by telephone.")
        state = bench.state()
        under, over = state.coats
        assert (under.entry.id, over.entry.id) == (first, second)
        assert session.get_one(Coat, second).reason == "The maker said wet on wet, by telephone."
        assert early_for(state, under) is None
        wait = early_for(state, over)
        assert wait
        assert wait.coat.entry.id == first


def test_once_the_time_is_over_no_reason_is_asked(store: Store) -> None:
    with store.write() as session:
        bench, _first = bench_with_a_coat(session, 4.1)
        bench.climate()
        bench.coat(number=2)
        assert [early_for(bench.state(), told) for told in bench.state().coats] == [None, None]


def test_the_time_counts_from_when_the_coat_went_on_not_from_when_it_was_sent(store: Store) -> None:
    # Both coats waited on a phone and are sent now.
    with store.write() as session:
        bench, _first = bench_with_a_coat(session, 9)
        bench.climate(at=ago(4.5))
        bench.coat(number=2, at=ago(4.4))
        with pytest.raises(FieldProblem, match="not before"):
            bench.coat(number=2, zone="left  WING", at=ago(5.5))


def test_blank_hours_are_not_known_and_stop_nothing(store: Store) -> None:
    with store.write() as session:
        bench, _first = bench_with_a_coat(session, 1, recoat_hours=None)
        assert waits(bench.state()) == ()
        bench.coat(number=2)


def test_another_zone_waits_for_itself(store: Store) -> None:
    with store.write() as session:
        bench, _first = bench_with_a_coat(session, 1)
        bench.coat(zone="right wing", recoat_hours=2.0, at=ago(0.5))
        assert [(wait.zone, wait.hours) for wait in waits(bench.state())] == [("left wing", 4.0), ("right wing", 2.0)]


def test_a_coat_that_went_on_early_does_not_end_the_wait_of_the_coat_under_it(store: Store) -> None:
    with store.write() as session:
        bench, first = bench_with_a_coat(session, 2, recoat_hours=24.0)
        bench.coat(number=2, reason="Asked for by the client.", recoat_hours=0.5, at=ago(1))
        (wait,) = waits(bench.state())
        assert wait.coat.entry.id == first


def test_a_corrected_wait_counts_as_corrected_and_a_coat_never_waits_for_itself(store: Store) -> None:
    with store.write() as session:
        bench, first = bench_with_a_coat(session, 2)
        newer = bench.coat(corrects=[first], recoat_hours=1.5)
        (wait,) = waits(bench.state())
        assert (wait.coat.entry.id, wait.until) == (newer, ago(2) + timedelta(hours=1.5))
        bench.coat(number=2)
        # Renumbered, it would be over itself.
        bench.coat(corrects=[newer], number=3, recoat_hours=1.5)


def test_a_coat_recorded_after_the_one_above_it_waits_for_nothing(store: Store) -> None:
    with store.write() as session:
        bench, _second = bench_with_a_coat(session, 1, number=2)
        bench.coat(number=1, at=ago(1))
        assert wait_under(bench.state(), "left wing", 1) is None


def test_the_pages_count_down_to_the_time_and_the_form_asks_for_the_hours(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    home = begin(fitter, piece)
    fitter.post(f"{home}/climate", typed(GOOD))
    assert fitter.post(f"{home}/coat", typed(coat(recoat_hours=4))).status_code == 303
    with store.read() as session:
        (said,) = session.query(Coat).all()
        assert said.recoat_hours == 4
    for path in (home, f"{home}/coat", f"/p/{piece.number}"):
        page = fitter.get(path).get_data(as_text=True)
        assert "Next coat not before" in page, path
        assert "4 h after" in page, path
        assert "data-not-before=" in page, path
    answer = fitter.post(f"{home}/coat", typed(coat(number=2, note="in haste")))
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Reason: the next coat of “left wing” not before" in page
    assert "in haste" in page
    fitter.post(f"{home}/coat", typed(coat(number=2, reason="Wet on wet, by the data sheet.")))
    page = fitter.get(home).get_data(as_text=True)
    assert "went on before" in page
    fitter.post(f"{home}/close", {})
    for path in (home, f"/p/{piece.number}"):
        assert "data-not-before" not in fitter.get(path).get_data(as_text=True), path


@pytest.mark.parametrize("hours", ["0.05", "721", "-1", "nan", "soon", "1,234"])
def test_hours_that_cannot_be_are_refused(fitter: Browser, store: Store, hours: str) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    home = begin(fitter, piece)
    answer = fitter.post(f"{home}/coat", typed(coat(recoat_hours=hours, reason="No meter.")))
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert f"Next coat after: “{hours}" in page
    assert "0.1 to 720 h" in page
    with store.read() as session:
        assert session.query(Coat).count() == 0


def test_hours_may_be_typed_in_minutes(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    home = begin(fitter, piece)
    fitter.post(f"{home}/coat", typed(coat(recoat_hours="90 min", reason="No meter.")))
    with store.read() as session:
        assert session.query(Coat).one().recoat_hours == 1.5
