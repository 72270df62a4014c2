"""Where the climate of a session is heading: the trend of its readings, drawn against the margin that is asked for."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from markupsafe import Markup

from siteapp.drawing.chart import Chart, Level, Series, chart_svg
from siteapp.finishing.state import FRESH_HOURS
from siteapp.trade.climate import MARGIN_FLOOR_C
from siteapp.trade.trend import Trend, margin_trend
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.finishing.state import SessionState

AT_ONCE = timedelta(hours=12)  # readings of another day say nothing of this one's heading


def trend(state: SessionState) -> Trend:
    """The trend of the margin above the dew point over the latest readings of a session that stand."""
    return margin_trend(_readings(state), wanted_c=_wanted(state), hours_ahead=FRESH_HOURS)


def drawn(state: SessionState) -> Markup:
    """The margins over time with the one that is asked for; empty with fewer than two readings."""
    last = state.climates[-1].at if state.climates else None
    points = [
        ((one.at - last) / timedelta(hours=1), one.said.margin_c)
        for one in state.climates
        if last is not None and one.said.margin_c is not None
    ]
    if len(points) < 2:  # noqa: PLR2004 - a line has two ends
        return Markup()
    wanted = _wanted(state)
    chart = Chart(
        _("hours before the latest reading"),
        _("°C above the dew point"),
        (Series("", sorted(points)),),
        levels=(Level(wanted, _("asked for: %(c)s °C", c=f"{wanted:g}")),),
    )
    said = "; ".join(f"{at:.1f} h: {margin:.1f} °C" for at, margin in sorted(points))
    return Markup(chart_svg(chart, title=_("Surface above the dew point"), said=said))  # noqa: S704 - escaped there


def _readings(state: SessionState) -> list[tuple[float, float, float, float]]:
    whole = [
        (one.at, one.said.air_c, one.said.relative_humidity, one.said.surface_c)
        for one in state.climates
        if one.said.air_c is not None and one.said.relative_humidity is not None and one.said.surface_c is not None
    ]
    if not whole:
        return []
    first = max(max(at for at, *_rest in whole) - AT_ONCE, min(at for at, *_rest in whole))
    return [((at - first) / timedelta(minutes=1), air, wet, wall) for at, air, wet, wall in whole if at >= first]  # type: ignore[misc]


def _wanted(state: SessionState) -> float:
    asked = state.climates[-1].said.margin_limit_c if state.climates else None
    return MARGIN_FLOOR_C if asked is None else max(MARGIN_FLOOR_C, asked)
