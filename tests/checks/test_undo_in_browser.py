"""Ten seconds in which a tap can be taken back, by touch: with the laptop near, with it away, without scripts."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.checks.support import HOLD, PLAIN, a_piece_with_lists, line_of
from tests.support import chromium as real
from tests.support import own_lists
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask
    from playwright.sync_api import Browser, Locator, Page

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

PHONE = {"width": 360, "height": 740}
SOON_MS = 20_000
ACTIONS = """() => new Promise((resolve, reject) => {
  const asked = indexedDB.open("siteapp", 1);
  asked.onerror = () => reject(asked.error);
  asked.onsuccess = () => {
    const got = asked.result.transaction("waiting").objectStore("waiting").getAll();
    got.onsuccess = () => {
      asked.result.close();
      resolve(got.result.map((one) => one.action));
    };
  };
})"""
pytestmark = real.needed


@pytest.fixture
def piece(app: Flask, store: Store) -> PieceNow:
    """A piece whose list is open."""
    own_lists.by_hand(store)
    return a_piece_with_lists(store)


@contextmanager
def phone(chromium: Browser, address: str, piece: PieceNow, *, script: bool = True) -> Iterator[Page]:
    """The page of checks on a fitter's phone."""
    context = chromium.new_context(viewport=PHONE, has_touch=True, java_script_enabled=script, locale="en-GB")
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto(f"{address}/sign-in?next=/p/{piece.number}/checks")
    page.fill("#name", "Fitter")
    page.fill("#passphrase", PASSPHRASE)
    page.click(".next button")
    page.wait_for_url("**/checks*")
    page.wait_for_load_state("networkidle")
    yield page
    real.end(context)
    assert wrong == []


def check(page: Page, line_key: str = PLAIN) -> Locator:
    return page.locator(f"#check-{line_key}")


def waiting(page: Page) -> list[str]:
    """What waits in the phone's store, by where it is sent to."""
    return [action.rpartition("/checks/")[2] for action in page.evaluate(ACTIONS)]


def test_an_answer_is_taken_back_by_a_second_tap_and_the_offer_ends_after_ten_seconds(
    chromium: Browser, address: str, piece: PieceNow, store: Store
) -> None:
    with phone(chromium, address, piece) as page:
        page.clock.install()
        page.goto(f"{address}/p/{piece.number}/checks")
        page.wait_for_load_state("networkidle")
        check(page).locator('button[value="met"]').tap()
        back = check(page).get_by_role("button", name="Take it back")
        expect(back).to_be_visible(timeout=SOON_MS)
        box = back.bounding_box()
        assert box
        assert box["height"] >= 48
        expect(check(page).locator("[data-left]")).to_have_text("10")
        page.clock.run_for(3_000)
        expect(check(page).locator("[data-left]")).to_have_text("7")
        # Another load of the page gives no more time.
        page.reload()
        expect(check(page).locator("[data-left]")).to_have_text("7", timeout=SOON_MS)
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
        back.tap()
        expect(check(page)).to_contain_text("1 earlier answer", timeout=SOON_MS)
        assert line_of(store, piece).standing == ()
        # Once more; this time nobody takes it back.
        page.wait_for_load_state("networkidle")
        check(page).locator('button[value="not met"]').tap()
        expect(back).to_be_visible(timeout=SOON_MS)
        page.clock.run_for(10_500)
        expect(back).to_have_count(0)
        assert [one.said for one in line_of(store, piece).standing] == ["not met"]


def test_while_the_laptop_is_away_it_is_taken_out_of_the_phones_store(
    chromium: Browser, address: str, piece: PieceNow, store: Store
) -> None:
    with phone(chromium, address, piece) as page:
        page.context.set_offline(True)
        # It is away for certain only after it was asked once.
        check(page, "offered-up").locator('button[value="met"]').tap()
        expect(page.locator("[data-saving]")).to_contain_text("1 thing waiting", timeout=SOON_MS)
        expect(page.locator("[data-saving]")).to_contain_text("does not answer", timeout=SOON_MS)
        check(page).locator('button[value="not met"]').tap()
        back = check(page).get_by_role("button", name="Take it back")
        expect(back).to_be_visible(timeout=SOON_MS)
        expect(check(page).locator("[data-left]")).to_be_visible()
        assert waiting(page) == ["offered-up", PLAIN]
        back.tap()
        expect(back).to_have_count(0, timeout=SOON_MS)
        assert waiting(page) == ["offered-up"]
        # The form is as it was before the tap.
        expect(check(page).locator('button[value="met"]')).to_be_enabled()
        page.context.set_offline(False)
        expect(page.locator("[data-saving]")).to_contain_text("All saved", timeout=60_000)
    assert line_of(store, piece).answers == ()
    assert line_of(store, piece, "offered-up").verdict == "met"


def test_what_may_have_reached_the_laptop_is_taken_back_there_too(
    chromium: Browser, address: str, piece: PieceNow, store: Store
) -> None:
    with phone(chromium, address, piece) as page:
        # The laptop saves it, but its answer is lost on the way back; then it is out of reach.
        def lost(route) -> None:
            route.fetch()
            page.context.set_offline(True)
            route.abort()

        page.route(f"**/checks/{PLAIN}", lost)
        check(page).locator('button[value="met"]').tap()
        back = check(page).get_by_role("button", name="Take it back")
        expect(back).to_be_visible(timeout=SOON_MS)
        for _turn in range(100):
            if line_of(store, piece).standing:
                break
            page.wait_for_timeout(50)
        assert [one.said for one in line_of(store, piece).standing] == ["met"]
        back.tap()
        expect(back).to_have_count(0, timeout=SOON_MS)
        assert waiting(page) == [f"{PLAIN}/undo"]
        page.context.set_offline(False)
        expect(page.locator("[data-saving]")).to_contain_text("All saved", timeout=60_000)
    line = line_of(store, piece)
    assert (line.standing, [one.taken_back for one in line.answers]) == ((), [True])


def test_a_hold_point_that_is_taken_back_has_to_be_held_again_and_keeps_what_was_typed(
    chromium: Browser, address: str, piece: PieceNow, store: Store
) -> None:
    with phone(chromium, address, piece) as page:
        page.context.set_offline(True)
        check(page, HOLD).locator("[name=reading]").fill("1.7")
        press = check(page, HOLD).locator("button.hold")
        press.scroll_into_view_if_needed()
        box = press.bounding_box()
        assert box
        page.mouse.move(box["x"] + 30, box["y"] + 20)
        page.mouse.down()
        back = check(page, HOLD).get_by_role("button", name="Take it back")
        expect(back).to_be_visible(timeout=SOON_MS)
        page.mouse.up()
        back.tap()
        expect(back).to_have_count(0, timeout=SOON_MS)
        assert check(page, HOLD).locator("[name=reading]").input_value() == "1.7"
        press.tap()
        expect(check(page, HOLD).locator("[data-hold] label")).to_be_visible()
        assert HOLD not in waiting(page)
        page.context.set_offline(False)
    assert line_of(store, piece, HOLD).standing == ()


def test_without_a_script_a_plain_button_takes_it_back(
    chromium: Browser, address: str, piece: PieceNow, store: Store
) -> None:
    with phone(chromium, address, piece, script=False) as page:
        check(page).locator('button[value="met"]').tap()
        back = check(page).get_by_role("button", name="Take it back")
        expect(back).to_be_visible(timeout=SOON_MS)
        expect(check(page).locator("[data-left]")).to_be_hidden()
        back.tap()
        expect(check(page)).to_contain_text("1 earlier answer", timeout=SOON_MS)
    assert line_of(store, piece).standing == ()
