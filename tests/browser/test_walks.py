"""The main paths as the person who takes them: a phone of 360 px, one thumb, every tap counted.

Each count is the number of times a finger comes down, choosing a photo among it; typed words are apart. The limits are
our own: what the paths take today, so that a change which adds a tap is seen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect
from sqlalchemy import select

from seed_demo import build
from seed_demo.drawing import light, pieces
from siteapp.checks.models import CheckAnswer
from siteapp.finishing.models import Coat, FinishingClose
from siteapp.handover.models import Certificate, Handover
from siteapp.marks.models import PhotoMark
from siteapp.snags.models import Snag
from siteapp.store.models import Entry
from tests.support import chromium as real

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Locator, Page

    from tests.browser.conftest import Demo

pytestmark = [real.needed, pytest.mark.timeout(400)]
COUNT = """addEventListener("pointerdown", () => {
  sessionStorage.taps = Number(sessionStorage.taps || 0) + 1;
}, true);"""


class Thumb:
    """One thumb on a phone."""

    def __init__(self, page: Page, demo: Demo) -> None:
        """On the start page, signed in as a maker; nothing counted yet."""
        self.page, self.demo = page, demo
        name, _role, passphrase = build.SIGN_IN[0]
        page.goto(f"{demo.address}/sign-in")
        page.fill("#name", name)
        page.fill("#passphrase", passphrase)
        page.click(".next button")
        page.wait_for_url(f"{demo.address}/")
        page.evaluate("sessionStorage.taps = 0")

    @property
    def taps(self) -> int:
        """How often the thumb came down."""
        return int(self.page.evaluate("sessionStorage.taps"))

    def tap(self, what: Locator) -> None:
        """Touch something that can be seen."""
        what.tap()

    def choose(self, what: Locator, file: Path) -> None:
        """Touch a photo field and choose a photo."""
        with self.page.expect_file_chooser() as chooser:
            what.tap()
        chooser.value.set_files(file)

    def scan(self, key: str) -> None:
        """From the start page to a piece by the number on its label, as from a photo of it."""
        self.tap(self.page.get_by_role("link", name="Scan a label"))
        self.page.get_by_label("Or the number on it").fill(self.demo.numbers[key])
        self.tap(self.page.get_by_role("button", name="Find the piece"))
        self.page.wait_for_url(f"**/p/{self.demo.numbers[key]}")

    def pick(self, words: str) -> None:
        """Choose from a list, which the phone opens as its own: two touches, counted here."""
        options = self.page.locator("select[name=listed] option", has_text=words)
        self.page.locator("select[name=listed]").select_option(value=options.first.get_attribute("value"))
        self.page.evaluate("sessionStorage.taps = Number(sessionStorage.taps) + 2")

    def saved(self) -> None:
        """Wait until the laptop has everything."""
        expect(self.page.locator("[data-saving]")).to_have_text("All saved on the laptop", use_inner_text=True)


@pytest.fixture
def thumb(demo: Demo, chromium: Browser) -> Iterator[Thumb]:
    context = chromium.new_context(viewport={"width": 360, "height": 740}, has_touch=True, is_mobile=True)
    page = context.new_page()
    page.add_init_script(COUNT)
    yield Thumb(page, demo)
    real.end(context)


@pytest.fixture
def snapshot(tmp_path: Path) -> Path:
    """A photo as a phone's camera would hand it over."""
    file = tmp_path / "photo.jpg"
    file.write_bytes(light.jpeg(pieces.relief(99, 2, chipped=True), light.SIZE))
    return file


def of_piece(demo: Demo, key: str, model: type, *columns: object) -> list[tuple[object, ...]]:
    """Rows of one piece, oldest first."""
    from siteapp.pieces.services import find

    with demo.store.read() as session:
        piece = find(session, demo.numbers[key])
        assert piece is not None
        query = select(*columns).join(Entry, Entry.id == model.entry_id).where(Entry.piece_id == piece.piece_id)
        return [tuple(row) for row in session.execute(query.order_by(Entry.recorded_at))]


def test_from_scanning_a_label_to_a_tick_takes_four_taps(thumb: Thumb) -> None:
    page = thumb.page
    before = len(of_piece(thumb.demo, "curlew", CheckAnswer, CheckAnswer.line_key))
    thumb.scan("curlew")
    thumb.tap(page.get_by_role("link", name="Go on with the checks"))
    line = page.locator("article.check", has_text="Enough people are here for the weight, on a platform")
    thumb.tap(line.get_by_role("button", name="Met", exact=True))
    expect(line.locator(".verdict.met")).to_be_visible()
    thumb.saved()
    after = of_piece(thumb.demo, "curlew", CheckAnswer, CheckAnswer.line_key, CheckAnswer.verdict)
    assert after[before:] == [("hands-and-aids", "met")]
    assert thumb.taps == 4


def test_from_scanning_a_label_to_a_snag_with_a_marked_photo_takes_six_taps(thumb: Thumb, snapshot: Path) -> None:
    page = thumb.page
    thumb.scan("sandpipers")
    thumb.tap(page.get_by_role("link", name="Raise a snag"))
    page.locator("[name=what]").fill("Chipped at the lower right corner")
    thumb.choose(page.locator("input[type=file]"), snapshot)
    face = page.locator("[data-stages] .face").first
    face.scroll_into_view_if_needed()
    box = face.bounding_box()
    assert box
    face.tap(position={"x": box["width"] * 0.75, "y": box["height"] * 0.5})
    thumb.tap(page.get_by_role("button", name="Save the snag"))
    page.wait_for_url("**/snags**")
    thumb.saved()
    expect(page.locator("main")).to_contain_text("Chipped at the lower right corner")
    assert of_piece(thumb.demo, "sandpipers", Snag, Snag.words)[-1] == ("Chipped at the lower right corner",)
    ((x, y),) = of_piece(thumb.demo, "sandpipers", PhotoMark, PhotoMark.x, PhotoMark.y)
    assert (x, y) == (pytest.approx(0.75, abs=0.02), pytest.approx(0.5, abs=0.02))
    assert thumb.taps == 6


def test_from_a_session_to_a_coat_and_the_clients_yes_takes_sixteen_taps(thumb: Thumb, snapshot: Path) -> None:
    page = thumb.page
    thumb.scan("knots")
    thumb.tap(page.get_by_role("link", name="Finished"))
    page.locator("[name=zone]").fill("lower right corner")
    thumb.tap(page.locator(".next button").first)
    page.wait_for_selector("h1:has-text('lower right corner')")
    thumb.tap(page.get_by_role("link", name="Read the climate"))
    thumb.pick("mineral wash")
    for name, value in (("air_c", "20"), ("relative_humidity", "55"), ("surface_c", "18"), ("instrument", "meter")):
        page.locator(f"[name={name}]").fill(value)
    thumb.tap(page.locator(".next button").first)
    page.wait_for_selector("h1:has-text('lower right corner')")
    thumb.tap(page.get_by_role("link", name="Record a coat"))
    thumb.pick("SM-0417")
    page.locator("[name=wet_um]").fill("90")
    thumb.tap(page.get_by_role("button", name="Keep the coat"))
    page.wait_for_selector("h1:has-text('lower right corner')")
    thumb.tap(page.get_by_role("link", name="End the session"))
    thumb.choose(page.locator("input[type=file]").first, snapshot)
    thumb.tap(page.get_by_text("yes", exact=True))
    page.locator("[name=client_name]").fill("A. Client (invented)")
    thumb.tap(page.get_by_role("button", name="End the session"))
    page.wait_for_selector("h1:has-text('lower right corner')")
    thumb.saved()
    ((product, wet, verdict),) = of_piece(thumb.demo, "knots", Coat, Coat.product, Coat.wet_um, Coat.climate_verdict)
    assert str(product).startswith("Saltmarsh mineral wash (invented)")
    assert (wet, verdict) == (90.0, "met")
    assert of_piece(thumb.demo, "knots", FinishingClose, FinishingClose.client_yes) == [(True,)]
    assert thumb.taps == 16


def test_from_the_piece_to_a_signed_handover_and_its_certificate_takes_seven_taps(thumb: Thumb) -> None:
    page = thumb.page
    thumb.scan("sandpipers")
    thumb.tap(page.get_by_role("link", name="Hand over"))
    page.locator("[name=signed_name]").fill("A. Client (invented)")
    pad = page.locator("canvas").first
    pad.scroll_into_view_if_needed()
    pad.tap()
    thumb.tap(page.get_by_role("button", name="Hand over"))
    thumb.tap(page.get_by_role("link", name="Issue the certificate"))
    thumb.tap(page.get_by_role("button", name="Issue the certificate"))
    expect(page.get_by_role("link", name="Open the certificate (PDF)")).to_be_visible()
    thumb.saved()
    ((name, drawn),) = of_piece(thumb.demo, "sandpipers", Handover, Handover.signed_name, Handover.signature_sha256)
    assert name == "A. Client (invented)"
    assert drawn
    assert len(of_piece(thumb.demo, "sandpipers", Certificate, Certificate.number)) == 1
    assert thumb.taps == 7
