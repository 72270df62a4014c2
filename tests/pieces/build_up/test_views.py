"""The build-up's page: worked out, refused, saved."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.pieces import services as pieces
from tests import factories
from tests.pieces.build_up.support import PLATE, SHELL, sent

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session)


def send(browser: Browser, piece: PieceNow, *rows: dict[str, Any], **more: str) -> Any:
    return browser.post(f"/p/{piece.number}/build-up", {"revises": piece.revision.id, **sent(*rows), **more})


def text(answer: Any) -> str:
    return " ".join(html.unescape(answer.get_data(as_text=True)).split())


def lines(store: Store, piece: PieceNow) -> list[str]:
    with store.read() as session:
        found = pieces.find(session, piece.number)
        assert found is not None
        return [line.material for line in found.build_up]


def test_the_page_shows_what_is_there_and_saves_what_was_typed(maker: Browser, store: Store, piece: PieceNow) -> None:
    page = text(maker.get(f"/p/{piece.number}/build-up"))
    assert 'value="birch plywood"' in page
    assert 'Lines with a weight, kg</dt><dd data-out="known">6.1<' in page
    assert 'The whole piece, kg</dt><dd data-out="mass">not known<' in page
    shell = SHELL | {"x_mm": "600", "y_mm": 410, "area_m2": "2,4"}
    plate = PLATE | {"x_mm": "600", "y_mm": "300", "pieces": 2}
    assert send(maker, piece, shell, plate).status_code == 303
    page = text(maker.get(f"/p/{piece.number}/build-up"))
    assert 'data-out="mass">11.74<' in page
    assert 'data-out="x">600<' in page
    assert 'data-out="y">401<' in page
    assert 'data-out="z">not known<' in page
    assert "<svg" in page
    # 31.4 kg on the scales against 11.742 by the lines.
    assert "it weighs 167.4 % heavier than its build-up says, more than 10 %: why?" in page
    assert lines(store, piece) == ["shell", "plates"]
    told = text(maker.get(f"/p/{piece.number}/particulars"))
    assert "plates × 2" in told
    assert "worked out from the build-up" in told


def test_the_button_works_out_what_is_typed_so_far_and_writes_nothing(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    answer = send(maker, piece, SHELL, {"made_as": "film", "area_m2": "a lot"}, more="build_up")
    assert answer.status_code == 422
    page = text(answer)
    assert "Weighs, all of it: <b data-line-out>10.8 kg, 3.15 mm thick</b>" in page
    assert 'value="a lot"' in page
    assert 'data-out="mass">not known<' in page
    assert lines(store, piece) == ["copper sheet", "birch plywood"]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([{"mass_kg": "3"}], "line 1: Material: this is needed."),
        (
            [{**SHELL, "glass_fraction": "30"}],
            "line 1: Glass fraction by mass: “30” is not taken. Give a number from 0.05",
        ),
        ([{**SHELL, "area_m2": "two"}], "line 1: Area: “two” is not taken."),
        ([SHELL, {**PLATE, "made_as": "by magic"}], "line 2: Made as: “by magic” is not taken."),
        ([SHELL, {**PLATE, "pieces": "1.5"}], "line 2: How many: “1.5” is not taken. Give a whole number from 1"),
        (
            [{**SHELL, "mass_kg": "12"}],
            "line 1: Weight: 12 kg is typed, and its sizes come to 10.8 kg. Which is right?",
        ),
        ([{**PLATE, "x_mm": "12 m"}], "line 1: x, to the right: 12 000 mm is far outside of the piece"),
    ],
)
def test_lines_that_cannot_be_are_refused_by_name_and_stay_as_typed(
    maker: Browser, store: Store, piece: PieceNow, rows: list[dict[str, Any]], words: str
) -> None:
    answer = send(maker, piece, *rows, {"material": "kept as typed"})
    assert answer.status_code == 422
    assert words in text(answer)
    assert "kept as typed" in text(answer)
    assert lines(store, piece) == ["copper sheet", "birch plywood"]


def test_a_build_up_that_comes_second_is_told_and_goes_after_the_first(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    assert send(maker, piece, {"material": "theirs"}).status_code == 303
    late = send(maker, piece, {"material": "mine"})
    assert late.status_code == 409
    assert "Somebody else changed this" in text(late)
    assert 'value="mine"' in text(late)
    assert lines(store, piece) == ["theirs"]


def test_only_a_maker_says_what_it_is_built_up_of(fitter: Browser, piece: PieceNow) -> None:
    assert fitter.get(f"/p/{piece.number}/build-up").status_code == 403
    assert send(fitter, piece, SHELL).status_code == 403


def test_revised_particulars_keep_the_build_up(maker: Browser, store: Store, piece: PieceNow) -> None:
    fields = {"title": "Heron (invented)", "object_type": "wall relief", "revises": piece.revision.id}
    assert maker.post(f"/p/{piece.number}/edit", fields).status_code == 303
    assert lines(store, piece) == ["copper sheet", "birch plywood"]


@pytest.mark.parametrize(
    ("asked", "area", "out"),
    [
        # 1.56 m² and 121.15 mm, 0.894 m² and 300 mm: by hand, see tests/published/test_weight.py.
        ("shape=box&width_mm=1200&height_mm=800&depth_mm=150", "1.56", "121"),
        ("shape=cone&radius_mm=300&depth_mm=0,9+m", "0.894", "300"),
        ("shape=half+cylinder&radius_mm=200&height_mm=1000", "0.628", "127"),
        ("shape=dome&radius_mm=400&depth_mm=200", "0.628", "100"),
    ],
)
def test_the_area_of_a_simple_shell_is_worked_out(fitter: Browser, asked: str, area: str, out: str) -> None:
    page = text(fitter.get(f"/area?{asked}"))
    assert f"<b>{area}</b>" in page
    assert f"<b>{out}</b>" in page


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("shape=&width_mm=3", "Shape, open at the back: choose one."),
        ("shape=ball", "Shape, open at the back: “ball” is not taken."),
        ("shape=cone&radius_mm=300", "Depth: this is needed."),
        ("shape=cone&radius_mm=300&depth_mm=5&width_mm=4", "Width: this shape has none. Take it out."),
        ("shape=dome&radius_mm=nan&depth_mm=5", "Radius: “nan” is not taken."),
    ],
)
def test_a_shell_that_cannot_be_is_refused_by_name(fitter: Browser, asked: str, words: str) -> None:
    answer = fitter.get(f"/area?{asked}")
    assert answer.status_code == 422
    assert words in text(answer)
