"""A lift planned and a way in described on a phone: only what a step asks for is shown, and nothing typed is hidden."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from siteapp.hanging.lifting import services as lifting
from siteapp.hanging.route import services as route
from tests import factories
from tests.hanging.ways import a_crate
from tests.support import chromium as real
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from siteapp.store.db import Store

pytestmark = real.needed


def test_rows_ask_for_what_their_step_needs(address: str, chromium: Browser, store: Store) -> None:
    with store.write() as session:
        piece = factories.a_piece(session)
        a_crate(session, piece)
    page = chromium.new_context(viewport={"width": 360, "height": 740}, has_touch=True).new_page()
    page.goto(f"{address}/sign-in")
    page.fill("#name", "Maker")
    page.fill("#passphrase", PASSPHRASE)
    page.click(".next button")

    page.goto(f"{address}/p/{piece.number}/lift")
    row = page.get_by_role("group", name="Line 1", exact=True)
    far, plate = row.get_by_label("Carried without a rest"), row.get_by_label("Load on the aid's plate")
    expect(far).to_be_hidden()
    row.get_by_label("Step", exact=False).first.select_option("carry")
    expect(far).to_be_visible()
    far.fill("8")
    expect(plate).to_be_hidden()
    row.get_by_label("What bears the weight").select_option("trolley")
    expect(plate).to_be_visible()
    # A trolley is not carried, but what was typed is not hidden away: the laptop says what is wrong with it.
    expect(far).to_be_visible()
    far.fill("")
    row.get_by_label("What bears the weight").select_option("trolley")
    expect(far).to_be_hidden()
    plate.fill("150")
    page.get_by_role("button", name="Add lines").click()
    added = page.get_by_role("group", name="Line 6", exact=True)
    expect(added.get_by_label("Load on the aid's plate")).to_be_hidden()
    page.get_by_role("button", name="Keep the plan").click()
    expect(page.get_by_role("heading", name="Step by step")).to_be_visible()
    with store.read() as session:
        plan = lifting.lift_now(session, piece)
    assert plan is not None
    assert next((one.step, one.aid, one.rated_kg) for one in plan.steps) == ("carry", "trolley", 150)

    page.goto(f"{address}/p/{piece.number}/route")
    row = page.get_by_role("group", name="Line 1", exact=True)
    expect(row.get_by_label("Clear width")).to_be_hidden()
    row.get_by_label("What it is").select_option("opening")
    row.get_by_label("Where").fill("front door")
    row.get_by_label("Clear width").fill("33 in")
    row.get_by_label("Clear height").fill("1981")
    expect(row.get_by_label("Slope")).to_be_hidden()
    row.get_by_label("Measured with a tape").check()
    page.get_by_role("button", name="Keep the way in").click()
    expect(page.get_by_role("heading", name="1. front door")).to_be_visible()
    with store.read() as session:
        way = route.route_now(session, piece)
    assert way is not None
    assert round(way.steps[0].width_mm or 0, 1) == 838.2
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    real.end(page.context)
