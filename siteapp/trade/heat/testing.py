"""A heat test: what was measured, whether it stood still, what is wrong with it, and where it seems to lead."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.heat import fitting
from siteapp.trade.heat.fitting import COLDEST_C, FEWEST, HOTTEST_C, LONGEST_MIN, MOST_POINTS
from siteapp.trade.heat.plateau import SOURCE as PLATEAU_SOURCE
from siteapp.trade.heat.plateau import plateau, slope

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from siteapp.trade.heat.fitting import Fit

    Readings = Sequence[tuple[float, float]]

# All ours, no source: wide enough that a door opened for fuel is none of them.
NOT_RISING_C = 2.0
FALLS_C = 5.0
FALLS_SHARE = 0.3  # of the rise so far
GAP_MIN = 10.0
GAP_TIMES = 4.0
STEP_MIN = 5.0
PASSED_C = 1.0
FEWEST_AFTER = 3

SOURCE = f"{fitting.SOURCE}; {PLATEAU_SOURCE}"
ASSUMPTIONS = (
    "minutes count from the lighting of the fire, and the probe stayed where it was",
    "the highest reading of the plateau counts, not its mean",
    *fitting.ASSUMPTIONS,
)


@dataclass(frozen=True)
class HeatTest:
    """One probe's readings and what they come to: °C and minutes.

    `start_c`, `final_c`, `time_constant_min`, `final_c_low`, `final_c_high`, `r2` are the fit's, None without one: an
    early warning. `plateau_c` is the highest measured reading of the plateau, None without one; `long_enough` says that
    it lasted. `peak_c` is the highest reading of all; `peak_passed` whether the peak after shut-down was seen to pass,
    None when nobody said that it was shut down. `faults` spoil a test; `note` is the whole in a sentence.
    """

    start_c: float | None
    final_c: float | None
    time_constant_min: float | None
    final_c_low: float | None
    final_c_high: float | None
    r2: float | None
    plateau_c: float | None
    plateau_minutes: float
    long_enough: bool
    note: str
    faults: tuple[str, ...]
    peak_c: float | None
    peak_minutes: float | None
    peak_passed: bool | None
    drift_c_per_30_min: float | None
    minutes: float
    count: int
    assumptions: tuple[str, ...] = ASSUMPTIONS
    source: str = SOURCE


def heat_test(
    readings: Iterable[tuple[float, float]],
    *,
    refuelled_min: Iterable[float] | None = None,
    shut_down_min: float | None = None,
) -> HeatTest:
    """Look at one probe's `readings`: (minutes from lighting 0…20 160, surface −40…1000 °C), in any order.

    `refuelled_min`: when fuel was put on by hand, empty when it never was; None for a fire that nobody puts fuel on.
    `shut_down_min`: when the fire was shut down; readings after it are looked at for their peak alone. Readings of
    the same minute count as their mean. None and one reading give an answer with its fault. Source: SOURCE. Assumes
    ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    ordered = _in_order(readings)
    refuelled = None if refuelled_min is None else [_time("refuelled at", at) for at in refuelled_min]
    end = None if shut_down_min is None else _time("shut down at", shut_down_min)
    firing = [one for one in ordered if end is None or one[0] <= end]
    after = [one for one in ordered if end is not None and one[0] >= end]
    faults = _faults(firing)
    fit = _fit(firing)
    stood = plateau(firing, refuelled, end)
    peak = max(ordered, key=lambda one: one[1], default=None)
    return HeatTest(
        start_c=fit.start_c if fit else (firing[0][1] if firing else None),
        final_c=fit.final_c if fit else None,
        time_constant_min=fit.time_constant_min if fit else None,
        final_c_low=fit.final_c_low if fit else None,
        final_c_high=fit.final_c_high if fit else None,
        r2=fit.r2 if fit else None,
        plateau_c=stood.celsius,
        plateau_minutes=stood.minutes,
        long_enough=stood.long_enough,
        note=_note(faults, fit, stood.celsius, stood.minutes, long_enough=stood.long_enough),
        faults=faults,
        peak_c=peak[1] if peak else None,
        peak_minutes=peak[0] if peak else None,
        peak_passed=None if end is None else _passed(after),
        drift_c_per_30_min=stood.drift_c_per_30_min,
        minutes=ordered[-1][0] if ordered else 0.0,
        count=len(ordered),
    )


def _time(what: str, at: float) -> float:
    return in_range(what, at, 0, LONGEST_MIN, "min")


def _in_order(readings: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    at_once: dict[float, list[float]] = {}
    for minutes, celsius in readings:
        _time("time of a reading", minutes)
        at_once.setdefault(float(minutes), []).append(
            in_range("surface temperature", celsius, COLDEST_C, HOTTEST_C, "°C")
        )
    return sorted((minutes, sum(told) / len(told)) for minutes, told in at_once.items())


def _fit(firing: Readings) -> Fit | None:
    """The law fitted, where there is enough to fit and it rises."""
    points = _binned(firing)
    if len(points) < FEWEST or slope(points) <= 0:
        return None
    try:
        found = fitting.fit_exponential([t for t, _ in points], [c for _, c in points])
    except TradeError:
        return None
    return found if found.final_c > found.start_c else None


def _binned(firing: Readings) -> Readings:
    """As they are, or the means of bins of equal time where there are thousands."""
    if len(firing) <= MOST_POINTS:
        return firing
    first, width = firing[0][0], (firing[-1][0] - firing[0][0]) / MOST_POINTS
    bins: dict[int, list[tuple[float, float]]] = {}
    for one in firing:
        bins.setdefault(min(int((one[0] - first) / width), MOST_POINTS - 1), []).append(one)
    return [(sum(t for t, _ in told) / len(told), sum(c for _, c in told) / len(told)) for told in bins.values()]


def _faults(firing: Readings) -> tuple[str, ...]:
    if not firing:
        return ("no reading",)
    if len(firing) == 1:
        return ("one reading alone shows nothing of where it leads",)
    found = [*_gaps(firing), *_falls(firing)]
    if max(c for _, c in firing) - firing[0][1] < NOT_RISING_C and not found:
        found.append(
            f"not rising: less than {NOT_RISING_C:g} °C above its first reading; is the probe where it should be?"
        )
    return tuple(found)


def _gaps(firing: Readings) -> list[str]:
    steps = [(before[0], after[0]) for before, after in pairwise(firing)]
    usual = median(end - begin for begin, end in steps)
    most = max(GAP_MIN, GAP_TIMES * usual)
    return [f"gap: nothing was read from {begin:g} to {end:g} min" for begin, end in steps if end - begin > most]


def _falls(firing: Readings) -> list[str]:
    """Falls while the fire burns: a step down that stays, a fall and a second rise, or cooling to the end."""
    found: list[str] = []
    low = firing[0][1]
    top_t, top_c = firing[0]
    bottom_t, bottom_c = firing[0]
    slipped = False
    for (t0, c0), (t1, c1) in pairwise(firing):
        low = min(low, c1)
        big = max(FALLS_C, FALLS_SHARE * (top_c - low))
        if c0 - c1 > big and t1 - t0 <= STEP_MIN and not slipped:
            later = [c for t, c in firing if t > t1][:3]
            if all(c < c0 - big / 2 for c in later):
                found.append(f"slipped probe: {c0:g} °C, then {c1:g} °C at {t1:g} min, and it stays down")
                slipped = True
        if c1 >= top_c:
            top_t, top_c, bottom_t, bottom_c = t1, c1, t1, c1
        elif c1 < bottom_c:
            bottom_t, bottom_c = t1, c1
        elif top_c - bottom_c > big and c1 - bottom_c > big and bottom_t - top_t > STEP_MIN and not slipped:
            found.append(f"two fires: falls from {top_c:g} °C to {bottom_c:g} °C at {bottom_t:g} min and rises again")
            top_t, top_c, bottom_t, bottom_c = t1, c1, t1, c1
    if top_c - firing[-1][1] > max(FALLS_C, FALLS_SHARE * (top_c - low)) and not slipped:
        found.append(
            f"cooling: {top_c:g} °C at {top_t:g} min, {firing[-1][1]:g} °C at the end, and nobody said it was shut down"
        )
    return found


def _passed(after: Readings) -> bool:
    """Whether what was logged after shut-down shows a peak and a fall from it."""
    if len(after) < FEWEST_AFTER:
        return False
    top = max(c for _, c in after)
    return all(top - c >= PASSED_C for _, c in after[-2:])


def _note(faults: tuple[str, ...], fit: Fit | None, stood_c: float | None, minutes: float, *, long_enough: bool) -> str:
    if faults:
        return "; ".join(faults)
    if stood_c is not None and long_enough:
        return f"stood still at {stood_c:.1f} °C or under for {minutes:.0f} min"
    if stood_c is not None:
        return f"stands still at {stood_c:.1f} °C or under for {minutes:.0f} min, which is not long enough yet"
    if fit is None:
        return "still rising, or too few readings to see where it leads"
    high = "no end" if fit.final_c_high == float("inf") else f"{fit.final_c_high:.1f} °C"
    return f"still rising; seems to lead to {fit.final_c:.1f} °C (up to {high}), an estimate"
