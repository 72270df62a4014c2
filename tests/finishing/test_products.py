"""Products and batches on the workshop's list, kept and as their pages show them."""

from __future__ import annotations

import html
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.finishing import products
from siteapp.finishing.models import Batch, Product
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.models import Entry
from siteapp.web.dates import today
from siteapp.web.saving import FieldProblem
from tests import factories
from tests.finishing.support import PRODUCT, a_batch, a_product, batch, product
from tests.finishing.test_views import a_jpeg

if TYPE_CHECKING:
    from siteapp.store.db import Store
    from tests.web_support import Browser

TYPED = {name: str(value) for name, value in PRODUCT.items() if name != "dropped"}


def revised(session: Any, product_id: str, **facts: Any) -> None:
    now = products.product_now(session, product_id)
    assert now
    products.revise_product(
        session, factories.a_writer(session), product_id=product_id, revises=now.entry.id, facts=product(**facts)
    )


def test_a_product_keeps_its_id_over_revisions_and_belongs_to_no_job(database: Store) -> None:
    with database.write() as session:
        product_id, batch_id = a_product(session, batch())
    with database.write() as session:
        revised(session, product_id, recoat_hours=12.0)
        a_product(session, name="Another (invented)")
    with database.read() as session:
        assert [one.said.name for one in products.products(session)] == ["Another (invented)", PRODUCT["name"]]
        now = products.product_now(session, product_id)
        assert now
        assert (now.said.recoat_hours, now.words) == (12.0, f"{PRODUCT['name']} ({PRODUCT['maker']})")
        assert [one.batch_id for one in products.batches(session, product_id)] == [batch_id]
        heads = session.query(Entry).filter(Entry.kind.in_(["product", "batch"])).all()
        assert {(head.job_id, head.piece_id) for head in heads} == {(None, None)}
        assert session.query(Product).count() == 3


def test_two_products_of_one_name_and_maker_cannot_be_told_apart(store: Store) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session)
        other, *_rest = a_product(session, maker="Somebody else (invented)")
    with pytest.raises(FieldProblem, match="on the list already") as refused, store.write() as session:
        a_product(session, name="  SEAL primer  (invented)")
    assert refused.value.field == "name"
    with pytest.raises(FieldProblem, match="on the list already"), store.write() as session:
        revised(session, other)
    with store.write() as session:
        revised(session, product_id, hazards=None)
        assert len(products.products(session)) == 2


def test_a_batch_is_there_once_a_product_and_corrected_under_its_own_id(store: Store) -> None:
    with store.write() as session:
        product_id, batch_id = a_product(session, batch())
        other, *_rest = a_product(session, batch(), name="Another (invented)")
        (first,) = products.batches(session, product_id)
    with pytest.raises(FieldProblem, match="on the list already"), store.write() as session:
        a_batch(session, product_id, batch(number="ep-0417"))
    with store.write() as session:
        writer = factories.a_writer(session)
        told = {"product_id": product_id, "corrects": [first.entry.id]}
        facts = batch(opened_on="2026-11-20")
        assert products.add_batch(session, writer, facts=facts, **told) == batch_id
        (now,) = products.batches(session, product_id)
        assert (now.batch_id, now.said.opened_on) == (batch_id, "2026-11-20")
        with pytest.raises(Superseded):
            products.add_batch(session, factories.a_writer(session), facts=batch(number="X"), **told)
        with pytest.raises(StoreError, match="no batch of this product"):
            products.add_batch(session, factories.a_writer(session), facts=facts, **told | {"product_id": other})


def test_what_is_not_there_is_neither_revised_nor_given_a_batch(store: Store) -> None:
    nobody = "00000000-0000-4000-8000-000000000000"
    with store.write() as session:
        product_id, *_rest = a_product(session)
        other, *_rest = a_product(session, name="Another (invented)")
        now = products.product_now(session, other)
        assert now
        with pytest.raises(StoreError, match="no such product"):
            a_batch(session, nobody, batch())
        for revises in (nobody, now.entry.id):
            with pytest.raises(StoreError, match="not this product"):
                products.revise_product(
                    session, factories.a_writer(session), product_id=product_id, revises=revises, facts=product()
                )


@pytest.mark.parametrize(
    ("days", "how"), [(-1, products.PAST), (0, products.IN_DATE), (1, products.IN_DATE), (None, products.UNDATED)]
)
def test_a_batch_is_past_its_date_from_the_day_after_it(store: Store, days: int | None, how: str) -> None:
    day = date(2028, 2, 29)
    expires = None if days is None else (day + timedelta(days=days)).isoformat()
    with store.write() as session:
        product_id, _batch = a_product(session, batch(expires_on=expires))
        (one,) = products.batches(session, product_id)
        assert one.dated(day) == how


def test_a_maker_lists_a_product_and_a_fitter_adds_a_batch_with_its_tin(
    maker: Browser, fitter: Browser, store: Store
) -> None:
    assert "No product on the list yet" in fitter.get("/products").get_data(as_text=True)
    answer = maker.post("/products/new", TYPED)
    assert answer.status_code == 303, answer.get_data(as_text=True)
    home = answer.location
    page = fitter.get(home).get_data(as_text=True)
    for name in ("name", "hazards", "protection", "ventilation", "sheet", "touch_up", "keeps_until"):
        assert html.escape(PRODUCT[name]) in page, name
    assert "Revise the product" not in page
    assert "Revise the product" in maker.get(home).get_data(as_text=True)
    yesterday = today() - timedelta(days=1)
    tin = {"number": "EP-0398 <b>", "expires_on": yesterday.isoformat(), "photos": (a_jpeg(), "tin.jpg")}
    assert fitter.post(f"{home}/batch", tin).status_code == 303
    assert fitter.post(f"{home}/batch", {"number": "EP-0500"}).status_code == 303
    page = fitter.get(home).get_data(as_text=True)
    assert "EP-0398 &lt;b&gt;" in page
    assert "Past its date" in page
    assert "Its date is not known" in page
    listing = fitter.get("/products").get_data(as_text=True)
    assert "2 batches · 1 past its date · 1 without a date" in listing
    with store.read() as session:
        (dated,) = [one for one in products.batches(session) if one.said.expires_on]
        assert [photo.slot for photo in dated.photos] == ["tin"]
    page = fitter.get(f"{home}/batch?correct={dated.entry.id}").get_data(as_text=True)
    assert f'name="corrects" value="{dated.entry.id}"' in page
    assert f'value="{yesterday.isoformat()}"' in page
    assert dated.photos[0].sha256 in page


NO_PRODUCT: list[tuple[dict[str, str], str]] = [
    ({"name": ""}, "Name: this is needed."),
    ({"name": "x" * 161}, "Name: 161 characters are too many. Give at most 160."),
    ({"room_again_hours": "-1"}, "Room may be used again after: “-1” is not taken. Give a number from 0 to 720 h."),
    ({"room_again_hours": "721"}, "“721” is not taken"),
    ({"recoat_hours": "0"}, "Next coat after: “0” is not taken. Give a number from 0.1 to 720 h."),
    ({"recoat_hours": "soon"}, "“soon” is not taken"),
    ({"air_max_c": "9"}, "Air, highest: “9” is below the lowest, 10."),
    ({"surface_max_c": "9"}, "is below the lowest"),
    ({"humidity_min": "90"}, "Humidity, highest: “80.0” is below the lowest, 90."),
    ({"margin_limit_c": "2"}, "Give a number from 3 to 30 °C."),
    ({"humidity_max": "nan"}, "“nan” is not taken"),
    ({"hazards": "\x00"}, "cannot be kept"),
]


def test_what_a_product_cannot_be_is_named_and_everything_typed_stays(maker: Browser, store: Store) -> None:
    for typed, message in NO_PRODUCT:
        answer = maker.post("/products/new", TYPED | typed)
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422
        assert message in page
        assert PRODUCT["touch_up"] in page
    with store.read() as session:
        assert session.query(Product).count() == 0


NO_BATCH: list[tuple[dict[str, str], str]] = [
    ({"number": ""}, "Batch: this is needed."),
    ({"number": "x" * 101}, "Give at most 100."),
    ({"number": "EP-0417"}, "“EP-0417” of this product is on the list already"),
    ({"expires_on": "3/4/2027"}, "Best before: “3/4/2027” is not taken."),
    ({"expires_on": "2027-02-30"}, "“2027-02-30” is not taken."),
    ({"opened_on": "2199-01-01"}, "Opened on: “2199-01-01” is not taken."),
    ({"corrects": "no"}, "damaged on its way"),
    ({"photos_sha": "0" * 64}, "A photo has not reached the laptop yet"),
]


def test_what_a_batch_cannot_be_is_named_and_everything_typed_stays(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        product_id, _batch = a_product(session, batch())
    for typed, message in NO_BATCH:
        answer = fitter.post(f"/products/{product_id}/batch", {"number": "EP-0500", "note": "dented lid"} | typed)
        page = html.unescape(answer.get_data(as_text=True))
        assert answer.status_code == 422
        assert message in page
        assert "dented lid" in page
    with store.read() as session:
        assert session.query(Batch).count() == 1


def test_who_was_slower_keeps_every_word_and_sends_it_after_the_others(maker: Browser, store: Store) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session)
        now = products.product_now(session, product_id)
    assert now
    path = f"/products/{product_id}/edit"
    assert maker.post(path, TYPED | {"revises": now.entry.id, "recoat_hours": "9"}).status_code == 303
    answer = maker.post(path, TYPED | {"revises": now.entry.id, "recoat_hours": "7", "dropped": "yes"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 409
    assert 'value="7"' in page
    assert "Somebody else changed this" in page
    with store.read() as session:
        (one,) = products.products(session)
        assert (one.said.recoat_hours, one.said.dropped) == (9.0, False)


def test_a_dropped_product_is_shown_apart(maker: Browser, store: Store) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session, dropped=True)
    assert "1 product not used any more" in maker.get("/products").get_data(as_text=True)
    assert "Not used any more" in maker.get(f"/products/{product_id}").get_data(as_text=True)


def test_a_product_that_is_not_there_is_not_found(maker: Browser, store: Store) -> None:
    with store.write() as session:
        product_id, *_rest = a_product(session)
    nobody = "/products/00000000-0000-4000-8000-000000000000"
    for path in (nobody, f"{nobody}/edit", f"{nobody}/batch", f"/products/{product_id}/batch?correct=nothing"):
        assert maker.get(path).status_code == 404, path
    assert maker.post(f"{nobody}/batch", {"number": "1"}).status_code == 404
