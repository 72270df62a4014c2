"""The stove, its plate, the colour sample: what is photographed beside a piece over a fire."""

from __future__ import annotations

import random

from PIL import Image, ImageDraw, ImageFilter

from seed_demo.drawing.light import SIZE, SOOT, STEEL, WALL, grain, warm

BRICK = (164, 116, 92)


def stove(seed: int, *, lit: bool = False) -> Image.Image:
    """A stove in an opening, the lower edge of a panel above it."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, WALL)
    draw = ImageDraw.Draw(photo)
    draw.rectangle((140, 60, 1460, 250), fill=(222, 214, 198), outline=(150, 142, 128), width=6)
    draw.rectangle((380, 480, 1220, 1200), fill=(92, 70, 60))
    for row in range(9):
        for column in range(7 if row % 2 else 6):
            left = 380 + column * 146 - (70 if row % 2 else 0)
            shade = rng.randint(-14, 14)
            fill = (BRICK[0] + shade, BRICK[1] + shade, BRICK[2] + shade)
            ends = (max(left + 4, 384), min(left + 140, 1216))
            draw.rectangle((ends[0], 484 + row * 80, ends[1], 556 + row * 80), fill=fill)
    draw.rounded_rectangle((520, 620, 1080, 1160), 24, fill=(44, 44, 46), outline=(20, 20, 20), width=8)
    window = (255, 168, 74) if lit else (72, 70, 66)
    draw.rounded_rectangle((600, 700, 1000, 980), 18, fill=window, outline=(24, 24, 24), width=14)
    if lit:
        for flame in range(7):
            x = 640 + flame * 52
            top = 760 + rng.randint(0, 90)
            draw.polygon([(x - 30, 976), (x + 30, 976), (x + rng.randint(-10, 10), top)], fill=(255, 222, 140))
    draw.rectangle((760, 480, 840, 620), fill=(50, 50, 52))
    return warm(grain(photo, rng)) if lit else grain(photo, rng)


def plate(seed: int) -> Image.Image:
    """A type plate riveted to sheet steel, its lines too small to read, as they are."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, (58, 58, 60))
    draw = ImageDraw.Draw(photo)
    draw.rounded_rectangle((260, 260, 1340, 960), 20, fill=(196, 198, 196), outline=STEEL, width=10)
    for x, y in ((300, 300), (1300, 300), (300, 920), (1300, 920)):
        draw.ellipse((x - 18, y - 18, x + 18, y + 18), fill=STEEL, outline=SOOT, width=3)
    for row in range(9):
        draw.line((360, 380 + row * 60, 720, 380 + row * 60), fill=(70, 72, 74), width=12)
        draw.line((800, 380 + row * 60, 1230 - rng.randint(0, 220), 380 + row * 60), fill=(70, 72, 74), width=12)
    return grain(photo, rng)


def sample(seed: int, tint: tuple[int, int, int] = (188, 182, 170)) -> Image.Image:
    """A painted board of the agreed colour, a grey scale beside it."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, (150, 146, 140))
    draw = ImageDraw.Draw(photo)
    draw.rectangle((260, 220, 1120, 980), fill=tint, outline=(110, 104, 96), width=4)
    for step in range(6):
        level = 40 + step * 40
        draw.rectangle((1180, 220 + step * 128, 1340, 340 + step * 128), fill=(level, level, level))
    return grain(photo.filter(ImageFilter.GaussianBlur(1)), rng)
