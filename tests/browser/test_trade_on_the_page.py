"""What a page works out by itself equals what the laptop works out, over thousands of drawn inputs, in Chromium.

Only `math.log` and `math.exp` may differ between the two, by the last bit; everything else is the same IEEE arithmetic
in the same order. Figures agree to 1e-9, verdicts and refusals exactly.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from siteapp.trade import anchors, coating, made_as, weight
from siteapp.trade.climate import Limits, coating_climate, dew_point_c
from siteapp.trade.errors import TradeError
from siteapp.web import figures
from tests.support import chromium as real

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from playwright.sync_api import Page, Route

OF_CLIMATE = {"dewPointC", "coatingClimate"}
OF_WEIGHT = {"made", "assemble"}
OF_SETTING = {"curingMinutes"}
STATIC = Path(__file__).resolve().parents[2] / "static"
pytestmark = real.needed

MANY = 6000
BAD = [None, math.nan, math.inf, -math.inf, "20", True, "", -1e300, 1e300]
REFUSED = "refused"
RUN = """async ([file, name, calls]) => {
  const call = (await import(file))[name];
  return calls.map((given) => {
    try {
      return call(...given);
    } catch (error) {
      if (error instanceof RangeError) return "refused";
      throw error;
    }
  });
}"""


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    """An empty page that can import our scripts; nothing is served, every request is answered from the folder."""

    def answer(route: Route) -> None:
        path = route.request.url.removeprefix("http://localhost/")
        if path:
            route.fulfill(path=STATIC / path, content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html><title>empty</title>", content_type="text/html")

    with real.chromium() as browser:
        opened = browser.new_page()
        opened.route("**/*", answer)
        opened.goto("http://localhost/")
        yield opened


def on_the_page(page: Page, name: str, calls: list[Any], file: str = "") -> list[Any]:
    of = {"climate": OF_CLIMATE, "weight": OF_WEIGHT, "setting": OF_SETTING}
    file = file or f"/js/trade/{next((room for room, names in of.items() if name in names), 'coating')}.js"
    return page.evaluate(RUN, [file, name, calls])


def on_the_laptop(call: Callable[..., Any], *given: Any) -> Any:
    try:
        return call(*given)
    except TradeError:
        return REFUSED


def same(one: Any, other: Any) -> bool:
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(same(*pair) for pair in zip(one, other, strict=True))
    if isinstance(one, str | None) or isinstance(other, str | None):
        return one == other
    # Sums of places on both sides of nothing leave a rounding that is none of their size.
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-10)


def compared(page: Page, name: str, calls: list[Any], expected: list[Any]) -> Counter[bool]:
    """Hold every call against what is expected; returns how many were refused and how many not."""
    got = on_the_page(page, name, calls)
    wrong = [
        (given, mine, theirs)
        for given, mine, theirs in zip(calls, expected, got, strict=True)
        if not same(mine, theirs)
    ]
    assert wrong[:3] == []
    counted = Counter(answer == REFUSED for answer in expected)
    assert counted[True] >= MANY // 50, "too few refusals to say anything"
    assert counted[False] >= MANY // 2, "too few figures to say anything"
    return counted


class Drawn:
    """Numbers drawn within a range, at its edges, a hair beyond them, far off, and what is no number."""

    def __init__(self, begin: int) -> None:
        self.random = random.Random(begin)

    def number(self, low: float, high: float, *, bad: float = 0.03) -> Any:
        kind = self.random.random()
        if kind < bad / 2:
            return self.random.choice(BAD)
        if kind < bad:
            edge = self.random.choice([low, high])
            return self.random.choice([math.nextafter(edge, math.inf), math.nextafter(edge, -math.inf), edge])
        if kind < bad + 0.05:
            return self.random.choice([low, high])
        return self.random.uniform(low, high)

    def step(self, low: float, high: float, size: float) -> float:
        """A number as people type it: ties between a reading and its limit happen."""
        return round(self.random.uniform(low, high) / size) * size

    def maybe(self, value: Any, chance: float) -> Any:
        return None if self.random.random() < chance else value


def test_dew_points_are_the_same(page: Page) -> None:
    draw = Drawn(1996)
    calls = [[draw.number(-40, 50), draw.number(0, 100)] for _ in range(MANY)]
    calls += [[air_c, 100] for air_c in range(-40, 51)]
    compared(page, "dewPointC", calls, [on_the_laptop(dew_point_c, *given) for given in calls])


READ = ("air_c", "relative_humidity", "surface_c")
ERRORS = ("air_error_c", "humidity_error", "surface_error_c")


def a_climate(draw: Drawn) -> list[Any]:
    """A reading and limits near enough to one another for all three answers; now and then what cannot be."""
    read = {
        "air_c": draw.maybe(draw.step(2, 36, 0.5), 0.05),
        "relative_humidity": draw.maybe(draw.step(draw.random.choice([1, 20]), 100, 1), 0.05),
        "surface_c": draw.maybe(draw.step(2, 42, 0.5), 0.05),
    }
    if draw.random.random() < 0.7:
        read |= {"air_error_c": draw.step(0, 2, 0.5), "humidity_error": draw.step(0, 6, 1)}
        read |= {"surface_error_c": draw.step(0, 3, 0.5)}
    limits = {
        "air_min_c": draw.maybe(draw.step(0, 12, 0.5), 0.02),
        "air_max_c": draw.maybe(draw.step(25, 35, 0.5), 0.02),
        "surface_min_c": draw.maybe(draw.step(0, 12, 0.5), 0.02),
        "surface_max_c": draw.maybe(draw.step(25, 40, 0.5), 0.02),
        "humidity_min": draw.maybe(draw.step(0, draw.random.choice([3, 40]), 1), 0.3),
        "humidity_max": draw.maybe(draw.random.choice([100.0, draw.step(60, 100, 1)]), 0.02),
        "margin_c": draw.step(0, 6, 0.5),
        "film_min_c": draw.maybe(draw.step(0, 14, 0.5), 0.5),
    }
    if draw.random.random() < 0.1:
        odd = draw.random.choice([*read, *limits])
        value = draw.random.choice([*BAD[1:], draw.number(-45, 125, bad=0), draw.number(-1, 101, bad=0)])
        (read if odd in read else limits)[odd] = value
    return [read, None if draw.random.random() < 0.03 else limits]


GOOD = [
    {
        "air_c": 20.0,
        "relative_humidity": 50.0,
        "surface_c": 21.0,
        "air_error_c": 0.5,
        "humidity_error": 3.0,
        "surface_error_c": 1.0,
    },
    {
        "air_min_c": 8.0,
        "air_max_c": 30.0,
        "surface_min_c": 8.0,
        "surface_max_c": 30.0,
        "humidity_min": None,
        "humidity_max": 85.0,
        "margin_c": 3.0,
    },
]
EDGES = {
    "air_c": (-40, 50),
    "relative_humidity": (0, 100),
    "surface_c": (-40, 120),
    "air_error_c": (0, 10),
    "humidity_error": (0, 50),
    "surface_error_c": (0, 20),
    "air_min_c": (-40, 30),
    "air_max_c": (8, 120),
    "surface_min_c": (-40, 30),
    "surface_max_c": (8, 120),
    "humidity_min": (0, 85),
    "humidity_max": (0, 100),
    "margin_c": (0, 30),
}


def at_the_edges() -> list[Any]:
    """Each figure at its least and most, and a hair beyond; and margins of exactly the 3 °C that are asked."""
    calls: list[Any] = []
    for name, ends in EDGES.items():
        for end in ends:
            near = (end, math.nextafter(end, math.inf), math.nextafter(end, -math.inf))
            calls += [[part | {name: value} if name in part else part for part in GOOD] for value in near]
    for tenths in range(100, 250):
        # Saturated air, where no logarithm has a last bit to differ in.
        dew_c = dew_point_c(tenths / 10, 100)
        if dew_c + 3 - dew_c == 3:
            exact = dict.fromkeys(ERRORS, 0.0) | {"air_c": tenths / 10, "relative_humidity": 100.0}
            calls.append([exact | {"surface_c": dew_c + 3}, GOOD[1] | {"humidity_max": 100.0}])
    return calls


def climate_on_the_laptop(read: dict[str, Any], limits: dict[str, Any] | None) -> Any:
    try:
        errors = {name: read[name] for name in ERRORS if name in read}
        found = coating_climate(*(read[name] for name in READ), Limits(**limits) if limits else None, **errors)
    except TradeError:
        return REFUSED
    return [found.dew_point_c, found.margin_c, found.margin_low_c, found.wanted_margin_c, found.verdict]


def test_climates_have_the_same_margins_and_verdicts(page: Page) -> None:
    draw = Drawn(8502)
    calls = at_the_edges() + [a_climate(draw) for _ in range(2 * MANY)]
    expected = [climate_on_the_laptop(*given) for given in calls]
    got = [
        one
        if one == REFUSED
        else [one[key] for key in ("dewPointC", "marginC", "marginLowC", "wantedMarginC", "verdict")]
        for one in on_the_page(page, "coatingClimate", calls)
    ]
    wrong = [found for found in zip(calls, expected, got, strict=True) if not same(*found[1:])]
    assert wrong[:3] == []
    verdicts = Counter(one if one == REFUSED else one[-1] for one in expected)
    assert len(verdicts) == 4
    assert min(verdicts.values()) > 300, verdicts


def test_mixes_are_the_same(page: Page) -> None:
    draw = Drawn(41)
    calls: list[Any] = []
    for _ in range(MANY):
        many = draw.random.randint(0, 5)
        parts = [draw.random.choice([0, 1, 4, draw.number(0, 10_000, bad=0.01)]) for _ in range(many)]
        calls.append([draw.number(0, 1e6, bad=0.02), parts])

    def mixed(total_g: Any, parts: list[Any]) -> list[float]:
        return list(coating.mix_by_mass(total_g, {f"{at}": part for at, part in enumerate(parts)}).values())

    compared(page, "mixByMass", calls, [on_the_laptop(mixed, *given) for given in calls])


def test_parts_by_mass_are_the_same(page: Page) -> None:
    draw = Drawn(135)
    calls: list[Any] = []
    for _ in range(MANY):
        many = draw.random.randint(1, 4)
        volumes = [draw.random.choice([0, 1, 100, draw.number(0, 10_000, bad=0.01)]) for _ in range(many)]
        densities = [draw.number(0.1, 10, bad=0.01) for _ in range(many)]
        calls.append([volumes, densities[: many - 1] if draw.random.random() < 0.01 else densities])

    def parts(volumes: list[Any], densities: list[Any]) -> list[float]:
        return list(coating.parts_by_mass(dict(enumerate(volumes)), dict(enumerate(densities))).values())  # type: ignore[arg-type]

    compared(page, "partsByMass", calls, [on_the_laptop(parts, *given) for given in calls])


def test_catalyst_is_the_same_and_refused_outside_the_same_limits(page: Page) -> None:
    draw = Drawn(14)
    calls = [[draw.number(0, 1e6), draw.number(1, 4, bad=0.1), draw.number(0.1, 10)] for _ in range(MANY)]
    calls += [[1000, percent, 1.15] for percent in (0, 0.999, 1, 4, 4.001, 20)]

    def catalyst(*given: Any) -> list[float]:
        return list(coating.catalyst(*given))

    compared(page, "catalyst", calls, [on_the_laptop(catalyst, *given) for given in calls])
    short = [given[:2] for given in calls]
    compared(page, "catalystG", short, [on_the_laptop(coating.catalyst_g, *given) for given in short])


SIZES = {
    "area_m2": (0, 1000),
    "glass_g_m2": (0, 50_000),
    "glass_fraction": (0.05, 0.95),
    "film_um": (0, 50_000),
    "density_kg_m3": (100, 25_000),
    "length_mm": (0, 20_000),
    "width_mm": (0, 20_000),
    "height_mm": (0, 20_000),
    "thickness_mm": (0, 2_000),
}


def test_what_a_line_of_the_build_up_weighs_is_the_same(page: Page) -> None:
    draw = Drawn(7850)
    calls: list[Any] = []
    for _ in range(2 * MANY):
        sizes = {name: draw.maybe(draw.number(*ends, bad=0.01), 0.02) for name, ends in SIZES.items()}
        if draw.random.random() < 0.3:
            # A wall near half of what it is the wall of.
            sizes["width_mm"] = draw.random.uniform(1, 4000)
            sizes["thickness_mm"] = draw.random.choice([0.5, 0.4999, 0.501]) * sizes["width_mm"]
        if draw.random.random() < 0.05:
            sizes["density_kg_m3"] = draw.random.choice([5, 99, 4.99, None])
        calls.append([draw.random.choice(list(made_as.NEEDED)), sizes])

    def made(kind: str, sizes: dict[str, Any]) -> list[Any] | None:
        found = made_as.made(kind, sizes)
        return [found.mass_kg, found.thickness_mm] if found else None

    compared(page, "made", calls, [on_the_laptop(made, *given) for given in calls])


def test_parts_come_to_the_same_weight_and_balance_point(page: Page) -> None:
    draw = Drawn(2560)
    calls: list[Any] = []
    for _ in range(MANY):
        many = draw.random.choice([0, 1, 2, 5, 12])
        places = [[draw.maybe(draw.number(-20_000, 20_000, bad=0.004), 0.05) for _ in "xyz"] for _ in range(many)]
        calls.append([[[draw.number(0, 5000, bad=0.01), *place] for place in places]])

    def assembled(parts: list[Any]) -> list[Any]:
        found = weight.assemble(weight.Part("part", *part) for part in parts)
        return [found.mass_kg, found.x_mm, found.y_mm, found.z_mm]

    compared(page, "assemble", calls, [on_the_laptop(assembled, *given) for given in calls])


def test_an_anchor_cures_for_the_same_time(page: Page) -> None:
    draw = Drawn(8539)
    set_at = datetime(2026, 11, 25, 9, tzinfo=UTC)
    calls: list[Any] = []
    for _ in range(2 * MANY):
        many = draw.random.choice([0, 1, 2, 3, 5])
        colds = [draw.random.choice([draw.step(-10, 40, 5), draw.number(-40, 80, bad=0.01)]) for _ in range(many)]
        times = [draw.random.choice([draw.step(5, 600, 5), draw.number(0, 43_200, bad=0.01)]) for _ in range(many)]
        if all(type(value) is float for value in (*colds, *times)) and draw.random.random() < 0.9:
            # Mostly a table that can be: the warmer, the shorter; in any order.
            rows = list(zip(sorted(colds), sorted(times, reverse=True), strict=True))
            colds, times = map(list, zip(*draw.random.sample(rows, many), strict=True)) if rows else ([], [])
        calls.append([list(map(list, zip(colds, times, strict=True))), draw.number(-40, 80, bad=0.02)])

    def minutes(rows: list[Any], wall_c: Any) -> float | None:
        if wall_c is None:
            raise TradeError  # the page asks only once something is typed
        return anchors.earliest_loading(rows, wall_c, set_at).minutes

    compared(page, "curingMinutes", calls, [on_the_laptop(minutes, *given) for given in calls])


READABLE = {
    "°C": [
        "20",
        "20.5",
        "20,5",
        "-3",
        "−3,5",
        "68 °F",
        "68F",
        "-40 f",
        "293.15 K",
        " 20.5 °C ",
        "20C",
        ".5",
        "5.",
        "1 234,5",
    ],
    "%": ["55", "55 %", "55,5%"],
    "mm": ["1200", "12,5", "5 cm", "1.2 m", "3 in", "0,5in"],
    "kg": ["4.5", "250 g", "1 200 g"],
    "g": ["742", "1 500", "1\u202f500", "0,125", "1.5 kg", "250 g", "1.234", "0"],
    "h": ["4", "4 h", "90 min", "0,5"],
    "g/ml": ["1.35", "1,35 g/ml"],
    "": ["100", "18.5"],
}
# What the laptop refuses, or reads in a way that this small reader does not know: it says nothing then.
UNREADABLE = [
    "1,234",
    "-1,234",
    "1,234 kg",
    "nan",
    "inf",
    "1e3",
    "0x10",
    "--3",
    "12 34",
    "twenty",
    "½",
    "1.2.3",
    "5 lb",
    ".",
    "°C",
]


def read_on_the_laptop(text: str, unit: str) -> Any:
    try:
        return float(figures.read(text, unit).value)
    except figures.NotANumber:
        return REFUSED


def test_what_the_page_reads_is_what_the_laptop_reads(page: Page) -> None:
    draw = Drawn(811).random
    signs = ["", "", "", "-", "+", "−", "–", "- ", "--"]
    marks = [".", ",", ".", ",", " ", "\u202f", "\u00a0", "", "'", "/", "\ufeff", "e"]
    units = ["", "", "", " ", "°C", " °F", "F", " k", "%", " kg", "g", " lb", "h", " min", "mm", " ° C", "℃", "C.", "µ"]
    units += [""] * len(units)
    calls = [[text, unit] for unit, texts in READABLE.items() for text in texts]
    for _ in range(2 * MANY):
        groups = [
            f"{draw.randrange(10 ** draw.choice([1, 2, 3, 3, 3, 5]))}" for _ in range(draw.choice([1, 1, 2, 2, 3]))
        ]
        number = "".join(part + draw.choice(marks) for part in groups)
        number = number[: -1 if draw.random() < 0.8 else None]
        if draw.random() < 0.6:
            number = f"{draw.uniform(0, 10 ** draw.randrange(5)):.{draw.randrange(4)}f}".replace(".", draw.choice(".,"))
        calls.append([draw.choice(signs) + number + draw.choice(units), draw.choice(list(READABLE))])
    got = on_the_page(page, "readNumber", calls, "/js/numbers.js")
    read = [(call, value) for call, value in zip(calls, got, strict=True) if value is not None]
    wrong = [
        (call, value)
        for call, value in read
        if read_on_the_laptop(*call) == REFUSED or value != read_on_the_laptop(*call)
    ]
    assert wrong[:5] == []
    assert len(read) > 5000
    # Everything plain is read, so that the comparison says something.
    plain = sum(len(texts) for texts in READABLE.values())
    assert [call for call, value in zip(calls[:plain], got[:plain], strict=True) if value is None] == []


def test_what_can_be_read_in_two_ways_or_not_at_all_is_not_read(page: Page) -> None:
    calls = [[text, unit] for text in UNREADABLE for unit in ("°C", "g")]
    script = """async (calls) => {
      const { readNumber } = await import("/js/numbers.js");
      return calls.map((given) => readNumber(...given) === undefined);
    }"""
    assert [call for call, told in zip(calls, page.evaluate(script, calls), strict=True) if not told] == []
    assert page.evaluate('async () => (await import("/js/numbers.js")).readNumber("  ", "g")') is None
