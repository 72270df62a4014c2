"""Photos of the demo, drawn by code: reliefs of birds, their backs, a crate, a meter."""

from __future__ import annotations

import io
import math
import random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

SIZE = (1600, 1200)
WALL = (206, 199, 186)
PLASTER = (232, 226, 212)
STEEL = (122, 126, 128)
WOOD = (171, 132, 88)
SOOT = (46, 44, 42)

Colour = tuple[int, int, int]
Points = list[tuple[float, float]]


def jpeg(image: Image.Image) -> bytes:
    """The image as a camera would hand it over."""
    out = io.BytesIO()
    image.save(out, "JPEG", quality=86)
    return out.getvalue()


def relief(seed: int, birds: int, tint: Colour = PLASTER, *, glow: bool = False) -> bytes:
    """A panel with wading birds in low relief, lit from the upper left."""
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
    photo = _lit(height, tint, rng)
    shadow = Image.new("L", SIZE, 0)
    ImageDraw.Draw(shadow).rounded_rectangle((172, 200, 1478, 1062), 30, fill=150)
    outside = ImageChops.subtract(shadow.filter(ImageFilter.GaussianBlur(22)), panel.point(lambda v: 255 if v else 0))
    photo = Image.composite(Image.new("RGB", SIZE, (88, 82, 74)), photo, outside)
    return jpeg(_warm(photo) if glow else photo)


def back(seed: int) -> bytes:
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
    return jpeg(_grain(photo, rng))


def crate(seed: int) -> bytes:
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
    return jpeg(_grain(photo, rng))


def meter(seed: int, digits: str) -> bytes:
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
    return jpeg(_grain(photo, rng))


def spray(seed: int) -> bytes:
    """A finished surface seen close: a soft sheen over fine texture."""
    rng = random.Random(seed)
    height = (
        Image.effect_noise((400, 300), 26).resize(SIZE, Image.Resampling.BICUBIC).filter(ImageFilter.GaussianBlur(3))
    )
    _bird(height, 700, 640, 2.4, 1)
    return jpeg(_lit(height, (214, 206, 190), rng))


SEGMENTS = {
    "0": "abcdef", "1": "bc", "2": "abged", "3": "abgcd", "4": "fgbc",
    "5": "afgcd", "6": "afgedc", "7": "abc", "8": "abcdefg", "9": "abfgcd",
}  # fmt: skip


def _digit(draw: ImageDraw.ImageDraw, digit: str, x: float, y: float) -> None:
    ends = {
        "a": (0, 0, 60, 0), "b": (60, 0, 60, 80), "c": (60, 80, 60, 160), "d": (0, 160, 60, 160),
        "e": (0, 80, 0, 160), "f": (0, 0, 0, 80), "g": (0, 80, 60, 80),
    }  # fmt: skip
    for segment in SEGMENTS.get(digit, "g"):
        left, top, right, bottom = ends[segment]
        draw.line((x + left, y + top, x + right, y + bottom), fill=(38, 44, 38), width=14)


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


def _lit(height: Image.Image, tint: Colour, rng: random.Random) -> Image.Image:
    """Light from the upper left over a height field: each pixel against its neighbour, then tinted."""
    soft = height.filter(ImageFilter.GaussianBlur(1.5))
    light = ImageChops.subtract(soft, ImageChops.offset(soft, 5, 5), scale=0.34, offset=150)
    level = ImageChops.add(light, soft.point(lambda v: v // 5), offset=-18)
    channels = [level.point(lambda v, part=part: min(255, v * part // 190)) for part in tint]
    return _grain(Image.merge("RGB", channels), rng)


def _grain(photo: Image.Image, rng: random.Random) -> Image.Image:
    coarse = Image.effect_noise((SIZE[0] // 2, SIZE[1] // 2), 8 + rng.random() * 3).resize(SIZE)
    noise = Image.merge("RGB", [coarse] * 3)
    return ImageChops.add(photo, noise, offset=-128)


def _warm(photo: Image.Image) -> Image.Image:
    glow = Image.radial_gradient("L").resize((1900, 1500)).crop((150, 0, 1750, 1200))
    return Image.composite(photo, ImageChops.multiply(photo, Image.new("RGB", SIZE, (255, 196, 140))), glow)
