"""Finding a piece as somebody types, on a phone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from playwright.sync_api import expect

from seed_demo import build
from tests.support import chromium as real

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.conftest import Demo

pytestmark = real.needed


def begin(demo: Demo, chromium: Browser) -> Page:
    page = chromium.new_context(viewport={"width": 360, "height": 740}, has_touch=True).new_page()
    name, _role, passphrase = build.SIGN_IN[0]
    page.goto(f"{demo.address}/sign-in")
    page.fill("#name", name)
    page.fill("#passphrase", passphrase)
    page.click(".next button")
    page.wait_for_url(f"{demo.address}/")
    return page


def test_the_list_follows_what_is_typed_and_comes_back_when_it_is_taken_out(demo: Demo, chromium: Browser) -> None:
    page = begin(demo, chromium)
    found = page.locator("[data-found]")
    box = page.get_by_role("searchbox", name="Find")
    box.press_sequentially("sm-0417")
    expect(found.get_by_role("status")).to_have_text("3 pieces")
    box.press_sequentially(" avocet")
    expect(found.get_by_role("status")).to_have_text("1 piece")
    expect(found.get_by_role("link")).to_contain_text("Two avocets sweeping")
    assert page.url.endswith("/?find=sm-0417+avocet")
    assert box.evaluate("field => field === document.activeElement")
    box.fill("nowhere")
    expect(found).to_contain_text("Nothing here is called that.")
    box.fill("")
    expect(found.get_by_role("heading", name="Today's pieces")).to_be_visible()
    assert page.url == f"{demo.address}/"
    # Going back to the page, by a reload too, shows what was found last.
    box.fill("whelk")
    expect(found.get_by_role("status")).to_have_text("1 piece")
    page.reload()
    expect(found.get_by_role("link")).to_contain_text("Whelk")
    real.end(page.context)


def test_while_the_laptop_is_away_what_is_shown_stays_and_the_next_letter_asks_again(
    demo: Demo, chromium: Browser
) -> None:
    page = begin(demo, chromium)
    found = page.locator("[data-found]")
    box = page.get_by_role("searchbox", name="Find")
    box.fill("whelk")
    expect(found.get_by_role("status")).to_have_text("1 piece")
    page.context.set_offline(True)
    box.fill("curlew")
    page.wait_for_timeout(500)
    expect(found.get_by_role("link")).to_contain_text("Whelk")
    page.context.set_offline(False)
    box.press("End")
    box.press_sequentially(",")
    box.press("Backspace")
    expect(found.get_by_role("link")).to_contain_text("Curlew")
    real.end(page.context)
