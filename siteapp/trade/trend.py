"""Where the climate of a session is heading: an estimate, which may stop work and never lets it go on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.climate import MARGIN_FLOOR_C, MOST_MARGIN_C, dew_point_c
from siteapp.trade.errors import in_range
from siteapp.trade.verdicts import CANNOT_TELL, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.verdicts import Verdict

FEWEST = 3
SHORTEST_MIN = 20.0
LONGEST_MIN = 20_160.0
MOST_HOURS_AHEAD = 72.0

SOURCE = (
    "straight line by least squares through the margins above the dew point of at least 3 readings over 20 min (ours)"
)
ASSUMPTIONS = (
    "it goes on as it went; weather, heating and doors do as they like",
    "the readings were taken at one place, with the same instruments",
)


@dataclass(frozen=True)
class Trend:
    """How fast the margin above the dew point changes, °C an hour, and when it would come to the wanted one.

    `crosses_in_h` counts from the last reading: None when it does not within the hours asked about. The verdict is
    *not met* then, else *cannot tell*: where nothing points to it, that is no measurement.
    """

    per_hour_c: float | None
    crosses_in_h: float | None
    verdict: Verdict
    reason: str
    assumptions: tuple[str, ...] = ASSUMPTIONS
    source: str = SOURCE


def margin_trend(
    readings: Sequence[tuple[float, float, float, float]], *, wanted_c: float = MARGIN_FLOOR_C, hours_ahead: float = 4.0
) -> Trend:
    """The trend of the margin above the dew point over `readings` (minutes 0…20 160, air °C, humidity %, surface °C).

    `wanted_c` 0…30 °C is the margin asked for, `hours_ahead` 0…72 how long the coat stays wet. Ranges of the readings
    as `climate.coating_climate`. Source: SOURCE. Assumes ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    in_range("margin above the dew point", wanted_c, 0, MOST_MARGIN_C, "°C")
    in_range("hours ahead", hours_ahead, 0, MOST_HOURS_AHEAD, "h")
    margins = sorted((_minutes(at), surface - dew_point_c(air, humidity)) for at, air, humidity, surface in readings)
    if len(margins) < FEWEST or margins[-1][0] - margins[0][0] < SHORTEST_MIN:
        return Trend(None, None, CANNOT_TELL, f"a trend needs {FEWEST} readings over {SHORTEST_MIN:g} min")
    mean_t = sum(t for t, _ in margins) / len(margins)
    mean_m = sum(m for _, m in margins) / len(margins)
    spread = sum((t - mean_t) ** 2 for t, _ in margins)
    slope = sum((t - mean_t) * (m - mean_m) for t, m in margins) / spread
    per_hour = slope * 60
    now = mean_m + slope * (margins[-1][0] - mean_t)
    crosses = (now - wanted_c) / -per_hour if per_hour < 0 else None
    if crosses is not None and crosses <= hours_ahead:
        left = max(0.0, crosses)
        words = f"falls by {-per_hour:.1f} °C an hour: the margin comes to {wanted_c:g} °C in about {left:.1f} h"
        return Trend(per_hour, left, NOT_MET, words)
    words = (
        f"{per_hour:+.1f} °C an hour: nothing points to the margin coming to {wanted_c:g} °C within {hours_ahead:g} h"
    )
    return Trend(per_hour, None, CANNOT_TELL, words)


def _minutes(at: float) -> float:
    return in_range("time of a reading", at, 0, LONGEST_MIN, "min")
