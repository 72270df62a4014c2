"""Photos of which no two are alike: grain drawn from a seed, as JPEG, of 0.1 to 3 MB."""

from __future__ import annotations

import io
import random

from PIL import Image

SIDES_PX = (360, 640, 1000, 1600)


def photo_of_its_own(seed: str) -> bytes:
    """The photo of a seed."""
    rng = random.Random(seed)
    side = rng.choice(SIDES_PX)
    grain = Image.frombytes("L", (side, side), rng.randbytes(side * side)).convert("RGB")
    out = io.BytesIO()
    grain.save(out, "JPEG", quality=rng.randint(80, 92))
    return out.getvalue()
