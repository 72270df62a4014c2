"""Colour and sheen as recorded: samples, readings, the client's answer with the figures that stood."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from siteapp.finishing.colour import services
from siteapp.finishing.colour.patches import drawn, patches
from siteapp.finishing.colour.state import colour_now, colours
from siteapp.store.errors import StoreError
from siteapp.trade.errors import TradeError
from siteapp.web.saving import FieldProblem
from tests import factories

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

EYES: dict[str, Any] = {"instrument": "meter 2", "illuminant": "D65", "observer": "10°", "geometry": None}
SAMPLE: dict[str, Any] = dict.fromkeys(services.SampleFacts.__annotations__) | EYES | {
    "name": "Slate", "l": 52.3, "a": -1.2, "b": 4.6, "gloss": 8.4, "gloss_deg": 60, "tolerance": 1.5,
    "gloss_tolerance": 3.0, "dropped": False,
}  # fmt: skip


def a_sample(session: Session, piece: PieceNow, corrects: Any = (), **facts: Any) -> str:
    told: Any = SAMPLE | facts
    return services.make_sample(session, factories.a_writer(session), piece=piece, facts=told, corrects=corrects)


def read(
    session: Session, piece: PieceNow, sample_id: str, light: float | None, corrects: Any = (), **more: Any
) -> str:
    facts: Any = dict.fromkeys(services.ReadingFacts.__annotations__) | EYES | {"zone": "left wing", "l": light}
    facts |= {"a": None, "b": None} if light is None else {"a": -1.2, "b": 4.6}
    told = {"piece": piece, "sample_id": sample_id, "facts": facts | more, "corrects": corrects}
    return services.read(session, factories.a_writer(session), **told)


def answer(session: Session, piece: PieceNow, sample_id: str, **facts: Any) -> str:
    told: Any = {"yes": True, "client_name": "A. Client (invented)", "client_words": None, "light": None} | facts
    return services.answer(session, factories.a_writer(session), piece=piece, sample_id=sample_id, **told)


def test_a_piece_is_met_zone_by_zone_between_zones_and_in_sheen(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session)
        sample_id = a_sample(session, piece)
        for zone in ("left wing", "Left  Wing", "left wing"):
            read(session, piece, sample_id, 52.9, zone=zone, gloss=9.0, gloss_deg=60)
        for light in (52.0, 52.1, 52.2):
            read(session, piece, sample_id, light, zone="edge")
    with database.read() as session:
        now = colour_now(session, piece.piece_id, sample_id)
        assert now
        assert [zone.name for zone in now.zones] == ["left wing", "edge"]
        assert (now.verdict, now.reasons) == ("met", ())
        assert now.worst == pytest.approx(0.6, abs=0.05)
        assert now.gloss_difference == pytest.approx(0.6)
        assert [pair.verdict for pair in now.pairs] == ["met"]


def test_a_reading_put_right_counts_alone(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        sample_id = a_sample(session, piece)
        wrong = read(session, piece, sample_id, 25.9)
        read(session, piece, sample_id, 52.9, corrects=[wrong])
        (one,) = colour_now(session, piece.piece_id, sample_id).readings
        assert one.said.l == 52.9


def test_the_answer_keeps_both_figures_and_says_when_readings_came_after_it(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        sample_id = a_sample(session, piece)
        for light in (52.9, 53.0, 53.1):
            read(session, piece, sample_id, light, gloss=9.0, gloss_deg=60)
        answer(session, piece, sample_id, light="north window")
        now = colour_now(session, piece.piece_id, sample_id)
        given = now.answer.said
        assert given.delta_e == pytest.approx(now.worst)
        assert given.gloss_difference == pytest.approx(0.6)
        assert (given.verdict, given.tolerance, now.answered_before) == ("met", 1.5, False)
        read(session, piece, sample_id, 55.0)
        now = colour_now(session, piece.piece_id, sample_id)
        assert (now.answered_before, now.verdict, now.answer.said.verdict) == (True, "not met", "met")


def test_a_no_needs_words_and_a_yes_may_stand_beside_figures_that_are_not_met(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        sample_id = a_sample(session, piece)
        for _at in range(3):
            read(session, piece, sample_id, 60.0)
        answer(session, piece, sample_id)
        assert colour_now(session, piece.piece_id, sample_id).answer.said.verdict == "not met"
    with pytest.raises(FieldProblem, match="needed with a no"), store.write() as session:
        answer(session, piece, sample_id, yes=False)


@pytest.mark.parametrize(
    ("facts", "error", "words"),
    [
        ({"l": 101.0}, TradeError, r"L\* is 101"),
        ({"b": None}, FieldProblem, "give all three"),
        ({"gloss_deg": None}, FieldProblem, "gloss units and their angle"),
        ({"name": "  SLATE "}, FieldProblem, "a sample of that name"),
    ],
)
def test_what_cannot_be_a_sample_is_refused(store: Store, facts: dict[str, Any], error: type, words: str) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        a_sample(session, piece)
    with pytest.raises(error, match=words), store.write() as session:
        a_sample(session, piece, **({"name": "Another"} | facts))


def test_nothing_read_and_foreign_samples_are_refused(store: Store) -> None:
    with store.write() as session:
        piece, other = factories.a_piece(session), factories.a_piece(session)
        sample_id = a_sample(session, piece)
    with pytest.raises(FieldProblem, match="colour, sheen, or both"), store.write() as session:
        read(session, piece, sample_id, None)
    with pytest.raises(StoreError, match="no such sample"), store.write() as session:
        read(session, other, sample_id, 50.0)


def test_a_sample_is_revised_under_its_id_and_dropped(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        sample_id = a_sample(session, piece)
        before = colour_now(session, piece.piece_id, sample_id).version.entry.id
        assert a_sample(session, piece, corrects=[before], tolerance=2.0) == sample_id
        now = colour_now(session, piece.piece_id, sample_id)
        assert now.sample.tolerance == 2.0
        a_sample(session, piece, corrects=[now.version.entry.id], dropped=True)
        assert colours(session, piece.piece_id) == ()


def test_patches_show_the_sample_first_and_say_what_is_clipped(store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        sample_id = a_sample(session, piece, l=60.0, a=-110.0, b=60.0)
        read(session, piece, sample_id, 50.0, zone="<b>edge")
        found = patches(colour_now(session, piece.piece_id, sample_id))
        assert [one.shown.out_of_gamut for one in found] == [True, False]
        assert "&lt;b&gt;edge" in drawn(found)
        assert drawn([]) == ""


def test_the_pages_walk_from_sample_to_answer(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
    base = f"/p/{piece.number}/colour"
    assert "Measure the agreed sample first" in maker.get(base).get_data(as_text=True)
    sample = {"name": "Slate", "l": "52,3", "a": "-1,2", "b": "4,6", "tolerance": "1.5"} | EYES | {"geometry": ""}
    answer_ = maker.post(base, sample)
    assert answer_.status_code == 303
    here = answer_.headers["Location"]
    page = maker.get(here).get_data(as_text=True)
    assert 'value="meter 2"' in page
    bad = maker.post(here, {"zone": "left", "l": "52", "a": "", "b": "4"} | EYES | {"geometry": ""})
    assert bad.status_code == 422
    assert "L*, a* and b* go together" in bad.get_data(as_text=True)
    assert maker.post(here, {"zone": "left", "l": "120", "a": "0", "b": "4"}).status_code == 422
    for light in ("52.1", "52.4", "52.6"):
        told = {"zone": "left", "l": light, "a": "-1.2", "b": "4.6"} | EYES | {"geometry": ""}
        assert maker.post(here, told).status_code == 303
    page = maker.get(here).get_data(as_text=True)
    assert "a screen shows colours for D65" in page.lower() or "A screen shows colours" in page
    assert maker.post(f"{here}/answer", {"yes": "no", "client_name": "A. Client (invented)"}).status_code == 422
    told = {"yes": "yes", "client_name": "A. Client (invented)", "light": "noon"}
    assert maker.post(f"{here}/answer", told).status_code == 303
    assert "The client said yes to the colour." in maker.get(here).get_data(as_text=True)
    assert "The client said yes." in maker.get(base).get_data(as_text=True)
