"""Readings called from the ladder and typed on a phone: the tape in hand on the drawing, the slip said at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from siteapp.hanging.holes import services
from tests.hanging.holes import support
from tests.support import chromium as real
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from siteapp.store.db import Store

pytestmark = real.needed


def test_a_round_is_typed_on_a_phone(address: str, chromium: Browser, store: Store) -> None:
    with store.write() as session:
        piece = support.a_piece(session)
    page = chromium.new_context(viewport={"width": 360, "height": 740}, has_touch=True).new_page()
    page.goto(f"{address}/sign-in")
    page.fill("#name", "Fitter")
    page.fill("#passphrase", PASSPHRASE)
    page.click(".next button")
    page.goto(f"{address}/p/{piece.number}/holes")
    row = page.locator('[data-reading="A|B"]').first
    field = row.get_by_role("textbox")
    expect(field).to_have_attribute("inputmode", "decimal")
    field.focus()
    expect(page.locator('.plan-lines line[stroke-width="4"]')).to_have_count(1)
    field.fill("9002")
    expect(row.get_by_role("status")).to_contain_text("Planned are about 900 mm")
    field.fill("900.3")
    expect(row.get_by_role("status")).to_be_empty()
    field.blur()
    expect(page.locator('.plan-lines line[stroke-width="4"]')).to_have_count(0)
    # An inch tape's figures are not held against the plan here; the laptop reads them.
    page.get_by_label("inches").check()
    field.fill("35 1/2")
    expect(row.get_by_role("status")).to_be_empty()
    # One of somebody's own, with its holes to choose.
    own = page.get_by_role("group", name="Line 16")
    own.get_by_label("From hole").select_option("C")
    own.get_by_label("To hole").select_option("D")
    own.get_by_label("Reading").fill("31 1/2")
    page.get_by_role("button", name="Keep the readings").click()
    expect(page.get_by_text("not enough readings").first).to_be_visible()
    with store.read() as session:
        now = services.holes_now(session, piece)
    assert now
    assert [(one.a, one.b, one.typed) for one in now.readings] == [("A", "B", "35 1/2"), ("C", "D", "31 1/2")]
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    real.end(page.context)
