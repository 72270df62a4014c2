"""Coats and climates that take a product from the workshop's list."""

from __future__ import annotations

import html
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.finishing import services
from siteapp.finishing.models import ClimateReading, Coat
from siteapp.store.errors import StoreError
from siteapp.web.dates import day_words, today
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.finishing.support import GOOD, PRODUCT, a_product, batch, coat
from tests.finishing.test_products import revised
from tests.finishing.test_services import Bench
from tests.finishing.test_views import begin, typed

if TYPE_CHECKING:
    from siteapp.store.db import Store
    from tests.web_support import Browser

WORDS = f"{PRODUCT['name']} ({PRODUCT['maker']})"
CHOSEN = {"product": None, "batch": None}
NOBODY = "00000000-0000-4000-8000-000000000000"
# Long enough ago that a run over midnight changes nothing.
PAST = today() - timedelta(days=14)


def bench_and_list(session: Any, **facts: Any) -> tuple[Bench, str, str]:
    product_id, batch_id = a_product(session, batch(**facts))
    bench = Bench(session)
    bench.climate(product=PRODUCT["name"])
    return bench, product_id, batch_id


def test_a_coat_keeps_ids_words_and_hours_and_no_later_revision_changes_it(database: Store) -> None:
    with database.write() as session:
        bench, product_id, batch_id = bench_and_list(session)
        entry_id = bench.coat(product_id=product_id, batch_id=batch_id, **CHOSEN)
    with database.write() as session:
        revised(session, product_id, name="Renamed (invented)", recoat_hours=99.0, dropped=True)
    with database.read() as session:
        said = session.get_one(Coat, entry_id)
        assert (said.product_id, said.batch_id) == (product_id, batch_id)
        assert (said.product, said.batch, said.recoat_hours) == (WORDS, "EP-0417", 8.0)
        # The climate was read for the product by its name alone, and that is the same product.
        assert said.climate_verdict == "met"


def test_hours_and_batch_that_are_typed_stand_where_the_list_has_none(store: Store) -> None:
    with store.write() as session:
        bench, product_id, _batch = bench_and_list(session)
        entry_id = bench.coat(product_id=product_id, product=None, batch="EP-9", recoat_hours=16.0)
        said = session.get_one(Coat, entry_id)
        assert (said.batch, said.batch_id, said.recoat_hours) == ("EP-9", None, 16.0)


@pytest.mark.parametrize(
    ("facts", "field"),
    [({"product": "Other glaze (invented)", "batch": None}, "product"), ({"batch": "B-17"}, "batch")],
)
def test_words_that_are_not_those_of_the_choice_are_refused(store: Store, facts: dict[str, Any], field: str) -> None:
    with store.write() as session:
        bench, product_id, batch_id = bench_and_list(session)
        ids = {"product_id": product_id, "batch_id": batch_id}
        with pytest.raises(FieldProblem, match="Keep one of them") as refused:
            bench.coat(**{"product": None, **ids, **facts})
        assert refused.value.field == field
        bench.coat(**ids, product=f" {WORDS.upper()}", batch="ep-0417")


def test_what_is_not_on_the_list_is_refused(store: Store) -> None:
    with store.write() as session:
        bench, product_id, _batch = bench_and_list(session)
        _other, foreign = a_product(session, batch(number="Z"), name="Another (invented)")
        for ids in ({"product_id": NOBODY}, {"product_id": product_id, "batch_id": foreign}, {"batch_id": foreign}):
            with pytest.raises(StoreError, match="not on the list"):
                bench.coat(**CHOSEN, **ids)


def test_a_batch_past_its_date_needs_a_reason_and_keeps_it(store: Store) -> None:
    with store.write() as session:
        bench, product_id, batch_id = bench_and_list(session, expires_on=PAST.isoformat())
        ids = {"product_id": product_id, "batch_id": batch_id}
        with pytest.raises(FieldProblem, match="batch EP-0417 is past its date") as refused:
            bench.coat(**CHOSEN, **ids)
        assert refused.value.field == "reason"
        entry_id = bench.coat(**CHOSEN, **ids, reason="The maker of the paint tested this tin.")
        assert session.get_one(Coat, entry_id).reason == "The maker of the paint tested this tin."


@pytest.mark.parametrize("dated", [True, False])
def test_a_batch_of_today_or_without_a_date_needs_none(store: Store, dated: bool) -> None:
    expires_on = today().isoformat() if dated else None
    with store.write() as session:
        bench, product_id, batch_id = bench_and_list(session, expires_on=expires_on)
        bench.coat(**CHOSEN, product_id=product_id, batch_id=batch_id)


def test_the_date_early_coat_and_climate_are_all_said_at_once(store: Store) -> None:
    with store.write() as session:
        bench, product_id, batch_id = bench_and_list(session, expires_on=PAST.isoformat())
        bench.coat(**CHOSEN, product_id=product_id, recoat_hours=8.0)
        bench.climate(product=PRODUCT["name"], relative_humidity=96.0)
        with pytest.raises(FieldProblem) as refused:
            bench.coat(**CHOSEN, product_id=product_id, batch_id=batch_id, number=2)
        for words in ("not before", "past its date", "not met"):
            assert words in str(refused.value)


def test_the_coat_form_says_the_hazards_and_how_each_batch_stands(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        product_id, *batches = a_product(
            session,
            batch(number="A"),
            batch(number="B", expires_on=PAST.isoformat()),
            batch(number="C", expires_on=None),
        )
        gone, _batch = a_product(session, batch(number="D"), name="Gone (invented)", dropped=True)
        piece = factories.a_piece(session)
    home = begin(fitter, piece)
    fitter.post(f"{home}/climate", typed(GOOD))
    page = html.unescape(fitter.get(f"{home}/coat").get_data(as_text=True))
    assert f"{WORDS} · batch A · best before 31 Mar 2099" in page
    assert f"{WORDS} · batch B · past its date, {day_words(PAST)}" in page
    assert f"{WORDS} · batch C · its date is not known" in page
    assert f"{WORDS} · batch not on the list" in page
    assert "Gone (invented)" not in page
    for name in ("hazards", "protection", "ventilation"):
        assert PRODUCT[name] in page
    sent = {"listed": f"{product_id}:{batches[0]}", "number": "1", "zone": "left wing", "reason": "No meter."}
    assert fitter.post(f"{home}/coat", sent).status_code == 303
    with store.read() as session:
        said = session.query(Coat).one()
        assert (said.product, said.batch, said.recoat_hours) == (WORDS, "A", 8.0)
    # A phone that was away may send what is dropped by now.
    late = sent | {"listed": gone, "number": "2", "batch": "D"}
    assert fitter.post(f"{home}/coat", late).status_code == 303
    # The next coat is offered with the tin that is open; a correction with the coat's own hours.
    page = fitter.get(f"{home}/coat?correct={said.entry_id}").get_data(as_text=True)
    assert f'<option value="{product_id}:{batches[0]}"' in page
    assert "selected" in page.split(f'value="{product_id}:{batches[0]}"', 1)[1].split(">", 1)[0]


NO_CHOICE: list[tuple[dict[str, str], str]] = [
    ({}, "Product: choose one from the list, or type its name."),
    ({"listed": "nothing"}, "“nothing” is not taken"),
    ({"listed": NOBODY}, "is not taken"),
    ({"listed": "LISTED", "product": "Other (invented)"}, "“Other (invented)” is typed here, but"),
    ({"listed": "LISTED", "recoat_hours": "721"}, "0.1 to 720 h"),
]


def test_a_choice_that_cannot_be_is_named_and_everything_typed_stays(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        product_id, batch_id = a_product(session, batch())
        piece = factories.a_piece(session)
    home = begin(fitter, piece)
    good = {"number": "1", "zone": "left wing", "reason": "r", "note": "rolled"}
    for typed_in, message in NO_CHOICE:
        sent = {name: value.replace("LISTED", f"{product_id}:{batch_id}") for name, value in typed_in.items()}
        answer = fitter.post(f"{home}/coat", good | sent)
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422
        assert message in page
        assert "rolled" in page
    with store.read() as session:
        assert session.query(Coat).count() == 0


def test_limits_are_brought_into_the_climate_form_without_saving_or_losing_anything(
    fitter: Browser, store: Store
) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session)
        piece = factories.a_piece(session)
    home = begin(fitter, piece)
    read = {name: str(GOOD[name]) for name in ("air_c", "relative_humidity", "surface_c", "instrument")}
    read |= {name: str(GOOD[name]) for name in ("air_error_c", "humidity_error", "surface_error_c")}
    answer = fitter.post(f"{home}/climate", read | {"listed": product_id, "more": "listed", "air_max_c": "12"})
    page = html.unescape(answer.get_data(as_text=True))
    assert "data-problems" not in page
    for value in (WORDS, PRODUCT["sheet"], read["instrument"], "32", "80", "30"):
        assert f'value="{value}"' in page, value
    with store.read() as session:
        assert session.query(ClimateReading).count() == 0
    # Sent with the choice alone, the limits are the product's; limits typed by hand stay as typed.
    assert fitter.post(f"{home}/climate", read | {"listed": product_id}).status_code == 303
    by_hand = read | {"listed": product_id, "product": WORDS, "air_min_c": "11"}
    assert fitter.post(f"{home}/climate", by_hand).status_code == 303
    with store.read() as session:
        (state,) = services.sessions(session, piece.piece_id)
        brought, typed_in = (told.said for told in state.climates)
        assert (brought.product, brought.limits_source, brought.surface_max_c) == (WORDS, PRODUCT["sheet"], 32.0)
        assert brought.verdict == "met"
        assert (typed_in.air_min_c, typed_in.air_max_c, typed_in.verdict) == (11.0, None, "cannot tell")


def test_a_climate_product_that_is_not_on_the_list_is_refused(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    home = begin(fitter, piece)
    answer = fitter.post(f"{home}/climate", typed(GOOD) | {"listed": NOBODY})
    assert answer.status_code == 422
    assert "is not taken" in answer.get_data(as_text=True)


def test_without_a_list_the_coat_form_asks_for_words_alone(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    home = begin(fitter, piece)
    assert "from the list</label>" not in fitter.get(f"{home}/coat").get_data(as_text=True)
    assert fitter.post(f"{home}/coat", typed(coat(reason="No meter."))).status_code == 303


def test_the_tin_of_the_product_that_was_read_for_is_offered_again(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        bench, product_id, batch_id = bench_and_list(session)
        bench.climate(product=WORDS)
        bench.coat(**CHOSEN, product_id=product_id, batch_id=batch_id)
        bench.coat(product="Wax (invented)", zone="lower edge", reason="no sheet")
    page = fitter.get(f"/p/{bench.piece.number}/finishing/{bench.session_id}/coat").get_data(as_text=True)
    assert " selected" in page.split(f'value="{product_id}:{batch_id}"', 1)[1].split(">", 1)[0]
    assert 'name="recoat_hours" value="8"' in page
