"""The page of the loads: asked, shown, drawn, refused with everything typed still there."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.hanging.loads import services
from siteapp.hanging.loads.forms import lines_of
from siteapp.hanging.loads.models import LoadResistance
from tests import factories
from tests.hanging import hung
from tests.hanging.hung import POINTS, anchor, ready, tell

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser

TYPED = {
    "lean_n": "200",
    "lean_why": "visitors walk past it (invented)",
    "pads-0-x_mm": "0",
    "pads-0-y_mm": "0",
    "pads-1-x_mm": "1,2 m",
    "pads-1-y_mm": "0",
    "pads-2-x_mm": "0",
    "pads-2-y_mm": "800",
    "pads-3-x_mm": "1200",
    "pads-3-y_mm": "80 cm",
    "resistances-0-labels": "a, B; C",
    "resistances-0-kind": "masonry solid",
    "resistances-0-pull_n": "9 kN",
    "resistances-0-shear_n": "9000",
    "resistances-0-document": "approval 17/0001 (invented)",
    "resistances-0-covered": "yes",
    "resistances-1-labels": "D",
    "resistances-1-kind": "steel",
    "resistances-1-pull_n": "4000",
    "sudden": "2",
}


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece ready for its loads, beside one that has some."""
    with store.write() as session:
        tell(session, noise.piece, anchors=[], note="the other piece's loads")
        return ready(session)


def now(store: Store, piece: PieceNow) -> services.LoadsNow | None:
    with store.read() as session:
        return services.loads_now(session, hung.again(session, piece))


def words_of(browser: Browser, piece: PieceNow) -> str:
    answer = browser.get(f"/p/{piece.number}/loads")
    assert answer.status_code == 200
    return answer.get_data(as_text=True)


def test_before_anything_is_told_a_maker_is_asked_and_a_fitter_is_told_who_does_it(
    maker: Browser, fitter: Browser, piece: PieceNow
) -> None:
    page = words_of(maker, piece)
    for words in (
        "cannot tell",
        "nobody has said yet who may lean on it",
        "Nothing is offered: who can reach it decides.",
        'value="A, B, C, D"',
        "judged by a competent person",
        "local codes come first",
        "bond and plates must be proved too",
    ):
        assert words in page
    assert re.search(r'name="lean_n" value=""', page)
    corners = [re.search(rf'name="pads-{row}-x_mm" value="([^"]*)"', page) for row in range(4)]
    assert [found and found[1] for found in corners] == ["0", "1200", "0", "1200"]
    assert "the other piece" not in page
    page = words_of(fitter, piece)
    assert "A maker does that" in page
    assert 'name="lean_n"' not in page


def test_loads_are_typed_in_any_unit_and_shown_with_every_case_and_loss(
    maker: Browser, fitter: Browser, store: Store, piece: PieceNow
) -> None:
    answer = maker.post(f"/p/{piece.number}/loads", TYPED)
    assert (answer.status_code, answer.location) == (303, f"/p/{piece.number}/loads"), answer.get_data(as_text=True)
    found = now(store, piece)
    assert found is not None
    assert [(one.label, one.pull_n, one.covered) for one in found.known.resistances] == [
        ("A", 9000.0, True),
        ("B", 9000.0, True),
        ("C", 9000.0, True),
        ("D", 4000.0, None),
    ]
    assert [(pad.x_mm, pad.y_mm) for pad in found.known.pads] == list(hung.CORNERS)
    for browser in (maker, fitter):
        page = words_of(browser, piece)
        for words in (
            "weight alone",
            "leaning down",
            "Any one of them lost",
            "× 2",
            "approval 17/0001",
            "pulled outwards",
        ):
            assert words in page, words
        assert 'class="plan"' in page
        assert page.count('class="shape"') > 8
        assert "D: what it may carry in shear is not known" in page


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"lean_n": "hard"}, "hard"),
        ({"lean_n": "-5"}, "from 0 to 20"),
        ({"lean_n": "1e9"}, "from 0 to 20"),
        ({"lean_n": "200", "lean_why": ""}, "say who may lean on it and why this force was chosen"),
        ({"lean_n": "200", "lean_x_mm": "300"}, "give both, across and up"),
        ({"pads-1-y_mm": ""}, "Where it bears on the wall, line 2"),
        ({"pads-1-x_mm": "nan"}, "Where it bears on the wall, line 2"),
        ({"pads-1-x_mm": "90 m"}, "Where it bears on the wall, line 2"),
        ({"resistances-0-labels": "A, X"}, "there is no point “X” on this piece"),
        ({"resistances-0-labels": "A, a"}, "“A” stands in two lines"),
        ({"resistances-1-labels": "all"}, "stands in two lines"),
        ({"resistances-1-kind": ""}, "What fails first"),
        ({"resistances-1-kind": "glue"}, "What fails first"),
        ({"resistances-1-pull_n": "0"}, "Pull allowed"),
        ({"resistances-1-pull_n": "3 kg"}, "Pull allowed"),
        ({"sudden": "0.5"}, "Factor when a point is lost"),
        ({"sudden": "two"}, "Factor when a point is lost"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_everything_typed_is_still_there(
    maker: Browser, store: Store, piece: PieceNow, changes: dict[str, str], words: str
) -> None:
    typed = {**TYPED, **changes}
    answer = maker.post(f"/p/{piece.number}/loads", typed)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422, page
    assert words in page
    assert "Nothing is lost" in page
    for name, value in typed.items():
        if value and not name.endswith(("kind", "covered", "why")):
            assert re.search(rf'name="{name}" value="{re.escape(value)}"', page), name
    assert now(store, piece) is None


def test_a_sheet_that_somebody_else_revised_first_is_told(maker: Browser, store: Store, piece: PieceNow) -> None:
    with store.write() as session:
        first = tell(session, piece)
        tell(session, piece, revises=first, lean_n=250.0)
    answer = maker.post(f"/p/{piece.number}/loads", {**TYPED, "revises": first})
    assert answer.status_code == 409
    found = now(store, piece)
    assert found is not None
    assert found.version.said.lean_n == 250.0


def test_a_fitter_cannot_record_loads(fitter: Browser, store: Store, piece: PieceNow) -> None:
    assert fitter.post(f"/p/{piece.number}/loads", TYPED).status_code == 403
    assert now(store, piece) is None


def test_a_piece_that_would_move_says_so_and_shows_no_number(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = ready(session, [{**POINTS[0], "holds": "hook"}])
        tell(session, piece)
    page = words_of(maker, piece)
    assert "swings about A" in page
    assert "one support is left" not in page
    assert "Point by point" not in page
    assert "not met" in page


def test_stale_loads_say_so_and_what_cannot_be_worked_with_is_said_in_words(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = ready(session)
        tell(session, piece)
        far = [{**POINTS[0], "x_mm": 50_000.0}, *POINTS[1:]]
        hung.give_points(session, hung.again(session, piece), far)
    page = words_of(maker, piece)
    assert "Worked out before the particulars changed" in page
    assert "allowed is a number from -20000 to 20000 mm" in page


def test_a_piece_without_points_leads_to_them(maker: Browser, store: Store) -> None:
    with store.write() as session:
        piece = hung.give_points(session, factories.a_piece(session), [])
    page = words_of(maker, piece)
    assert "the particulars have no hanging points" in page
    assert f"/p/{piece.number}/points" in page


def test_points_that_are_alike_stand_in_one_line_and_new_ones_in_the_last() -> None:
    rows = [LoadResistance(**anchor("A")), LoadResistance(**anchor("C")), LoadResistance(**anchor("B", pull_n=50.0))]
    lines: list[dict[str, Any]] = lines_of(rows, ["A", "B", "C", "D"])
    assert [line["labels"] for line in lines] == ["A, C", "B", "D"]
    assert [line["covered"] for line in lines] == ["yes", "yes", ""]
    assert "kind" not in lines[2]
