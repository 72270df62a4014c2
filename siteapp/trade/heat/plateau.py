"""Where the temperature of a firing stands still: measured, over cycles of fuel or over time."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    Readings = Sequence[tuple[float, float]]

WINDOW_MIN = 30.0
RISE_C = 1.0  # in half an hour
FEWEST_CYCLES = 2
LEAST_MIN = 60.0  # where nobody puts fuel on: two windows
FEWEST_IN_WINDOW = 3
STEP_MIN = 5.0

SOURCE = (
    "a plateau is a rise under 1 °C in 30 min over at least two cycles of fuel, or over 60 min where nobody puts "
    "fuel on "
    "(ours)"
)


@dataclass(frozen=True)
class Plateau:
    """What stood still at the end of a firing: the highest reading in it (°C), how long it lasted (min).

    `drift_c_per_30_min` is how much it still rose over its last hour or cycle; `celsius` is None and `minutes` 0
    where nothing stood still.
    """

    celsius: float | None
    minutes: float
    drift_c_per_30_min: float | None
    long_enough: bool


def plateau(firing: Readings, refuelled_min: Sequence[float] | None, end_min: float | None) -> Plateau:
    """The plateau at the end of a firing; `firing` in order of time, `end_min` when it was shut down, if it was."""
    if len(firing) < FEWEST_IN_WINDOW:
        return Plateau(None, 0.0, None, long_enough=False)
    if refuelled_min is None:
        return _over_time(firing)
    return _over_cycles(firing, refuelled_min, end_min)


def slope(readings: Readings) -> float:
    """The slope of a straight line through readings by least squares, °C a minute; 0 for one time."""
    count = len(readings)
    mean_t = sum(t for t, _ in readings) / count
    mean_c = sum(c for _, c in readings) / count
    spread = sum((t - mean_t) ** 2 for t, _ in readings)
    return sum((t - mean_t) * (c - mean_c) for t, c in readings) / spread if spread else 0.0


def _over_time(firing: Readings) -> Plateau:
    """Back from the end, as long as each window of half an hour rises and falls less than is allowed."""
    last = firing[-1][0]
    began, end = None, last
    while end - WINDOW_MIN >= firing[0][0]:
        window = [one for one in firing if end - WINDOW_MIN <= one[0] <= end]
        spans = len(window) >= FEWEST_IN_WINDOW and window[-1][0] - window[0][0] >= WINDOW_MIN / 2
        if not spans or abs(slope(window)) * WINDOW_MIN >= RISE_C:
            break
        began = end - WINDOW_MIN
        end -= STEP_MIN
    if began is None:
        return Plateau(None, 0.0, slope(firing[-FEWEST_IN_WINDOW:]) * WINDOW_MIN, long_enough=False)
    stood = [one for one in firing if one[0] >= began]
    lately = [one for one in stood if one[0] >= last - LEAST_MIN]
    minutes = last - began
    return Plateau(max(c for _, c in stood), minutes, slope(lately) * WINDOW_MIN, long_enough=minutes >= LEAST_MIN)


def _over_cycles(firing: Readings, refuelled_min: Sequence[float], end_min: float | None) -> Plateau:
    """Back from the end, cycle by cycle, as long as the means of two that follow each other rise less than is allowed.

    Within a cycle the fire flares and dies down, so readings within one are not compared.
    """
    ends = sorted({at for at in refuelled_min if at <= firing[-1][0]})
    if end_min is not None and ends and end_min > ends[-1]:
        ends.append(end_min)
    cycles = []
    for begin, end in pairwise(ends):
        inside = [one for one in firing if begin <= one[0] <= end]
        cycles.append((begin, end, inside))
    stood, drift = 0, None
    for (b0, e0, before), (b1, e1, after) in reversed(list(pairwise(cycles))):
        if not before or not after:
            break
        apart = (b1 + e1 - b0 - e0) / 2
        risen = (_mean(after) - _mean(before)) / apart * WINDOW_MIN
        drift = risen if drift is None else drift
        if abs(risen) >= RISE_C:
            break
        stood = (stood or 1) + 1
    if stood < FEWEST_CYCLES:
        return Plateau(None, 0.0, drift, long_enough=False)
    kept = cycles[-stood:]
    highest = max(c for _begin, _end, inside in kept for _, c in inside)
    return Plateau(highest, kept[-1][1] - kept[0][0], drift, long_enough=True)


def _mean(readings: Readings) -> float:
    return sum(c for _, c in readings) / len(readings)
