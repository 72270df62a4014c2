"""Two people sign with a finger on a phone: both drawings arrive, each under its own name."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PIL import Image
from sqlalchemy import select

from siteapp.handover.models import Handover, HandoverCondition, HandoverSignature
from siteapp.store.photos import PhotoFolder
from tests.handover.support import ready
from tests.support import chromium as real
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

    from siteapp.pieces.services import PieceNow
    from siteapp.store.db import Store

PHONE = {"width": 360, "height": 740}
pytestmark = real.needed


@pytest.fixture
def piece(store: Store) -> PieceNow:
    with store.write() as session:
        return ready(session, near_heat=True)


def signed_in(chromium: Browser, address: str, path: str, *, scripts: bool = True) -> Page:
    context = chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True, java_script_enabled=scripts)
    page = context.new_page()
    page.goto(f"{address}/sign-in?next={path}")
    page.fill("#name", "Maker")
    page.fill("#passphrase", PASSPHRASE)
    page.tap(".next button")
    page.wait_for_url(f"{address}{path}")
    return page


def draw(page: Page, pad: Locator, *, down: float) -> None:
    """A stroke by one finger from left to right, `down` px lower at its end."""
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    assert box
    touch = page.context.new_cdp_session(page)
    at = [(box["x"] + 20 + step * 12, box["y"] + 20 + down * step / 12) for step in range(13)]
    for number, (x, y) in enumerate(at):
        kind = "touchMove" if number else "touchStart"
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    # A finger needs a moment to come down again; sooner, Chromium takes it for a part of the same gesture.
    page.wait_for_timeout(500)


def wide(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth > innerWidth"))


def test_two_drawn_signatures_arrive(chromium: Browser, address: str, store: Store, piece: PieceNow) -> None:
    path = f"/p/{piece.number}/handover"
    page = signed_in(chromium, address, path)
    page.wait_for_selector("[data-pad]:not([hidden])")
    page.fill("#signed_name", "A. Client (invented)")
    draw(page, page.locator("canvas").first, down=10)
    page.tap("summary:has-text('Second signature')")
    page.fill("#second_name", "M. Maker (invented)")
    page.fill("#second_capacity", "maker")
    draw(page, page.locator("canvas").nth(1), down=60)
    assert not wide(page)
    small = page.locator("main summary, main button").evaluate_all(
        "all => all.filter(one => one.offsetParent && one.getBoundingClientRect().height < 48).length"
    )
    assert small == 0
    page.tap('button[form="form"]:visible')
    page.wait_for_selector("text=What was signed")
    real.end(page.context)
    with store.read() as session:
        (first,) = session.scalars(select(Handover.signature_sha256))
        ((name, capacity, second),) = session.execute(
            select(HandoverSignature.name, HandoverSignature.capacity, HandoverSignature.signature_sha256)
        )
        assert session.scalars(select(HandoverCondition.words)).one().startswith("No fire until tested")
    assert (name, capacity) == ("M. Maker (invented)", "maker")
    assert first != second
    folder = PhotoFolder(store.settings.photos, store.settings.cache)
    heights = []
    for sha in (first, second):
        with Image.open(folder.path(sha)) as image:
            assert image.size == (1200, 400)
            box = image.convert("L").point(lambda tone: 255 if tone < 128 else 0).getbbox()
            assert box
            heights.append(box[3] - box[1])
    assert heights[1] > heights[0] * 2


def test_without_scripts_a_second_person_signs_by_name(
    chromium: Browser, address: str, store: Store, piece: PieceNow
) -> None:
    path = f"/p/{piece.number}/handover"
    page = signed_in(chromium, address, path, scripts=False)
    page.fill("#signed_name", "A. Client (invented)")
    page.tap("summary:has-text('Second signature')")
    page.fill("#second_name", "W. Witness (invented)")
    page.tap('button[form="form"]:visible')
    page.wait_for_selector("text=What was signed")
    real.end(page.context)
    with store.read() as session:
        assert session.scalars(select(HandoverSignature.name)).all() == ["W. Witness (invented)"]
