"""Charts: everything is drawn inside the sheet, thousands of points keep their peaks."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.drawing.chart import HIGH, WIDE, Chart, Event, Lead, Level, Series, chart_svg, thinned, ticks

number = st.floats(-40, 1000)
SVG = "{http://www.w3.org/2000/svg}"


def drawn(chart: Chart) -> ET.Element:
    return ET.fromstring(chart_svg(chart, title="Heat test", said="Readings"))


def places(root: ET.Element) -> list[tuple[float, float]]:
    found = []
    for one in root.iter():
        for x, y in (("x", "y"), ("x1", "y1"), ("x2", "y2"), ("cx", "cy")):
            if one.get(x) is not None and one.get(y) is not None:
                found.append((float(one.get(x)), float(one.get(y))))
        if one.tag == f"{SVG}path":
            found += [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", one.get("d"))]
    return found


@settings(deadline=None, max_examples=50)
@given(
    st.lists(st.tuples(st.floats(0, 600), number), min_size=1, max_size=40, unique_by=lambda one: one[0]),
    st.lists(st.tuples(number, st.just("limit")), max_size=3),
    st.lists(st.tuples(st.floats(0, 600), st.just("fuel")), max_size=4),
)
def test_whatever_was_read_is_drawn_inside_the_sheet(points, levels, events) -> None:
    chart = Chart(
        "min",
        "°C",
        (Series("P1", sorted(points)),),
        tuple(Level(*one) for one in levels),
        tuple(Event(*one) for one in events),
        (Lead([(0, 20), (600, 80)], 70, 95),),
    )
    for x, y in places(drawn(chart)):
        assert -0.01 <= x <= WIDE + 0.01
        assert -0.01 <= y <= HIGH + 0.01


def test_names_limits_and_events_stand_in_words() -> None:
    chart = Chart(
        "minutes since it was lit",
        "°C",
        (Series("P1", [(0, 20), (10, 40)]), Series("P2", [(0, 20), (10, 41)])),
        (Level(75, "bond 75 °C"),),
        (Event(5, "fuel"),),
    )
    words = [one.text for one in drawn(chart).iter(f"{SVG}text")]
    assert {"P1", "P2", "bond 75 °C", "fuel", "°C", "minutes since it was lit"} <= set(words)


def test_nothing_read_is_nothing_drawn() -> None:
    assert chart_svg(Chart("min", "°C", (Series("P1", []),)), title="t", said="s") == ""


def test_thousands_of_points_keep_the_highest_and_the_lowest() -> None:
    points = [(float(at), 20.0) for at in range(20_000)]
    points[7_777], points[12_345] = (7_777.0, 99.0), (12_345.0, -5.0)
    kept = thinned(points)
    assert len(kept) <= 480
    assert {(7_777.0, 99.0), (12_345.0, -5.0)} <= set(kept)
    assert kept == sorted(kept)


@given(st.floats(-1000, 1000), st.floats(0.01, 1000))
def test_ticks_are_a_few_round_numbers_inside_the_range(low: float, span: float) -> None:
    found = ticks(low, low + span)
    assert 1 <= len(found) <= 7
    assert all(low - 1e-6 <= one <= low + span + 1e-6 for one in found)
