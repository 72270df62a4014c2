"""What stands around the pieces: crates, meters, tins, targets."""

from __future__ import annotations

import random

from PIL import Image, ImageDraw

from seed_demo.drawing.light import SIZE, SOOT, WALL, WOOD, grain

SEGMENTS = {
    "0": "abcdef", "1": "bc", "2": "abged", "3": "abgcd", "4": "fgbc",
    "5": "afgcd", "6": "afgedc", "7": "abc", "8": "abcdefg", "9": "abfgcd",
}  # fmt: skip


def crate(seed: int) -> Image.Image:
    """A wooden crate with two indicators that have not gone off."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, (118, 116, 112))
    draw = ImageDraw.Draw(photo)
    draw.rectangle((0, 900, *SIZE), fill=(94, 92, 90))
    for board in range(6):
        shade = rng.randint(-12, 12)
        top = 220 + board * 126
        fill = (WOOD[0] + shade, WOOD[1] + shade, WOOD[2] + shade)
        draw.rectangle((180, top, 1420, top + 120), fill=fill, outline=(110, 82, 52), width=4)
    for x in (180, 760, 1340):
        draw.rectangle((x, 200, x + 80, 990), fill=(150, 112, 72), outline=(104, 78, 48), width=4)
    for x in (520, 960):
        draw.rounded_rectangle((x, 480, x + 130, 610), 12, fill=(240, 238, 230), outline=(120, 116, 110), width=4)
        draw.ellipse((x + 40, 520, x + 90, 570), fill=(250, 250, 246), outline=(70, 70, 70), width=6)
    draw.polygon([(1180, 420), (1240, 420), (1210, 350)], fill=SOOT)
    draw.rectangle((1200, 420, 1220, 520), fill=SOOT)
    return grain(photo, rng)


def meter(seed: int, digits: str) -> Image.Image:
    """A hygrometer held to the wall, its display showing `digits`."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, WALL)
    draw = ImageDraw.Draw(photo)
    draw.rounded_rectangle((520, 180, 1080, 1060), 60, fill=(58, 66, 66), outline=(30, 34, 34), width=10)
    draw.rounded_rectangle((590, 270, 1010, 560), 20, fill=(190, 204, 178))
    for place, digit in enumerate(digits[:4]):
        _digit(draw, digit, 620 + place * 96, 320)
    for number in range(3):
        draw.ellipse((620 + number * 130, 720, 710 + number * 130, 810), fill=(92, 100, 100))
    return grain(photo, rng)


def _digit(draw: ImageDraw.ImageDraw, digit: str, x: float, y: float) -> None:
    ends = {
        "a": (0, 0, 60, 0), "b": (60, 0, 60, 80), "c": (60, 80, 60, 160), "d": (0, 160, 60, 160),
        "e": (0, 80, 0, 160), "f": (0, 0, 0, 80), "g": (0, 80, 60, 80),
    }  # fmt: skip
    for segment in SEGMENTS.get(digit, "g"):
        left, top, right, bottom = ends[segment]
        draw.line((x + left, y + top, x + right, y + bottom), fill=(38, 44, 38), width=14)


def tin(seed: int, colour: tuple[int, int, int] = (86, 104, 98)) -> Image.Image:
    """A tin of paint with a batch number that is too small to read, as they are."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, WOOD)
    draw = ImageDraw.Draw(photo)
    draw.rectangle((500, 260, 1100, 1020), fill=(168, 172, 174))
    draw.ellipse((500, 200, 1100, 330), fill=(190, 194, 196), outline=(120, 124, 126), width=8)
    draw.rectangle((500, 420, 1100, 860), fill=colour)
    draw.rectangle((560, 480, 1040, 620), fill=(240, 236, 224))
    for row in range(5):
        draw.line((590, 690 + row * 30, 1010 - rng.randint(0, 160), 690 + row * 30), fill=(220, 216, 204), width=6)
    return grain(photo, rng)


def target(seed: int) -> Image.Image:
    """A scale and twelve patches of colour laid against the work, so that a photo can be measured and balanced."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, (222, 216, 202))
    draw = ImageDraw.Draw(photo)
    patches = [
        (120, 74, 52), (198, 158, 120), (70, 96, 140), (92, 104, 60), (112, 92, 130), (60, 124, 116),
        (244, 244, 242), (204, 204, 203), (164, 164, 163), (124, 124, 123), (84, 84, 84), (48, 48, 48),
    ]  # fmt: skip
    for number, fill in enumerate(patches):
        left, top = 260 + (number % 6) * 180, 360 + (number // 6) * 180
        draw.rectangle((left, top, left + 160, top + 160), fill=fill)
    draw.rectangle((260, 760, 1320, 850), fill=(250, 248, 240), outline=SOOT, width=3)
    for millimetre in range(107):
        left = 260 + millimetre * 10
        draw.line((left, 760, left, 790 + (30 if millimetre % 10 == 0 else 0)), fill=SOOT, width=2)
    return grain(photo, rng)
