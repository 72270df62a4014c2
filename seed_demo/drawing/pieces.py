"""Pieces seen from the front, close, and from behind."""

from __future__ import annotations

import math
import random
from typing import TYPE_CHECKING

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from seed_demo.drawing.light import PLASTER, SIZE, SOOT, STEEL, WALL, grain, lit, warm

if TYPE_CHECKING:
    from seed_demo.drawing.light import Colour, Points


def relief(
    seed: int, birds: int, tint: Colour = PLASTER, *, glow: bool = False, raking: bool = False, chipped: bool = False
) -> Image.Image:
    """A panel with wading birds in low relief, lit from the upper left; `chipped` at its lower right corner."""
    rng = random.Random(seed)
    height = Image.new("L", SIZE, 96)
    panel = Image.new("L", SIZE, 0)
    ImageDraw.Draw(panel).rounded_rectangle((150, 170, 1450, 1030), 26, fill=118)
    height = ImageChops.lighter(height, panel)
    _waves(height, rng)
    for number in range(birds):
        x = 440 + number * (720 / (birds - 1)) if birds > 1 else 760
        _bird(
            height, x, 540 + rng.uniform(-60, 70), rng.uniform(0.62, 0.72) if birds > 1 else 1.25, rng.choice((-1, 1))
        )
    if chipped:
        ImageDraw.Draw(height).polygon([(1380, 1034), (1454, 1034), (1454, 968), (1424, 984), (1404, 1010)], fill=70)
    photo = lit(height, tint, rng, raking=raking)
    shadow = Image.new("L", SIZE, 0)
    ImageDraw.Draw(shadow).rounded_rectangle((172, 200, 1478, 1062), 30, fill=150)
    outside = ImageChops.subtract(shadow.filter(ImageFilter.GaussianBlur(22)), panel.point(lambda v: 255 if v else 0))
    photo = Image.composite(Image.new("RGB", SIZE, (88, 82, 74)), photo, outside)
    return warm(photo) if glow else photo


def spray(seed: int) -> Image.Image:
    """A finished surface seen close: a soft sheen over fine texture."""
    rng = random.Random(seed)
    height = (
        Image.effect_noise((400, 300), 26).resize(SIZE, Image.Resampling.BICUBIC).filter(ImageFilter.GaussianBlur(3))
    )
    _bird(height, 700, 640, 2.4, 1)
    return lit(height, (214, 206, 190), rng)


def shell(seed: int, tint: Colour = (222, 196, 170)) -> Image.Image:
    """A whelk's shell as tall as a person, standing on the floor of a hall."""
    rng = random.Random(seed)
    height = Image.new("L", SIZE, 92)
    draw = ImageDraw.Draw(height)
    draw.rectangle((0, 980, SIZE[0], SIZE[1]), fill=78)
    for turn in range(9):
        share = turn / 8
        x, y = 800 + 46 * math.sin(turn * 1.7), 960 - 700 * share
        wide, tall = 330 * (1 - share) + 34, 130 * (1 - share) + 40
        layer = Image.new("L", SIZE, 0)
        ImageDraw.Draw(layer).ellipse((x - wide, y - tall, x + wide, y + tall), fill=int(150 + 70 * share))
        for rib in range(-5, 6):
            start = (x + wide * rib / 6, y - tall)
            ImageDraw.Draw(layer).line([start, (start[0] - 26, y + tall)], fill=128, width=7)
        height.paste(ImageChops.lighter(height, layer.filter(ImageFilter.GaussianBlur(6))))
    return lit(height, tint, rng)


def shoal(seed: int) -> Image.Image:
    """Forty small fish on rods, hung in a stairwell and seen from below."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, (186, 190, 192))
    draw = ImageDraw.Draw(photo)
    for step in range(9):
        draw.polygon(
            [(0, 120 + step * 130), (420 - step * 30, 150 + step * 120), (0, 200 + step * 130)], fill=(160, 156, 150)
        )
    draw.rectangle((520, 60, 1500, 84), fill=STEEL)
    for _fish in range(40):
        x, y, long = rng.uniform(540, 1470), rng.uniform(300, 1050), rng.uniform(36, 66)
        draw.line([(x, 84), (x, y)], fill=(140, 144, 146), width=2)
        shade = rng.randint(-20, 20)
        fill = (112 + shade, 132 + shade, 140 + shade)
        draw.ellipse((x - long, y - long / 3, x + long, y + long / 3), fill=fill)
        draw.polygon([(x - long, y), (x - long * 1.5, y - long / 3), (x - long * 1.5, y + long / 3)], fill=fill)
    return grain(photo.filter(ImageFilter.GaussianBlur(1)), rng)


def edge(seed: int) -> Image.Image:
    """A panel's edge along its length, with its lay-up showing."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, WALL)
    draw = ImageDraw.Draw(photo)
    for layer, (top, fill) in enumerate([(470, (232, 226, 212)), (516, (206, 200, 186)), (556, (178, 166, 128))]):
        line = [(x, top + 7 * math.sin(x / 150 + layer)) for x in range(0, SIZE[0] + 40, 40)]
        draw.polygon([*line, (SIZE[0], 720), (0, 720)], fill=fill)
    draw.rectangle((0, 690, SIZE[0], 760), fill=STEEL)
    return grain(photo.filter(ImageFilter.GaussianBlur(1.5)), rng)


def plate(seed: int) -> Image.Image:
    """One hanging point close: a bonded steel plate with its hole."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, (196, 186, 150))
    draw = ImageDraw.Draw(photo)
    for _fibre in range(900):
        x, y, turn = rng.uniform(0, SIZE[0]), rng.uniform(0, SIZE[1]), rng.uniform(0, math.pi)
        draw.line([(x, y), (x + 90 * math.cos(turn), y + 90 * math.sin(turn))], fill=(180, 170, 134), width=4)
    draw.rectangle((420, 290, 1180, 910), fill=(142, 146, 148), outline=(84, 88, 90), width=12)
    draw.ellipse((700, 500, 900, 700), fill=SOOT, outline=(92, 96, 98), width=10)
    return grain(photo.filter(ImageFilter.GaussianBlur(1.5)), rng)


def back(seed: int) -> Image.Image:
    """The back of a shell: laminate, a steel frame bonded in, four plates with holes, a label."""
    rng = random.Random(seed)
    photo = Image.new("RGB", SIZE, (150, 146, 138))
    draw = ImageDraw.Draw(photo)
    draw.rounded_rectangle((130, 150, 1470, 1050), 24, fill=(196, 186, 150), outline=(140, 130, 104), width=8)
    for _fibre in range(1500):
        x, y, turn = rng.uniform(140, 1460), rng.uniform(160, 1040), rng.uniform(0, math.pi)
        shade = rng.randint(-16, 16)
        end = (x + 34 * math.cos(turn), y + 34 * math.sin(turn))
        draw.line([(x, y), end], fill=(196 + shade, 186 + shade, 150 + shade), width=2)
    for x in (360, 1240):
        draw.rectangle((x - 26, 240, x + 26, 960), fill=STEEL, outline=(84, 88, 90), width=4)
    draw.rectangle((360, 560, 1240, 612), fill=STEEL, outline=(84, 88, 90), width=4)
    for x in (360, 1240):
        for y in (290, 900):
            draw.rectangle((x - 70, y - 50, x + 70, y + 50), fill=(142, 146, 148), outline=(84, 88, 90), width=4)
            draw.ellipse((x - 16, y - 16, x + 16, y + 16), fill=SOOT)
    draw.rectangle((1010, 700, 1180, 810), fill=(248, 246, 238))
    for row in range(8):
        for column in range(8):
            if rng.random() < 0.5:
                draw.rectangle((1022 + column * 10, 714 + row * 10, 1031 + column * 10, 723 + row * 10), fill=SOOT)
    for row in range(4):
        draw.line((1112, 722 + row * 22, 1168, 722 + row * 22), fill=(90, 88, 84), width=5)
    return grain(photo, rng)


def _bird(height: Image.Image, x: float, y: float, scale: float, way: int) -> None:
    """A wader: body, neck, head and long bill, legs; built up in soft steps like a carving."""
    layer = Image.new("L", height.size, 0)
    draw = ImageDraw.Draw(layer)

    def at(points: Points) -> Points:
        return [(x + way * px * scale, y + py * scale) for px, py in points]

    body = [(150 * math.cos(t) - 10, 78 * math.sin(t)) for t in (n * math.tau / 60 for n in range(60))]
    draw.polygon(at(body), fill=190)
    draw.polygon(at([(-120, -30), (-250, 28), (-230, 50), (-90, 60)]), fill=178)
    draw.polygon(at([(90, -50), (150, -130), (190, -128), (140, -10)]), fill=200)
    head = [(178 + 44 * math.cos(t), -140 + 34 * math.sin(t)) for t in (n * math.tau / 40 for n in range(40))]
    draw.polygon(at(head), fill=212)
    draw.polygon(at([(212, -150), (380, -112), (382, -106), (208, -128)]), fill=204)
    for leg in (-20, 40):
        draw.line(at([(leg, 70), (leg - 18, 170), (leg + 6, 290)]), fill=225, width=max(9, int(15 * scale)))
        draw.line(at([(leg - 30, 292), (leg + 44, 288)]), fill=215, width=max(8, int(11 * scale)))
    for feather in range(5):
        left = -150 + feather * 12
        draw.line(at([(left, -8 + feather * 15), (60, -28 + feather * 17)]), fill=150, width=max(2, int(7 * scale)))
    height.paste(ImageChops.lighter(height, layer.filter(ImageFilter.GaussianBlur(4.5 * scale))))


def _waves(height: Image.Image, rng: random.Random) -> None:
    layer = Image.new("L", height.size, 0)
    draw = ImageDraw.Draw(layer)
    for row in range(7):
        base, phase = 850 + row * 26, rng.uniform(0, math.tau)
        line = [(x, base + 9 * math.sin(x / 90 + phase)) for x in range(170, 1432, 12)]
        draw.line(line, fill=196 - row * 6, width=13)
    height.paste(ImageChops.lighter(height, layer.filter(ImageFilter.GaussianBlur(4))))
