"""How a piece would move that its supports do not hold, in words."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.loads.supports import Action, Pad, Support

# Shares of the movement, whose length is at most 1; nearer than this to 0 counts as none.
STILL = 1e-6
SAME_PLACE_MM = 0.01


class Turn(NamedTuple):
    """A small movement: along two axes or one, and a turn, in mm and radians of one common, arbitrary size."""

    across: float
    up: float
    turn: float


def along_the_wall(moved: Turn, holding: Sequence[Support]) -> str:
    """Words for a movement in the plane of the wall; `holding` are the supports that the piece still leans on."""
    if holding and abs(moved.turn) > STILL:
        way = "clockwise" if moved.turn < 0 else "anticlockwise"
        return f"swings about {_and([support.label for support in holding])} ({way}, as seen from the front)"
    if abs(moved.up) >= abs(moved.across):
        if moved.up > STILL:
            return "lifts off its hooks"
        return "falls: nothing holds it up" if moved.up < -STILL else "turns where it hangs: nothing holds it level"
    return f"slides to the {'right' if moved.across > 0 else 'left'}, as seen from the front"


class Tilt(NamedTuple):
    """A small movement out from the wall: at the reference point, and how it grows with x and with y."""

    out: float
    x_0_mm: float
    y_0_mm: float
    by_x: float
    by_y: float

    def at(self, x_mm: float, y_mm: float) -> float:
        """The movement away from the wall at a place on the piece."""
        return self.out + self.by_x * (x_mm - self.x_0_mm) + self.by_y * (y_mm - self.y_0_mm)

    def side(self) -> str:
        """Which side of the piece comes forward."""
        if abs(self.by_y) >= abs(self.by_x):
            return "top" if self.by_y > 0 else "bottom"
        return "right" if self.by_x > 0 else "left"


OPPOSITE = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}


def off_the_wall(tilt: Tilt, pads: Sequence[Pad], actions: Sequence[Action], *, bears: bool) -> str:
    """Words for a movement towards or away from the wall; `bears`: some pad still pushes."""
    reach = max([math.hypot(pad.x_mm - tilt.x_0_mm, pad.y_mm - tilt.y_0_mm) for pad in pads], default=0.0)
    if math.hypot(tilt.by_x, tilt.by_y) * max(reach, 1.0) < STILL * abs(tilt.out):
        return "comes away from the wall" if tilt.out > 0 else "goes in to the wall: it bears nowhere"
    touched: list[Pad | Action] = [*pads, *actions]
    leaves = max([tilt.at(one.x_mm, one.y_mm) for one in touched], default=0.0)
    side = tilt.side()
    if bears or leaves > STILL:
        return f"comes away at the {side}" + (", as seen from the front" if side in {"left", "right"} else "")
    return f"goes in at the {OPPOSITE[side]}: nothing there bears on the wall"


def one_place(supports: Sequence[Support]) -> bool:
    """Whether all of them are at one place."""
    first = supports[0]
    return all(math.hypot(one.x_mm - first.x_mm, one.y_mm - first.y_mm) < SAME_PLACE_MM for one in supports)


def _and(labels: Sequence[str]) -> str:
    *most, last = labels
    return f"{', '.join(most)} and {last}" if most else last
