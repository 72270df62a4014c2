"""Photos of labels on a wall, drawn by code: as large as a phone's, with noise, shadows, slant, dirt and blur."""

from __future__ import annotations

import io
import math
import random
from dataclasses import dataclass
from functools import cache

from PIL import Image, ImageChops, ImageDraw, ImageEnhance, ImageFilter
from qrcode.constants import ERROR_CORRECT_Q
from qrcode.main import QRCode

SIZE = (4000, 3000)
MODULE_PX = 24
QUIET_MODULES = 4


@dataclass(frozen=True)
class Shot:
    """How a label was photographed. `code_px` is the side of the code in the photo, without its quiet zone."""

    code_px: int = 900
    turned_deg: float = 0.0
    slant: float = 0.0  # how much shorter the far side is than the near one, as a share
    light: float = 1.0
    contrast: float = 1.0
    blur_px: float = 0.0
    noise: int = 12
    shadow: bool = False
    dirt: float = 0.0  # share of the code that is smeared over
    at: tuple[float, float] = (0.5, 0.5)
    also: tuple[tuple[str, Shot], ...] = ()  # other labels: only their own size, turn, slant, dirt and place count


def photo(shot: Shot, *, text: str, kind: str = "JPEG", size: tuple[int, int] = SIZE) -> bytes:
    """The file a phone would send; without text there is only the wall."""
    scene = _wall(size).copy()
    for words, one in ((text, shot), *shot.also):
        if words:
            _hang(scene, one, words)
    if shot.shadow:
        scene = ImageChops.multiply(scene, _shadow(size))
    if shot.contrast != 1:
        scene = ImageEnhance.Contrast(scene).enhance(shot.contrast)
    if shot.light != 1:
        scene = ImageEnhance.Brightness(scene).enhance(shot.light)
    if shot.blur_px:
        scene = scene.filter(ImageFilter.GaussianBlur(shot.blur_px))
    scene = ImageChops.add(scene, _noise(size, shot.noise), offset=-128)
    out = io.BytesIO()
    scene.save(out, kind, quality=85)
    return out.getvalue()


@cache
def _wall(size: tuple[int, int]) -> Image.Image:
    """Plaster lit from above, with patches."""
    small = (size[0] // 16, size[1] // 16)
    light = Image.linear_gradient("L").resize(small).point(lambda value: 205 - value // 4)
    patches = _grain(small, 90).filter(ImageFilter.GaussianBlur(6))
    grey = ImageChops.add(light, patches, offset=-128)
    return Image.merge("RGB", (grey, grey, grey.point(lambda value: value * 15 // 16))).resize(size)


@cache
def _noise(size: tuple[int, int], sigma: int) -> Image.Image:
    grain = _grain(size, sigma)
    return Image.merge("RGB", (grain, grain, grain))


def _grain(size: tuple[int, int], sigma: float) -> Image.Image:
    """Noise about 128 with this standard deviation, the same at every run (Pillow's own is not)."""
    random_ = random.Random(f"{size} {sigma}")
    one, other = (Image.frombytes("L", size, random_.randbytes(size[0] * size[1])) for _ in range(2))
    # Two even throws of 0…255 have a mean of that spread: 255 / sqrt(12) / sqrt(2).
    stretch = sigma / (255 / math.sqrt(24))
    return Image.blend(one, other, 0.5).point([_byte(128 + (value - 127.5) * stretch) for value in range(256)])


def _byte(value: float) -> int:
    return min(max(round(value), 0), 255)


@cache
def _shadow(size: tuple[int, int]) -> Image.Image:
    """The shadow of somebody leaning over: an edge across the middle, dark on one side."""
    small = Image.new("L", (size[0] // 16, size[1] // 16), 255)
    ImageDraw.Draw(small).polygon(
        [(0, 0), (small.width * 0.55, 0), (small.width * 0.45, small.height), (0, small.height)], fill=80
    )
    return Image.merge("RGB", [small.filter(ImageFilter.GaussianBlur(3)).resize(size)] * 3)


@cache
def _label(text: str) -> tuple[Image.Image, int]:
    """A label with its code, large, and the side of the code in it."""
    code = QRCode(error_correction=ERROR_CORRECT_Q, border=QUIET_MODULES)
    code.add_data(text)
    code.make()
    matrix = code.get_matrix()
    tiny = Image.new("L", (len(matrix), len(matrix)), 255)
    tiny.putdata([0 if dark else 255 for row in matrix for dark in row])
    symbol = tiny.resize((len(matrix) * MODULE_PX,) * 2, Image.Resampling.NEAREST)
    label = Image.new("L", (symbol.width * 2, symbol.height), 250)
    label.paste(symbol)
    pen = ImageDraw.Draw(label)
    for line in range(6):
        top = MODULE_PX * (QUIET_MODULES + 4 * line)
        pen.rectangle((symbol.width, top, symbol.width + MODULE_PX * (22 - 2 * line), top + MODULE_PX), fill=40)
    return label, (len(matrix) - 2 * QUIET_MODULES) * MODULE_PX


def _hang(scene: Image.Image, shot: Shot, text: str) -> None:
    label, code_px = _label(text)
    label = _smeared(label, code_px, shot.dirt)
    scale = shot.code_px / code_px
    wide, high = label.width * scale, label.height * scale
    corners = []
    for x, y in ((0, 0), (0, 1), (1, 1), (1, 0)):
        # Seen from the side, the far end is shorter and the whole narrower.
        dx = (x - 0.5) * wide * (1 - shot.slant / 2)
        dy = (y - 0.5) * high * (1 - shot.slant * x)
        turn = math.radians(shot.turned_deg)
        corners.append(
            (
                shot.at[0] * scene.width + dx * math.cos(turn) - dy * math.sin(turn),
                shot.at[1] * scene.height + dx * math.sin(turn) + dy * math.cos(turn),
            )
        )
    # Only the part of the scene that the label covers is worked out, a few times too fine, then made smaller.
    left, top = (math.floor(min(corner[axis] for corner in corners)) - 2 for axis in (0, 1))
    right, bottom = (math.ceil(max(corner[axis] for corner in corners)) + 2 for axis in (0, 1))
    fine = 3 if shot.code_px < 500 else 1
    box = ((right - left) * fine, (bottom - top) * fine)
    there = [((x - left) * fine, (y - top) * fine) for x, y in corners]
    back = _perspective(there, [(0, 0), (0, label.height), (label.width, label.height), (label.width, 0)])
    mask = Image.new("L", label.size, 255).transform(box, Image.Transform.PERSPECTIVE, back, Image.Resampling.BILINEAR)
    seen = label.transform(box, Image.Transform.PERSPECTIVE, back, Image.Resampling.BILINEAR)
    final = (right - left, bottom - top)
    seen, mask = seen.resize(final, Image.Resampling.BOX), mask.resize(final, Image.Resampling.BOX)
    scene.paste(Image.merge("RGB", [seen.point(lambda value: 20 + value * 215 // 255)] * 3), (left, top), mask)


def _smeared(label: Image.Image, code_px: int, share: float) -> Image.Image:
    if not share:
        return label
    label = label.copy()
    pen, random_ = ImageDraw.Draw(label), random.Random(18004)
    left = QUIET_MODULES * MODULE_PX
    done = 0.0
    while done < share * code_px**2:
        radius = random_.uniform(0.8, 1.6) * MODULE_PX
        x, y = (left + random_.uniform(0.3, 0.95) * code_px for _ in range(2))
        pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=random_.randrange(90, 190))
        done += math.pi * radius**2
    return label


def _perspective(outputs: list[tuple[float, float]], inputs: list[tuple[float, float]]) -> list[float]:
    """The eight numbers by which Pillow finds, for each point of a picture, the point it comes from.

    u = (ax + by + c) / (gx + hy + 1), v = (dx + ey + f) / (gx + hy + 1): eight equations in eight unknowns, solved by
    Gauss's elimination.
    """
    rows: list[list[float]] = []
    for (x, y), (u, v) in zip(outputs, inputs, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, v])
    for column in range(8):
        pivot = max(range(column, 8), key=lambda row: abs(rows[row][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        rows[column] = [value / rows[column][column] for value in rows[column]]
        for row in range(8):
            if row != column:
                factor = rows[row][column]
                rows[row] = [value - factor * of for value, of in zip(rows[row], rows[column], strict=True)]
    return [row[8] for row in rows]
