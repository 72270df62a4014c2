"""The page of all that decides whether a piece hangs: every part in its order, what is next, for whom."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from siteapp.checks import lists
from siteapp.hanging import overview
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from tests import factories
from tests.hanging.hung import weigh
from tests.hanging.packs import a_piece_on_four_points
from tests.hanging.proved import a_hung_piece

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store
    from tests.web_support import Browser


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    """A piece of which nothing but its particulars is known."""
    with store.write() as session:
        return factories.a_piece(session, stands="on points", mass_origin="estimated")


def stands(store: Store, piece: PieceNow) -> dict[str, tuple[str, str]]:
    with store.read() as session:
        return {part.kind.key: (part.verdict, part.why) for part in overview.parts(session, piece)}


def page_of(browser: Browser, piece: PieceNow) -> str:
    answer = browser.get(f"/p/{piece.number}/hanging")
    assert answer.status_code == 200
    return answer.get_data(as_text=True)


def main_button(page: str) -> str:
    found = re.search(r'<a class="button main" href="([^"]+)"', page)
    assert found, page
    return found[1]


def test_a_part_of_which_nothing_is_recorded_is_never_met_and_says_why(database: Store) -> None:
    with database.write() as session:
        piece = factories.a_piece(session, stands="on points", mass_origin="estimated")
    found = stands(database, piece)
    assert list(found) == [kind.key for kind in overview.KINDS]
    assert {verdict for verdict, _why in found.values()} == {NOT_MET, CANNOT_TELL}
    assert found[lists.WEIGHED][0] == NOT_MET
    assert all(why for _verdict, why in found.values())


def test_every_calculation_of_hanging_has_its_part() -> None:
    calculated = {kind.calculation for kind in overview.KINDS} - {None}
    assert calculated == set(lists.CALCULATIONS) - {lists.SAFE_TO_UNWRAP, lists.CLEARANCES}


def test_the_first_part_that_is_not_met_is_the_one_main_button(maker: Browser, store: Store, piece: PieceNow) -> None:
    page = page_of(maker, piece)
    assert main_button(page) == f"/p/{piece.number}/weighing"
    assert page.split('class="next"')[1].count('<a class="button main" href="/p/') == 1
    with store.write() as session:
        weighed = weigh(session, a_piece_on_four_points(session))
    assert main_button(page_of(maker, weighed)) == f"/p/{weighed.number}/template"


def test_a_fitter_is_not_sent_to_a_page_for_makers(fitter: Browser, store: Store) -> None:
    with store.write() as session:
        piece = weigh(session, factories.a_piece(session))
    page = page_of(fitter, piece)
    assert f'href="/p/{piece.number}/points"' not in page
    assert "how these hold is not said: A, B" in page
    assert main_button(page) == f"/p/{piece.number}/template"


def test_once_everything_is_recorded_every_part_is_met_and_every_paper_offered(
    maker: Browser, store: Store, piece: PieceNow
) -> None:
    before = page_of(maker, piece)
    assert "fixing-pack.pdf" not in before
    assert "once the fixing template is set" in before
    with store.write() as session:
        hung = a_hung_piece(session)
    assert {key: said for key, said in stands(store, hung).items() if said[0] != MET} == {}
    # What is recorded of another piece counts for that one alone.
    assert MET not in {verdict for verdict, _why in stands(store, piece).values()}
    page = page_of(maker, hung)
    assert "Every part is met by what is recorded now." in page
    assert main_button(page) == f"/p/{hung.number}/checks"
    for paper in ("template.pdf", "fixing-pack.pdf", "hanging-plan.pdf"):
        assert f'href="/p/{hung.number}/{paper}"' in page


@pytest.mark.parametrize(("way", "hangs"), [("on rails", True), ("free-standing", False), ("suspended", False)])
def test_the_page_is_for_pieces_that_hang_on_points_or_rails(
    fitter: Browser, store: Store, way: str, hangs: bool
) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, stands=way)
    page = page_of(fitter, piece)
    assert ("What decides it" in page) == hangs
    assert ("for pieces that hang on points or on rails" in page) != hangs
    own = fitter.get(f"/p/{piece.number}").get_data(as_text=True)
    assert (f'href="/p/{piece.number}/hanging"' in own) == hangs


def test_a_stranger_is_asked_to_sign_in(stranger: Browser, piece: PieceNow) -> None:
    assert stranger.get(f"/p/{piece.number}/hanging").status_code == 303
