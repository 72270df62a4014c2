"""When the room may be used again. Times by hand: the last coat's time and the hours as the sheet gives them."""

from __future__ import annotations

import html
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.finishing import services
from siteapp.web.parts import clock
from tests import factories
from tests.finishing.support import PRODUCT, a_product
from tests.finishing.test_products import revised
from tests.finishing.test_services import Bench

if TYPE_CHECKING:
    from siteapp.store.db import Store
    from tests.web_support import Browser

NOW = datetime.now(UTC)
REASON = "No meter here."


def ago(hours: float) -> datetime:
    return NOW - timedelta(hours=hours)


def coat_of(bench: Bench, product_id: str, hours_ago: float, number: int = 1, **facts: Any) -> str:
    facts = {"product": None, "batch": None, "recoat_hours": 0.1, "reason": REASON, "number": number} | facts
    return bench.coat(at=ago(hours_ago), product_id=product_id, **facts)


def test_it_counts_from_the_last_coat_of_each_product_and_the_latest_time_stands(database: Store) -> None:
    with database.write() as session:
        slow, *_rest = a_product(session, room_again_hours=24.0)
        quick, *_rest = a_product(session, name="Quick glaze (invented)", room_again_hours=2.0)
        bench = Bench(session)
        coat_of(bench, slow, 10)
        coat_of(bench, slow, 6, 2)
        coat_of(bench, quick, 1, 3)
        found = services.room_again(bench.state())
    assert found
    assert (found.at, found.hours, found.last_coat) == (ago(6) + timedelta(hours=24), 24.0, ago(6))
    assert (found.source, found.unknown) == (PRODUCT["sheet"], ())
    assert PRODUCT["name"] in (found.product or "")
    assert found.verdict(NOW) == "not met"
    assert found.verdict(found.at) == "met"  # type: ignore[arg-type]


def test_a_product_without_hours_leaves_it_not_to_be_told(store: Store) -> None:
    with store.write() as session:
        slow, *_rest = a_product(session, room_again_hours=12.0)
        silent, *_rest = a_product(session, name="Silent wax (invented)", maker=None, room_again_hours=None)
        bench = Bench(session)
        assert services.room_again(bench.state()) is None
        coat_of(bench, silent, 1)
        found = services.room_again(bench.state())
        assert found
        assert (found.at, found.unknown) == (None, ("Silent wax (invented)",))
        assert found.verdict(NOW) == "cannot tell"
        bench.coat(number=2, product="Tin without a label", reason=REASON)
        coat_of(bench, slow, 20, 3)
        found = services.room_again(bench.state())
        assert found
        assert found.unknown == ("Silent wax (invented)", "Tin without a label")
        # The hours that are known are over; that makes nothing met.
        assert found.verdict(NOW) == "cannot tell"


@pytest.mark.parametrize(("revised_to", "counts"), [(48.0, 48.0), (2.0, 24.0), (None, None)])
def test_hours_put_right_later_count_when_they_are_more(
    store: Store, revised_to: float | None, counts: float | None
) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session, room_again_hours=24.0)
        bench = Bench(session)
        coat_of(bench, product_id, 1)
        revised(session, product_id, room_again_hours=revised_to)
        found = services.room_again(bench.state())
        assert found
        assert found.hours == counts


def test_hours_that_stood_before_the_coat_do_not_count(store: Store) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session, room_again_hours=100.0)
        revised(session, product_id, room_again_hours=24.0)
        bench = Bench(session)
        coat_of(bench, product_id, 1)
        found = services.room_again(bench.state())
        assert found
        assert found.hours == 24.0


def test_a_piece_waits_for_the_worst_of_its_sessions_and_forgets_what_is_a_month_old(store: Store) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session, room_again_hours=24.0)
        bench = Bench(session)
        coat_of(bench, product_id, 5)
        later = Bench(session, bench.piece)
        later.coat(product="Tin without a label", reason=REASON)
        later.close()
        found = services.piece_room_again(session, bench.piece.piece_id)
        assert found
        assert (found.at, found.unknown) == (ago(5) + timedelta(hours=24), ("Tin without a label",))
        month = NOW + timedelta(hours=721)
        assert services.piece_room_again(session, bench.piece.piece_id, month) is None
        other = factories.a_piece(session)
        assert services.piece_room_again(session, other.piece_id) is None


def test_no_hours_at_all_are_no_wait(store: Store) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session, room_again_hours=0.0)
        bench = Bench(session)
        coat_of(bench, product_id, 0.1)
        found = services.room_again(bench.state())
        assert found
        assert (found.at, found.verdict(NOW)) == (ago(0.1), "met")


def test_session_and_finishing_page_say_it_with_inputs_and_source_and_count_down(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session, room_again_hours=24.0)
        bench = Bench(session)
        coat_of(bench, product_id, 2)
        bench.coat(number=2, product="Tin <without> a label", reason=REASON)
    until = ago(2) + timedelta(hours=24)
    for path in (f"/p/{bench.piece.number}/finishing", f"/p/{bench.piece.number}/finishing/{bench.session_id}"):
        answer = fitter.get(path).get_data(as_text=True)
        page = html.unescape(answer)
        assert f"Room may be used again not before {clock(until)}" in page
        assert f"24 h after the last coat of “{PRODUCT['name']} ({PRODUCT['maker']})” at {clock(ago(2))}" in page
        assert f"source: {PRODUCT['sheet']}" in page
        assert f'data-not-before="{until.isoformat()}"' in page
        assert "no hours are on record for “Tin <without> a label”" in page
        assert "Tin &lt;without&gt; a label" in answer
