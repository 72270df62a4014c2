"""The touch-up kit: put together from the record, written over, as long-lived as the first thing that ends."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.finishing import products
from siteapp.finishing import services as finishing
from siteapp.finishing.kit import services
from siteapp.handover.finished import kit_told
from siteapp.store.errors import Superseded
from siteapp.web.dates import today
from tests import factories
from tests.finishing.support import climate, coat, product
from tests.finishing.test_colour import a_sample

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


def coated(session: Session, piece: PieceNow, **facts: Any) -> str:
    told: dict[str, Any] = {"piece": piece}
    told["session_id"] = finishing.start_session(
        session, factories.a_writer(session), piece=piece, zone="left wing", purpose=None
    )
    finishing.record_climate(session, factories.a_writer(session), facts=climate(), **told)
    finishing.apply_coat(session, factories.a_writer(session), facts=coat(**facts), **told)
    return told["session_id"]


def keep(session: Session, piece: PieceNow, revises: str | None = None, items: Any = (), **facts: Any) -> str:
    told: Any = {"recipe": "Dab it on.", "assembled": None, "items": items, "kept": None, "note": None} | facts
    return services.keep(session, factories.a_writer(session), piece=piece, revises=revises, **told)


def test_it_offers_what_is_on_the_piece_with_how_long_each_keeps(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        facts = product(opened_months=6)
        product_id = products.make_product(session, factories.a_writer(session), facts)
        tin: Any = {"number": "B-1", "expires_on": "2027-12-31", "opened_on": "2026-11-01", "note": None}
        batch_id = products.add_batch(session, factories.a_writer(session), product_id=product_id, facts=tin)
        named = {"product_id": product_id, "batch_id": batch_id, "product": None, "batch": None, "reason": "trial"}
        coated(session, piece, **named)
        a_sample(session, piece)
        (item,) = services.offered(session, piece.piece_id)
        assert (item["batch"], item["keeps_until"]) == ("B-1", "2027-05-01")
        assert "opened" in (item["why"] or "")
        recipe = services.assemble(session, piece.piece_id)
        assert recipe
        for words in (
            "left wing:",
            "batch B-1",
            "Colour Slate:",
            "L* a* b* 52.3 / -1.2 / 4.6",
            "8.4 gloss units at 60°",
        ):
            assert words in recipe.replace("−", "-")


def test_the_kit_keeps_as_long_as_the_first_thing_in_it(database: Store) -> None:
    items: Any = [
        dict.fromkeys(services.ItemFacts.__annotations__) | {"what": what, "keeps_until": until}
        for what, until in (("glaze", "2027-05-01"), ("wax", "2027-02-01"), ("sponge", None))
    ]
    with database.write() as session:
        piece = factories.a_piece(session)
        first = keep(session, piece, items=items)
    with database.read() as session:
        now = services.kit_now(session, piece.piece_id)
        assert now
        assert now.ends == date(2027, 2, 1)
        assert (now.version.said.keeps_until, now.version.said.keeps_why) == ("2027-02-01", "wax ends first")
        told = kit_told(session, piece.piece_id)
        assert told
        assert [thing.what for thing in told.things] == ["glaze", "wax", "sponge"]
    with pytest.raises(Superseded), database.write() as session:
        keep(session, piece)
    with database.write() as session:
        keep(session, piece, revises=first, recipe="Another way.")
        assert services.kit_now(session, piece.piece_id).version.said.recipe == "Another way."


def test_coats_after_it_was_put_together_are_named(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        keep(session, piece)
        assert services.kit_now(session, piece.piece_id).coats_since == ()
        coated(session, piece)
        assert services.kit_now(session, piece.piece_id).coats_since == ("left wing",)


def test_the_page_offers_the_record_and_keeps_what_was_written_over_it(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        coated(session, piece)
    url = f"/p/{piece.number}/touch-up"
    page = maker.get(url).get_data(as_text=True)
    assert "left wing:" in page
    past = (today() - timedelta(days=3)).isoformat()
    fields = {"recipe": "Dab it on, twice.", "items-0-what": "Glaze", "items-0-keeps_until": past, "kept": "drawer"}
    assert maker.post(url, fields | {"recipe": ""}).status_code == 422
    assert maker.post(url, fields).status_code == 303
    page = maker.get(url).get_data(as_text=True)
    for words in ("Dab it on, twice.", "past its date", "drawer", "What the record would put together now"):
        assert words in page
