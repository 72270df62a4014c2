"""A laptop with a piece, photos with a dot on them, and a finger, for snags and marks in a real browser."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from PIL import Image, ImageDraw

from siteapp.snags import services
from siteapp.store.photos import PhotoFolder
from tests import factories
from tests.web_support import PASSPHRASE

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from siteapp.pieces.services import PieceNow
    from siteapp.snags.services import SnagNow
    from siteapp.store.db import Store

PHONE = {"width": 360, "height": 740}
DOT = (0.62, 0.3)  # where the red dot of a photo lies, upright
ORIENTATION, QUARTER_TURN = 274, 6  # TIFF 6.0: the picture has to be turned clockwise to stand upright
ON_THE_SPOT = 0.01


class Site:
    """A laptop with a piece, served on loopback, and browsers that are signed in to it."""

    def __init__(self, store: Store, address: str, chromium: Browser) -> None:
        self.store, self.address, self.chromium = store, address, chromium
        self.piece: PieceNow

    def new_piece(self) -> None:
        with self.store.write() as session:
            self.piece = factories.a_piece(session)

    @property
    def snags_page(self) -> str:
        return f"{self.address}/p/{self.piece.number}/snags"

    def open(self, **more: Any) -> Page:
        """A page on which the maker is signed in, of a phone unless `more` says otherwise."""
        context = self.chromium.new_context(**({"viewport": PHONE, "has_touch": True, "is_mobile": True} | more))
        page = context.new_page()
        page.goto(f"{self.address}/sign-in")
        page.fill("#name", "Maker")
        page.fill("#passphrase", PASSPHRASE)
        page.click(".next button")
        page.wait_for_url(f"{self.address}/")
        return page

    def snags(self) -> list[SnagNow]:
        with self.store.read() as session:
            return services.snags(session, self.piece.piece_id)

    def upright(self, sha256: str) -> Image.Image:
        """A photo as the laptop shows it."""
        folder = PhotoFolder(self.store.settings.photos, self.store.settings.cache)
        return Image.open(io.BytesIO(folder.derivative(sha256, 1280)))


def photo(name: str, colour: str = "#998866", *, turned: bool = False) -> dict[str, Any]:
    """A photo with a red dot, 900 by 1200 upright; `turned` as a camera held sideways writes it."""
    upright = Image.new("RGB", (900, 1200), colour)
    x, y = DOT[0] * 900, DOT[1] * 1200
    ImageDraw.Draw(upright).ellipse((x - 24, y - 24, x + 24, y + 24), fill="#ff0000")
    stream, exif = io.BytesIO(), Image.Exif()
    if turned:
        exif[ORIENTATION] = QUARTER_TURN
        upright.transpose(Image.Transpose.ROTATE_90).save(stream, "JPEG", exif=exif, quality=95)
    else:
        upright.save(stream, "JPEG", quality=95)
    return {"name": name, "mimeType": "image/jpeg", "buffer": stream.getvalue()}


def red_dot(picture: Image.Image) -> tuple[float, float]:
    """Where the red dot lies on a picture, as shares of its width and height."""
    small = picture.convert("RGB")
    small.thumbnail((600, 600))
    red = [
        (x, y)
        for x in range(small.width)
        for y in range(small.height)
        for pixel in [small.getpixel((x, y))]
        if isinstance(pixel, tuple) and pixel[0] > 200 and max(pixel[1:3]) < 60
    ]
    count = len(red)
    assert count > 20
    return sum(x for x, _y in red) / count / small.width, sum(y for _x, y in red) / count / small.height


def tap(page: Page, number: int = 0, at: tuple[float, float] = DOT) -> None:
    """Tap a photo with a finger at these shares of its width and height."""
    face = page.locator(".face img").nth(number)
    face.scroll_into_view_if_needed()
    page.wait_for_function("(image) => image.complete && image.naturalWidth", arg=face.element_handle())
    box = face.bounding_box()
    assert box
    # As far up as the page allows: the bar at its lower edge would take the tap.
    page.mouse.wheel(0, box["y"] + at[1] * box["height"] - 200)
    page.wait_for_timeout(200)
    box = face.bounding_box()
    assert box
    page.touchscreen.tap(box["x"] + at[0] * box["width"], box["y"] + at[1] * box["height"])


def near(found: tuple[float, float], wanted: tuple[float, float]) -> bool:
    return all(abs(one - two) <= ON_THE_SPOT for one, two in zip(found, wanted, strict=True))


def save(page: Page) -> None:
    with page.expect_navigation():
        page.click(".next button")
