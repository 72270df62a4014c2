"""Particulars on their pages: typed, refused, revised, told."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.pieces import services
from tests import factories

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session, title="Heron (invented)")


def now(store: Store, piece: PieceNow) -> PieceNow:
    with store.read() as session:
        found = services.find(session, piece.number)
        assert found is not None
        return found


def send(browser: Browser, piece: PieceNow, **fields: Any) -> Any:
    usual = {"title": "Heron (invented)", "object_type": "wall relief", "revises": piece.revision.id}
    return browser.post(f"/p/{piece.number}/edit", {**usual, **fields})


def text(answer: Any) -> str:
    return html.unescape(answer.get_data(as_text=True)).replace("\u202f", " ")


def test_how_it_is_carried_and_heat_close_to_it_are_kept_shown_and_offered_again(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    assert send(maker, piece, stands="suspended", near_heat="no").status_code == 303
    said = now(store, piece).particulars
    assert (said.stands, said.near_heat) == ("suspended", False)
    page = text(fitter.get(f"/p/{piece.number}/particulars"))
    assert "Suspended" in page
    edit = text(maker.get(f"/p/{piece.number}/edit"))
    assert 'name="stands" value="suspended" checked' in edit
    assert 'name="near_heat" value="no" checked' in edit
    assert send(maker, now(store, piece), stands="", near_heat="").status_code == 303
    said = now(store, piece).particulars
    assert (said.stands, said.near_heat) == (None, None)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"title": ""}, "Title: this is needed."),
        ({"stands": "by magic"}, "How it is carried: “by magic” is not taken. Choose one of: Not known, On points"),
        ({"near_heat": "maybe"}, "Heat close to it: “maybe” is not taken. Choose one of: Not known, Yes, No."),
        ({"width_mm": "20001"}, "Width: “20001” is not taken. Give a number from 1 to 20 000 mm."),
        ({"mass_kg": "31"}, "Where the weight comes from: say whether it was weighed or estimated."),
        ({"mass_origin": "weighed"}, "Where the weight comes from: give the weight too, or choose “Not known”."),
        ({"fire_class": "B"}, "Evidence for it: a fire class needs the report that shows it."),
    ],
)
def test_particulars_that_cannot_be_are_refused_and_stay_as_typed(
    maker: Browser, store: Store, piece: PieceNow, fields: dict[str, str], words: str
) -> None:
    answer = send(maker, piece, **{"care": "kept as typed", **fields})
    assert answer.status_code == 422
    assert words in text(answer)
    assert "kept as typed" in text(answer)
    assert now(store, piece).revision.id == piece.revision.id


def test_revisions_tell_what_changed_in_words(maker: Browser, store: Store, piece: PieceNow) -> None:
    fields = {
        "width_mm": "1250,5",
        "stands": "on points",
        "finish": "felt <soft>",
    }
    assert send(maker, piece, **fields).status_code == 303
    answer = maker.get(f"/p/{piece.number}/particulars")
    assert "felt &lt;soft&gt;" in answer.get_data(as_text=True)
    lines = " ".join(text(answer).split())
    assert (
        'Width: <del class="lines"><bdi>1 200 mm</bdi></del> → <ins class="lines"><bdi>1 250.5 mm</bdi></ins>' in lines
    )
    assert 'How it is carried: <span class="quiet">not recorded</span> → ' in lines
    assert "<bdi>A</bdi></b>: taken out" not in lines
    assert "mass_kg" not in lines
    assert "Maker" in lines


def test_a_revision_that_comes_second_is_told_and_goes_after_the_first(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    assert send(maker, piece, care="theirs").status_code == 303
    late = send(maker, piece, care="mine")
    assert late.status_code == 409
    assert "Somebody else changed this" in text(late)
    assert "mine" in text(late)
    assert now(store, piece).particulars.care == "theirs"


def test_a_revision_of_another_piece_or_of_none_is_refused(
    maker: Browser, store: Store, piece: PieceNow, noise: factories.Noise
) -> None:
    for revises in (noise.piece.revision.id, ""):
        answer = send(maker, piece, revises=revises)
        assert answer.status_code == 422
        assert "This revises the particulars of no such piece. Open the page again." in text(answer)
    assert now(store, piece).revision.id == piece.revision.id
