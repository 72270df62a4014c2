"""What all drawn photos share: light over a height field, grain, and the JPEG that a phone's camera would hand over."""

from __future__ import annotations

import io
from functools import cache
from typing import TYPE_CHECKING

from PIL import Image, ImageChops, ImageFilter

if TYPE_CHECKING:
    import random
    from collections.abc import Callable

SIZE = (1600, 1200)  # what is drawn
CAMERA = (4000, 3000)  # what a phone's camera of 12 million pixels hands over

WALL = (206, 199, 186)
PLASTER = (232, 226, 212)
STEEL = (122, 126, 128)
WOOD = (171, 132, 88)
SOOT = (46, 44, 42)

Colour = tuple[int, int, int]
Points = list[tuple[float, float]]


def jpeg(photo: Image.Image, size: tuple[int, int] = CAMERA) -> bytes:
    """The drawing at a camera's size and with its grain, which no enlarging makes."""
    if size != photo.size:
        photo = ImageChops.add(photo.resize(size, Image.Resampling.BICUBIC), _fine(size), offset=-128)
    out = io.BytesIO()
    photo.save(out, "JPEG", quality=80)
    return out.getvalue()


def lit(height: Image.Image, tint: Colour, rng: random.Random, *, raking: bool = False) -> Image.Image:
    """Light from the upper left over a height field: each pixel against its neighbour, then tinted.

    `raking` light lies flat on it from one side, so that every unevenness throws a shadow.
    """
    soft = height.filter(ImageFilter.GaussianBlur(1.0 if raking else 1.5))
    step = ImageChops.offset(soft, 9, 0) if raking else ImageChops.offset(soft, 5, 5)
    light = ImageChops.subtract(soft, step, scale=0.2 if raking else 0.34, offset=104 if raking else 150)
    level = ImageChops.add(light, soft.point(lambda v: v // 5), offset=-18)
    channels = [level.point(_scaled(part)) for part in tint]
    return grain(Image.merge("RGB", channels), rng)


def grain(photo: Image.Image, rng: random.Random) -> Image.Image:
    """A sensor's noise, coarse enough to be seen."""
    coarse = Image.effect_noise((SIZE[0] // 2, SIZE[1] // 2), 8 + rng.random() * 3).resize(SIZE)
    return ImageChops.add(photo, Image.merge("RGB", [coarse] * 3), offset=-128)


def warm(photo: Image.Image) -> Image.Image:
    """The same in the light of a fire below."""
    glow = Image.radial_gradient("L").resize((1900, 1500)).crop((150, 0, 1750, 1200))
    return Image.composite(photo, ImageChops.multiply(photo, Image.new("RGB", SIZE, (255, 196, 140))), glow)


def _scaled(part: int) -> Callable[[int], int]:
    return lambda v: min(255, v * part // 190)


@cache
def _fine(size: tuple[int, int]) -> Image.Image:
    # One tile, laid out: noise of its own for twelve million pixels would take longer than all the rest.
    tile = Image.effect_noise((500, 500), 9)
    whole = Image.new("L", size)
    for x in range(0, size[0], 500):
        for y in range(0, size[1], 500):
            whole.paste(tile, (x, y))
    return Image.merge("RGB", [whole] * 3)
