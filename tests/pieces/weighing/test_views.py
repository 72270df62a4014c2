"""The page of a piece on scales."""

from __future__ import annotations

import html
import io
from typing import TYPE_CHECKING, Any

import pytest
from PIL import Image

from siteapp.pieces import services as pieces
from siteapp.pieces.weighing.services import weighings
from tests import factories

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.pieces.weighing.reading import Weighed
    from siteapp.store.db import Store
    from tests.web_support import Browser

SENT = {
    "scales": "three bench scales (invented)",
    "lying-0-x_mm": "100",
    "lying-0-y_mm": "50",
    "lying-0-mass_kg": "10,0",
    "lying-1-x_mm": "1.1 m",
    "lying-1-y_mm": "50",
    "lying-1-mass_kg": "10",
    "lying-2-x_mm": "600",
    "lying-2-y_mm": "750",
    "lying-2-mass_kg": "10",
    "on_edge-0-z_mm": "30",
    "on_edge-0-mass_kg": "20",
    "on_edge-1-z_mm": "90",
    "on_edge-1-mass_kg": "10",
}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session, mass_kg=None, mass_origin=None, mass_note=None)


def send(browser: Browser, piece: PieceNow, **more: Any) -> Any:
    return browser.post(f"/p/{piece.number}/weighing", {"revises": piece.revision.id, **SENT, **more})


def text(answer: Any) -> str:
    return " ".join(html.unescape(answer.get_data(as_text=True)).replace("\u202f", " ").split())


def done(store: Store, piece: PieceNow) -> list[Weighed]:
    with store.read() as session:
        return weighings(session, piece)


def a_photo() -> tuple[io.BytesIO, str]:
    stream = io.BytesIO()
    Image.new("RGB", (8, 6), "#446622").save(stream, "JPEG")
    stream.seek(0)
    return stream, "scales.jpg"


def test_a_fitter_weighs_a_piece_and_sees_where_its_weight_sits(fitter: Browser, store: Store, piece: PieceNow) -> None:
    page = text(fitter.get(f"/p/{piece.number}/weighing"))
    assert "It has not been on scales here." in page
    assert "the full depth, until it is weighed on edge" in page
    assert send(fitter, piece, photos=a_photo()).status_code == 303
    page = text(fitter.get(f"/p/{piece.number}/weighing"))
    assert "<b>30</b>" in page
    assert "<b>283</b>" in page
    assert "lying, x 1 100, y 50 mm: 10 kg" in page
    assert "on edge, z 90 mm: 10 kg" in page
    assert "three bench scales (invented)" in page
    assert "Fitter" in page
    assert len(done(store, piece)[0].photos) == 1
    told = text(fitter.get(f"/p/{piece.number}/particulars"))
    assert "30 kg, weighed (three bench scales (invented))" in told


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"scales": ""}, "Which scales: this is needed."),
        (
            {"lying-0-mass_kg": "0"},
            "Lying flat, line 1: It shows: “0” is not taken. Give a number from 0.001 to 5 000 kg.",
        ),
        ({"lying-0-mass_kg": "ten"}, "Lying flat, line 1: It shows: “ten” is not taken."),
        ({"lying-0-mass_kg": ""}, "Lying flat, line 1: It shows: this is needed."),
        ({"lying-0-x_mm": ""}, "Lying flat: with two scales or more, give x and y of each."),
        ({"lying-1-x_mm": "100"}, "scales 1 and 2 are 0 mm apart; allowed is 10 mm or more"),
        ({"lying-1-x_mm": "11 m"}, "outside of the piece, which goes from 0 to 1 200 mm"),
        ({"on_edge-1-mass_kg": "20"}, "30 kg lying and 40 kg on edge: one piece weighs the same both ways, to 2 %."),
    ],
)
def test_readings_that_cannot_be_are_refused_by_name_and_stay_as_typed(
    fitter: Browser, store: Store, piece: PieceNow, fields: dict[str, str], words: str
) -> None:
    answer = send(fitter, piece, note="kept as typed", **fields)
    assert answer.status_code == 422
    assert words in text(answer)
    assert "kept as typed" in text(answer)
    assert 'value="10,0"' in text(answer) or "lying-0-mass_kg" in fields
    assert done(store, piece) == []


def test_a_weighing_that_comes_after_another_revision_is_told_and_goes_after_it(
    fitter: Browser, store: Store, piece: PieceNow
) -> None:
    assert send(fitter, piece).status_code == 303
    late = send(fitter, piece, note="mine")
    assert late.status_code == 409
    assert "Somebody else changed this" in text(late)
    assert "mine" in text(late)
    assert len(done(store, piece)) == 1


def test_a_weighing_is_put_right_from_what_it_said(fitter: Browser, store: Store, piece: PieceNow) -> None:
    send(fitter, piece, photos=a_photo())
    (first,) = done(store, piece)
    page = text(fitter.get(f"/p/{piece.number}/weighing?corrects={first.entry.id}"))
    assert "Put the weighing right" in page
    assert 'name="lying-2-y_mm" value="750"' in page
    assert f'value="{first.photos[0].sha256}" checked' in page
    changed = {"revises": "", "corrects": first.entry.id, "lying-2-mass_kg": "10.4", "on_edge-0-mass_kg": "20.4"}
    assert send(fitter, piece, **changed).status_code == 303
    (now,) = done(store, piece)
    assert now.said.mass_kg == 30.4
    with store.read() as session:
        found = pieces.find(session, piece.number)
        assert found is not None
        assert found.particulars.mass_kg == 30.4
    assert "Put right once" in text(fitter.get(f"/p/{piece.number}/weighing"))


def test_a_stranger_is_asked_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    answer = stranger.get(f"/p/{piece.number}/weighing")
    assert answer.status_code == 303
    assert answer.location.startswith("/sign-in")
