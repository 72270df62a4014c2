"""Hanging points drawn while they are typed, and both pages, in a real browser at a phone's size."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from siteapp.hanging.template import services as templates
from siteapp.pieces import services as pieces
from siteapp.pieces.points.reading import places
from tests import factories
from tests.support import chromium as real
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Browser, Page

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

pytestmark = real.needed
PHONE = {"width": 360, "height": 740}
MOST_BYTES = 60_000
# Middles of what is drawn for each point, as shares of the outline's width, from the left.
DRAWN = """(side) => {
  const svg = document.querySelector(`[data-side="${side}"] svg`);
  const box = (one) => one.getBoundingClientRect();
  const all = [...svg.querySelectorAll("rect, circle")].map(box);
  const outline = all.reduce((a, b) => (a.width > b.width ? a : b));
  return all.filter((one) => one !== outline).map((one) => (one.left + one.width / 2 - outline.left) / outline.width);
}"""


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session)


@pytest.fixture
def page(chromium: Browser, address: str) -> Iterator[Page]:
    """A maker's phone."""
    context = chromium.new_context(viewport=PHONE, base_url=address)
    opened = context.new_page()
    opened.goto("/sign-in")
    opened.fill("#name", "Maker")
    opened.fill("#passphrase", PASSPHRASE)
    opened.click(".next button")
    opened.wait_for_url(f"{address}/")
    yield opened
    real.end(context)


def look(page: Page) -> None:
    """No sideways scrolling, nothing that axe complains of."""
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def test_points_are_drawn_as_typed_from_both_sides_and_saved_the_same(
    page: Page, store: Store, piece: PieceNow
) -> None:
    loaded: dict[str, int] = {}
    page.on("response", lambda came: loaded.update({came.url: int(came.headers.get("content-length", 0))}))
    page.goto(f"/p/{piece.number}/points", wait_until="networkidle")
    assert sum(size for url, size in loaded.items() if url.endswith((".js", ".css"))) < MOST_BYTES
    look(page)
    # By hand: the factory's points lie at 150 and 1050 of 1200 mm.
    assert page.evaluate(DRAWN, "front") == pytest.approx([0.125, 0.875], abs=0.01)
    page.fill("#hanging_points-0-x_mm", "300")
    expect(page.locator("[data-mirror]")).to_be_hidden()
    assert page.evaluate(DRAWN, "front") == pytest.approx([0.25, 0.875], abs=0.01)
    assert page.evaluate(DRAWN, "back") == pytest.approx([0.75, 0.125], abs=0.01)
    page.check('[name="measured_from"][value="back"]')
    assert page.evaluate(DRAWN, "front") == pytest.approx([0.75, 0.125], abs=0.01)
    assert page.evaluate(DRAWN, "back") == pytest.approx([0.25, 0.875], abs=0.01)
    page.click("[data-more]")
    expect(page.locator(".line-row")).to_have_count(5)
    page.click(".next button")
    expect(page.locator("[data-mirror]")).to_have_text(
        "B is on the left from the front, and on the right from the back."
    )
    assert page.evaluate(DRAWN, "front") == pytest.approx([0.75, 0.125], abs=0.01)
    with store.read() as session:
        found = pieces.find(session, piece.number)
        assert found is not None
        assert places(found) == {"A": (900, 740), "B": (150, 740)}


def test_the_template_page_is_fit_for_a_phone_with_and_without_a_template(
    page: Page, store: Store, piece: PieceNow
) -> None:
    page.goto(f"/p/{piece.number}/template", wait_until="networkidle")
    look(page)
    page.fill("#datum", "nail in the joint (invented)")
    page.fill("#x_mm", "-1 1/2 in")
    page.fill("#y_mm", "900")
    page.click(".next button")
    expect(page.locator("h2").first).to_be_visible()
    expect(page.get_by_text("The template as PDF")).to_be_visible()
    look(page)
    with store.read() as session:
        found = templates.template_now(session, piece)
        assert found is not None
        assert found.version.said.x_mm == pytest.approx(-38.1)
