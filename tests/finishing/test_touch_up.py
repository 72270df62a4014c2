"""The recipe for touching up, and pieces found by product or batch."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import insert

from siteapp.finishing import services
from siteapp.finishing.models import Coat
from siteapp.finishing.touch_up import recipe
from siteapp.store.models import Entry
from tests.finishing.support import GOOD, PRODUCT, a_product, batch
from tests.finishing.test_products import revised
from tests.finishing.test_services import Bench

if TYPE_CHECKING:
    from siteapp.store.db import Store

PIECES = 5000


def test_it_is_put_together_from_what_was_recorded_and_nothing_else(store: Store) -> None:
    with store.write() as session:
        product_id, batch_id = a_product(session, batch())
        bench = Bench(session)
        assert recipe(session, bench.piece.piece_id) is None
        bench.climate(product=PRODUCT["name"])
        listed = {"product": None, "batch": None, "product_id": product_id, "batch_id": batch_id, "recoat_hours": 0.1}
        bench.coat(**listed, wet_um=90.0, note="thinned 5 % by mass")
        bench.coat(**listed, number=2, reason="wet on wet")
        bench.coat(product="Wax (invented)", batch=None, number=3, reason="no sheet")
        bench.coat(product="Wax (invented)", batch="W1", number=1, zone="lower edge", reason="no sheet")
        revised(session, product_id, name="Renamed (invented)", touch_up="Brush only.", keeps_until=None)
        told = recipe(session, bench.piece.piece_id)
    primer = f"{PRODUCT['name']} ({PRODUCT['maker']})"
    assert told is not None
    assert told.splitlines() == [
        "left wing:",
        f"– {primer}, batch EP-0417; coats 1, 2; wet film 90 µm. Noted: thinned 5 % by mass",
        "– Wax (invented), batch not recorded; coat 3; wet film not measured.",
        "",
        "lower edge:",
        "– Wax (invented), batch W1; coat 1; wet film not measured.",
        "",
        f"Renamed (invented) ({PRODUCT['maker']}):",
        "Touching up: Brush only.",
        f"Source: {PRODUCT['sheet']}",
        "",
        f"Climate limits of {PRODUCT['name']}: {GOOD['limits_source']}",
    ]


def test_a_corrected_coat_stands_in_the_recipe_as_corrected(store: Store) -> None:
    with store.write() as session:
        bench = Bench(session)
        bench.climate()
        first = bench.coat()
        bench.coat(corrects=[first], batch="B-18")
        told = recipe(session, bench.piece.piece_id)
    assert told
    assert "batch B-18; coat 1" in told
    assert "B-17" not in told


def test_pieces_are_found_by_words_of_product_and_batch_in_any_case(database: Store) -> None:
    with database.write() as session:
        bench, other = Bench(session), Bench(session)
        bench.coat(product="Öl für Ränder (invented)", batch="LOT-ß7", reason="no sheet")
        first = other.coat(product="Wax (invented)", batch="W1", reason="no sheet")
        other.coat(product="Wax (invented)", batch="W2", reason="no sheet", corrects=[first])
        mine, theirs = bench.piece.piece_id, other.piece.piece_id
    with database.read() as session:
        for wanted in ("öl FÜR", "ränder", "lot-SS7", "ÖL  für"):
            assert services.pieces_with(session, wanted) == {mine}, wanted
        assert services.pieces_with(session, "invented") == {mine, theirs}
        assert services.pieces_with(session, "w2") == {theirs}
        for wanted in ("W1", "", "   ", "100 %", "nothing"):
            assert services.pieces_with(session, wanted) == set(), wanted


def test_among_five_thousand_pieces_it_takes_no_time_to_speak_of(store: Store) -> None:
    """The limit is our own: a person who searches should not notice it."""
    with store.write() as session:
        bench = Bench(session)
        bench.coat(reason="no sheet")
        now, writer = datetime.now(UTC), bench.writer()
        heads, coats = [], []
        for at in range(PIECES):
            entry_id = writer.new_id("many")
            heads.append(
                {
                    "id": entry_id,
                    "kind": "coat",
                    "job_id": bench.piece.job_id,
                    "piece_id": writer.new_id("piece"),
                    "chain": "many",
                    "seq": at + 1,
                    "recorded_at": now,
                    "previous_digest": "0" * 64,
                    "body_digest": "0" * 64,
                    "digest": "0" * 64,
                }
            )
            facts = {"number": 1, "zone": "wing", "climate_verdict": "met", "product": f"Glaze {at % 40}"}
            coats.append(facts | {"entry_id": entry_id, "session_id": bench.session_id, "batch": f"B-{at}"})
        session.execute(insert(Entry), heads)
        session.execute(insert(Coat), coats)
        started = time.perf_counter()
        found = services.pieces_with(session, "b-4999")
        took = time.perf_counter() - started
    assert len(found) == 1
    assert took < 1.0
