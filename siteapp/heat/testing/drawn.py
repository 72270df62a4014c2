"""The curve of a heat test, with limits, what happened, and where the fit leads while it runs."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from markupsafe import Markup

from siteapp.drawing.chart import Chart, Event, Lead, Level, Series, chart_svg
from siteapp.heat.testing.models import REFUELLED, SHUT_DOWN, SLIPPED
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.heat.testing.state import HeatTestNow, Judged

AHEAD = 1.4  # of the time logged: how far a fit is drawn
STEPS = 40
FARTHEST_C = 150.0  # above the highest reading: a wider interval says nothing that can be drawn
SHORT = {REFUELLED: _l("fuel"), SHUT_DOWN: _l("shut"), SLIPPED: _l("slipped")}


def curve(test: HeatTestNow, found: Judged) -> Markup:
    """The chart as SVG; empty before the first reading."""
    points = test.points()
    series = tuple(Series(label, told) for label, told in points.items() if told)
    limits: dict[float, list[str]] = {}
    for one in found.each.values():
        if one.limit_c is not None and one.weakest is not None:
            limits.setdefault(one.limit_c, []).append(one.weakest)
    levels = tuple(
        Level(limit, f"{', '.join(dict.fromkeys(parts))} {limit:g} °C") for limit, parts in sorted(limits.items())
    )
    events = tuple(Event(one.said.minutes, str(SHORT[one.said.what])) for one in test.events if one.said.what in SHORT)
    chart = Chart(_("minutes since it was lit"), "°C", series, levels=levels, events=events, leads=_leads(test, found))
    said = "; ".join(f"{label}: {one.note}" for label, one in found.tests.items())
    return Markup(chart_svg(chart, title=_("Temperatures of the heat test"), said=said))  # noqa: S704 - escaped there


def _leads(test: HeatTestNow, found: Judged) -> tuple[Lead, ...]:
    """Each probe's fit a little ahead while the fire burns and nothing stands still."""
    if test.shut_down is not None:
        return ()
    told = []
    for one in found.tests.values():
        start, final, tau = one.start_c, one.final_c, one.time_constant_min
        if one.long_enough or start is None or final is None or tau is None or one.peak_c is None:
            continue
        if final > one.peak_c + FARTHEST_C:
            continue
        until = one.minutes * AHEAD
        points = [
            (at, final - (final - start) * math.exp(-at / tau)) for at in (until * n / STEPS for n in range(STEPS + 1))
        ]
        high = one.final_c_high if one.final_c_high is not None else math.inf
        low = one.final_c_low if one.final_c_low is not None else -math.inf
        drawn = high < one.peak_c + FARTHEST_C and math.isfinite(low)
        told.append(Lead(points, low if drawn else None, high if drawn else None))
    return tuple(told)
