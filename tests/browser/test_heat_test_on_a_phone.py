"""A heat test on a phone: begun, read with one hand, read while the laptop is away, fuel and shut-down by one tap."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from siteapp.heat.testing.state import heat_tests
from siteapp.web.dates import now
from tests import factories
from tests.browser.scene import until
from tests.heat import fires
from tests.support import chromium as real
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from siteapp.heat.testing.state import HeatTestNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

pytestmark = real.needed


def the_test(store: Store, piece: PieceNow) -> HeatTestNow:
    with store.read() as session:
        return heat_tests(session, piece.piece_id)[0]


def test_a_fire_is_begun_read_and_fuelled_on_a_phone(address: str, chromium: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session, near_heat=True)
        fires.appliance(session, piece)
        fires.limits(session, piece)
    context = chromium.new_context(viewport={"width": 360, "height": 740}, has_touch=True)
    page = context.new_page()
    page.goto(f"{address}/sign-in")
    page.fill("#name", "Maker")
    page.fill("#passphrase", PASSPHRASE)
    page.click(".next button")
    page.wait_for_url(f"{address}/")

    page.goto(f"{address}/p/{piece.number}/heat/test")
    lit = now().astimezone() - timedelta(minutes=20)
    page.get_by_label("Lit at").fill(f"{lit:%Y-%m-%dT%H:%M}")
    # The appliance burns wood, so somebody puts it on.
    expect(page.get_by_label("Yes, charge by charge")).to_be_checked()
    page.get_by_text("Rated output", exact=True).click()
    page.get_by_label("Room now").fill("68")
    page.get_by_label("Hottest that the room gets").fill("27")
    page.get_by_role("button", name="Begin the test").click()
    expect(page.locator("#problems-title")).to_be_visible()
    expect(page.locator("[data-problems]")).to_contain_text("It reads like °F, which would be 20 °C.")
    page.get_by_label("Room now").fill("20")
    page.get_by_role("button", name="Begin the test").click()
    page.wait_for_url("**/heat/test/*-*")

    page.get_by_role("textbox", name="P1").fill("34,5")
    page.get_by_role("textbox", name="P3").fill("24")
    page.get_by_role("button", name="Keep the readings").click()
    expect(page.get_by_text("P1 34.5 °C, P3 24 °C")).to_be_visible()
    expect(page.locator("figure.drawing svg")).to_be_visible()
    (taken,) = the_test(store, piece).taken
    assert 19 <= taken.rows[0].minutes <= 23  # by the phone's own clock, nobody typed it

    context.set_offline(True)
    page.get_by_role("textbox", name="P1").fill("36")
    page.get_by_role("button", name="Keep the readings").click()
    expect(page.locator("body")).to_contain_text("1 thing waiting on this phone")
    assert len(the_test(store, piece).taken) == 1
    context.set_offline(False)
    until(lambda: len(the_test(store, piece).taken) == 2)
    # What was sent leads to the page that shows it, by itself.
    expect(page.get_by_text("P1 36 °C")).to_be_visible()

    page.get_by_role("button", name="Fuel put on now").click()
    expect(page.locator("ol.history")).to_contain_text("Fuel put on")
    page.get_by_role("textbox", name="P3").fill("79.9")
    page.get_by_role("button", name="Keep the readings").click()
    expect(page.get_by_text("Stop: let the fire go out")).to_be_visible()
    page.get_by_role("button", name="Shut down now").click()
    expect(page.locator("ol.history")).to_contain_text("Shut down")
    assert the_test(store, piece).shut_down is not None
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    real.end(context)
