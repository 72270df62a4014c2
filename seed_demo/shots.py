"""The demo's photos by name. They are drawn while the rest is written, since that takes longest."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from typing import TYPE_CHECKING

from seed_demo.drawing import fire, pieces, things
from seed_demo.drawing.light import CAMERA, jpeg

if TYPE_CHECKING:
    from collections.abc import Callable

    from PIL import Image

BONE = (214, 204, 186)
SHOTS: dict[str, Callable[[], Image.Image]] = {
    "dunlins": lambda: pieces.relief(1, 3),
    "dunlins back": lambda: pieces.back(11),
    "dunlins on site": lambda: pieces.relief(22, 3),
    "dunlins raking": lambda: pieces.relief(22, 3, raking=True),
    "dunlins after": lambda: pieces.relief(60, 3, (226, 218, 200)),
    "curlew": lambda: pieces.relief(2, 1),
    "curlew back": lambda: pieces.back(12),
    "curlew on site": lambda: pieces.relief(32, 1),
    "avocets": lambda: pieces.relief(4, 2),
    "avocets on site": lambda: pieces.relief(34, 2),
    "sandpipers": lambda: pieces.relief(5, 5),
    "sandpipers on site": lambda: pieces.relief(35, 5),
    "sandpipers after": lambda: pieces.relief(61, 5, (226, 218, 200)),
    "turnstone": lambda: pieces.relief(6, 1, (208, 200, 188)),
    "knots": lambda: pieces.relief(7, 4),
    "knots chipped": lambda: pieces.relief(7, 4, chipped=True),
    "herons": lambda: pieces.relief(3, 2, BONE, glow=True),
    "herons back": lambda: pieces.back(13),
    "grebes": lambda: pieces.relief(18, 2, (212, 206, 192)),
    "grebes back": lambda: pieces.back(19),
    "grebes on site": lambda: pieces.relief(38, 2, (212, 206, 192)),
    "grebes after": lambda: pieces.relief(62, 2, (206, 200, 188), glow=True),
    "stove": lambda: fire.stove(71),
    "stove lit": lambda: fire.stove(72, lit=True),
    "stove plate": lambda: fire.plate(73),
    "sample": lambda: fire.sample(74),
    "shoal": lambda: pieces.shoal(8),
    "whelk": lambda: pieces.shell(9),
    "back": lambda: pieces.back(14),
    "edge": lambda: pieces.edge(15),
    "edge on site": lambda: pieces.edge(16),
    "plate": lambda: pieces.plate(17),
    "close": lambda: pieces.spray(40),
    "crate": lambda: things.crate(21),
    "crate knocked": lambda: things.crate(23),
    "target": lambda: things.target(24),
    "tin": lambda: things.tin(25),
    "climate meter": lambda: things.meter(50, "2055"),
    "pull gauge": lambda: things.meter(52, "0240"),
    "torque": lambda: things.meter(53, "0025"),
}


class Darkroom:
    """Draws every photo at a camera's `size`, two at a time, and hands each out by name."""

    def __init__(self, size: tuple[int, int] = CAMERA) -> None:
        self._hands = ThreadPoolExecutor(2)
        self._made: dict[str, Future[bytes]] = {
            name: self._hands.submit(_develop, draw, size) for name, draw in SHOTS.items()
        }

    def photo(self, name: str) -> bytes:
        """The photo of this name as JPEG."""
        return self._made[name].result()

    def close(self) -> None:
        """Draw nothing more."""
        self._hands.shutdown(cancel_futures=True)


def _develop(draw: Callable[[], Image.Image], size: tuple[int, int]) -> bytes:
    return jpeg(draw(), size)
