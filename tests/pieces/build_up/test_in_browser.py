"""The build-up worked out while it is typed, and the weighing, in a real browser at a phone's size."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from siteapp.pieces import services as pieces
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


@pytest.fixture
def piece(store: Store, noise: factories.Noise) -> PieceNow:
    with store.write() as session:
        return factories.a_piece(session, mass_kg=None, mass_origin=None, mass_note=None)


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


def row(page: Page, number: int, **fields: str) -> None:
    """Type one line; the making is chosen first, so that its sizes are there."""
    for name, value in fields.items():
        at = f"#build_up-{number}-{name}"
        if name == "made_as":
            page.select_option(at, value)
        else:
            page.fill(at, value)


def test_what_is_typed_is_worked_out_at_once_and_saved_the_same(page: Page, store: Store, piece: PieceNow) -> None:
    loaded: dict[str, int] = {}
    page.on("response", lambda came: loaded.update({came.url: int(came.headers.get("content-length", 0))}))
    page.goto(f"/p/{piece.number}/build-up", wait_until="networkidle")
    assert sum(size for url, size in loaded.items() if url.endswith((".js", ".css"))) < MOST_BYTES
    expect(page.locator("#build_up-2-area_m2")).to_be_hidden()
    row(page, 0, material="shell", made_as="laminate", area_m2="2,4", glass_g_m2="1350", glass_fraction="0.3")
    page.fill("#build_up-0-mass_kg", "")
    page.fill("#build_up-0-thickness_mm", "")
    expect(page.locator("[data-line-out]").first).to_have_text("10.8 kg, 3.15 mm thick")
    expect(page.locator("#build_up-0-film_um")).to_be_hidden()
    row(page, 1, material="plates", made_as="plate", length_mm="15 cm", width_mm="80", thickness_mm="5", pieces="4")
    expect(page.locator('[data-out="mass"]')).to_have_text("12.68")
    page.click("[data-more]")
    expect(page.locator(".line-row")).to_have_count(4)
    row(page, 103, material="paint")
    expect(page.locator('[data-out="mass"]')).to_have_text("not known")
    expect(page.locator('[data-out="known"]')).to_have_text("12.68")
    page.fill("#build_up-103-mass_kg", "300 g")
    expect(page.locator('[data-out="mass"]')).to_have_text("12.98")
    for number in ("0", "1", "103"):
        row(page, int(number), x_mm="600", y_mm="400", z_mm="40")
    expect(page.locator('[data-out="z"]')).to_have_text("40")
    # What cannot be read or cannot be is not worked out.
    page.fill("#build_up-0-glass_fraction", "30")
    expect(page.locator("[data-line-out]").first).to_have_text("not known")
    page.fill("#build_up-0-glass_fraction", "0.3")
    # What was typed for another making stays in sight.
    page.fill("#build_up-1-density_kg_m3", "2700")
    page.select_option("#build_up-1-made_as", "laminate")
    expect(page.locator("#build_up-1-density_kg_m3")).to_be_visible()
    page.select_option("#build_up-1-made_as", "plate")
    page.fill("#build_up-1-density_kg_m3", "")
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    page.click(".next button.main")
    page.wait_for_url("**/build-up")
    expect(page.locator("[data-saving]")).to_contain_text("All saved")
    with store.read() as session:
        found = pieces.find(session, piece.number)
        assert found is not None
        assert found.particulars.mass_kg == 12.984
        assert [line.material for line in found.build_up] == ["shell", "plates", "paint"]


@pytest.mark.parametrize(
    "path", ["/p/{}/build-up", "/p/{}/weighing", "/area?shape=cone&radius_mm=300&depth_mm=900", "/area?shape=cone"]
)
def test_the_page_can_be_used_by_everybody_and_scrolls_no_way_but_down(page: Page, piece: PieceNow, path: str) -> None:
    page.goto(path.format(piece.number), wait_until="networkidle")
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
