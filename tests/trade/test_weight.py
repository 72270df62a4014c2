"""Weight and balance point: what must always hold of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from siteapp.trade import by_size, weight
from siteapp.trade.errors import TradeError
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.trade.weight import FLAT, ON_EDGE, ON_SIDE, MassPoint, Part, assemble, centre_from_scales, compare

masses = st.floats(0.001, 5000)
places = st.floats(-20_000, 20_000)
sizes = st.floats(0.1, 20_000)
densities = st.floats(5, 25_000)
parts = st.lists(st.builds(Part, st.just("part"), masses, places, places, places), min_size=1, max_size=8)


def along(towards: tuple[float, ...], point: tuple[float | None, ...]) -> float:
    return math.fsum(one * (other or 0) for one, other in zip(towards, point, strict=True))


def where(point: MassPoint | Part) -> tuple[float | None, float | None, float | None]:
    return point.x_mm, point.y_mm, point.z_mm


@given(parts, st.tuples(places, places, places))
def test_the_balance_point_lies_within_the_hull_of_the_parts(
    given_parts: list[Part], towards: tuple[float, float, float]
) -> None:
    # A point is within a convex hull when no direction has it beyond all of the hull's points.
    found = assemble(given_parts)
    assert found.mass_kg == pytest.approx(math.fsum(part.mass_kg for part in given_parts))
    reaches = [along(towards, where(part)) for part in given_parts]
    slack = 1e-9 * (1 + max(map(abs, reaches)) + 20_000 * sum(map(abs, towards)))
    assert min(reaches) - slack <= along(towards, where(found)) <= max(reaches) + slack
    for axis in range(3):
        assert min(where(part)[axis] for part in given_parts) <= where(found)[axis]  # type: ignore[type-var,operator]
        assert where(found)[axis] <= max(where(part)[axis] for part in given_parts)  # type: ignore[type-var,operator]


@given(parts, st.randoms(use_true_random=False))
def test_the_order_of_the_parts_does_not_matter(given_parts: list[Part], random) -> None:
    shuffled = random.sample(given_parts, len(given_parts))
    assert assemble(shuffled) == assemble(given_parts)


light = st.lists(
    st.builds(Part, st.just("part"), st.floats(0.001, 600), places, places, places), min_size=1, max_size=8
)


@given(light, light)
def test_parts_put_together_in_two_steps_are_the_same(some: list[Part], others: list[Part]) -> None:
    halves = [assemble(some), assemble(others)]
    together = assemble([Part("half", half.mass_kg, *where(half)) for half in halves])
    assert where(together) == pytest.approx(where(assemble([*some, *others])), rel=1e-9, abs=1e-6)


@given(parts, st.integers(0, 2))
def test_a_place_that_is_not_known_leaves_the_whole_unknown_there_and_nowhere_else(
    given_parts: list[Part], axis: int
) -> None:
    name = ("x_mm", "y_mm", "z_mm")[axis]
    loose = Part(**(vars(given_parts[0]) | {"name": "loose", name: None}))
    found, whole = assemble([loose, *given_parts]), assemble([given_parts[0], *given_parts])
    assert [place is None for place in where(found)] == [at == axis for at in range(3)]
    assert found.mass_kg == whole.mass_kg
    assert [place for place in where(found) if place is not None] == [
        place for at, place in enumerate(where(whole)) if at != axis
    ]
    assert "loose" in found.notes[0]


@st.composite
def rebuilt(draw: st.DrawFn) -> tuple[float, tuple[float, float], list[tuple[float, float, float]]]:
    """A mass, its balance point, and what three scales that are no row read under it: shares of a triangle."""
    angle, turn = draw(st.floats(0, math.tau)), draw(st.floats(math.pi / 6, 5 * math.pi / 6))
    one, other = draw(st.floats(100, 3000)), draw(st.floats(100, 3000))
    x, y = draw(st.floats(-5000, 5000)), draw(st.floats(-5000, 5000))
    corners = [
        (x, y),
        (x + one * math.cos(angle), y + one * math.sin(angle)),
        (x + other * math.cos(angle + turn), y + other * math.sin(angle + turn)),
    ]
    mass_kg = draw(st.floats(1, 1000))
    raw = [draw(st.floats(0.02, 1)) for _ in corners]
    shares = [share / sum(raw) for share in raw]
    centre = (
        sum(share * corner[0] for share, corner in zip(shares, corners, strict=True)),
        sum(share * corner[1] for share, corner in zip(shares, corners, strict=True)),
    )
    return mass_kg, centre, [(*corner, mass_kg * share) for share, corner in zip(shares, corners, strict=True)]


@given(rebuilt(), st.sampled_from([FLAT, ON_EDGE, ON_SIDE]))
def test_readings_rebuilt_from_a_known_balance_point_lead_back_to_it(drawn, laid) -> None:
    mass_kg, centre, readings = drawn
    found = centre_from_scales(readings, laid=laid)
    assert found.mass_kg == pytest.approx(mass_kg)
    known = {FLAT: (0, 1), ON_EDGE: (0, 2), ON_SIDE: (1, 2)}[laid]
    assert [where(found)[axis] for axis in known] == pytest.approx(centre, rel=1e-9, abs=1e-6)
    assert [axis for axis in range(3) if where(found)[axis] is not None] == list(known)
    assert found.notes == ()
    assert centre_from_scales(readings[::-1], laid=laid) == found


@given(rebuilt(), places, places)
def test_scales_and_piece_moved_together_change_nothing_else(drawn, by_x: float, by_y: float) -> None:
    _, centre, readings = drawn
    by_x, by_y = by_x / 4, by_y / 4
    moved = centre_from_scales([(x + by_x, y + by_y, mass_kg) for x, y, mass_kg in readings])
    assert (moved.x_mm, moved.y_mm) == pytest.approx((centre[0] + by_x, centre[1] + by_y), abs=1e-6)


@given(st.floats(-10_000, 9_000), st.floats(20, 5000), masses, masses, places)
def test_two_scales_in_a_row_tell_the_place_along_it_and_only_that(
    x: float, apart: float, one: float, other: float, y: float
) -> None:
    along_x = centre_from_scales([(x, y, one), (x + apart, y, other)])
    along_y = centre_from_scales([(y, x, one), (y, x + apart, other)])
    expected = x + apart * other / (one + other)
    assert along_x.x_mm == pytest.approx(expected, rel=1e-9, abs=1e-6)
    assert along_y.y_mm == pytest.approx(expected, rel=1e-9, abs=1e-6)
    assert (along_x.y_mm, along_x.z_mm, along_y.x_mm, along_y.z_mm) == (None, None, None, None)
    assert "not known" in along_x.notes[0]


def test_one_scale_gives_the_weight_and_no_place() -> None:
    found = centre_from_scales([(600, 400, 21.5)])
    assert (found.mass_kg, *where(found)) == (21.5, None, None, None)
    assert "one scale gives the weight alone" in found.notes[0]


@pytest.mark.parametrize(
    ("scales", "known", "words"),
    [
        ([(0, 0), (500, 0), (1000, 0)], (True, False), "in a row along x; y is not known"),
        ([(0, 0), (500, 4), (1000, 0)], (True, False), "in a row along x; y is not known"),
        ([(300, 0), (300, 500), (300, 900)], (False, True), "in a row along y; x is not known"),
        ([(0, 0), (500, 500), (1000, 1000)], (False, False), "slanting row"),
        ([(0, 0), (1000, 300)], (False, False), "slanting row"),
        ([(0, 0), (1000, 0), (500, 200)], (True, True), None),
        ([(0, 0), (1000, 0), (0, 700), (1000, 700)], (True, True), None),
    ],
)
def test_scales_in_a_row_do_not_tell_what_lies_across_it(scales, known, words: str | None) -> None:
    found = centre_from_scales([(x, y, 5.0) for x, y in scales])
    assert (found.x_mm is not None, found.y_mm is not None) == known
    assert found.mass_kg == 5 * len(scales)
    assert (words is None) == (found.notes == ())
    assert words is None or words in found.notes[0]


@given(masses, masses)
def test_an_estimate_against_the_scales_asks_why_beyond_its_limits_and_only_there(
    estimated: float, real: float
) -> None:
    found = compare(estimated, real)
    percent = (real / estimated - 1) * 100
    assume(min(abs(percent - 10), abs(percent + 5)) > 1e-6)
    assert found.verdict == (MET if -5 < percent < 10 else NOT_MET)
    assert found.asks_why == (found.verdict == NOT_MET)
    assert (found.reason == "") == (found.verdict == MET)
    assert found.difference_percent == pytest.approx(percent, abs=1e-6)


@pytest.mark.parametrize(
    ("estimated", "real", "verdict", "words"),
    [
        (20, 22, MET, ""),
        (20, 19, MET, ""),
        (20, 22.1, NOT_MET, "it weighs 10.5 % heavier than its build-up says, more than 10 %: why?"),
        (20, 22.00002, NOT_MET, "it weighs 10.0001 % heavier"),
        (20, 18.9, NOT_MET, "it weighs 5.5 % lighter than its build-up says, more than 5 %: why?"),
        (20, None, CANNOT_TELL, "it is not weighed; it has to be before the van leaves"),
        (None, 20, CANNOT_TELL, "the build-up gives no weight"),
        (None, None, CANNOT_TELL, "it is not weighed"),
    ],
)
def test_what_the_scales_say_against_the_build_up(estimated, real, verdict: str, words: str) -> None:
    found = compare(estimated, real)
    assert found.verdict == verdict
    assert found.reason.startswith(words)


@given(st.floats(1, 50_000), st.floats(0.05, 0.95), st.floats(500, 3000), st.floats(1000, 4000))
def test_a_laminate_balances_in_mass_and_volume(
    glass_g_m2: float, fraction: float, resin_kg_m3: float, glass_kg_m3: float
) -> None:
    found = weight.laminate(glass_g_m2, fraction, resin_kg_m3=resin_kg_m3, glass_kg_m3=glass_kg_m3)
    assert found.mass_kg_m2 == pytest.approx(found.resin_kg_m2 + glass_g_m2 / 1000)
    assert glass_g_m2 / 1000 / found.mass_kg_m2 == pytest.approx(fraction)
    # Mass by volume: what the thickness holds of each, by its density.
    metres, share = found.thickness_mm / 1000, found.fibre_volume_fraction
    assert metres * (share * glass_kg_m3 + (1 - share) * resin_kg_m3) == pytest.approx(found.mass_kg_m2)
    assert 0 < share < 1


@given(st.floats(1, 20_000), st.floats(0.05, 0.9), st.floats(1.001, 1.05))
def test_more_glass_weighs_more_and_a_wetter_lay_up_too(glass_g_m2: float, fraction: float, more: float) -> None:
    found = weight.laminate(glass_g_m2, fraction)
    assert weight.laminate(glass_g_m2 * more, fraction).mass_kg_m2 > found.mass_kg_m2
    drier = weight.laminate(glass_g_m2, fraction * more)
    assert drier.mass_kg_m2 < found.mass_kg_m2
    assert drier.thickness_mm < found.thickness_mm


@given(st.floats(1, 5000), st.floats(0.1, 1), sizes, densities)
def test_a_tube_is_its_bar_without_the_core(outside: float, share: float, length: float, density: float) -> None:
    wall = share * outside / 2
    core = outside - 2 * wall
    whole = by_size.round_bar_mass_kg(outside, length, density)
    hollow = by_size.round_bar_mass_kg(core, length, density) if core > 0 else 0
    assert by_size.tube_mass_kg(outside, wall, length, density) == pytest.approx(whole - hollow, rel=1e-6)
    square = by_size.block_mass_kg(outside, outside, length, density)
    inside = by_size.block_mass_kg(core, core, length, density) if core > 0 else 0
    found = by_size.square_tube_mass_kg(outside, outside, wall, length, density)
    assert found == pytest.approx(square - inside, rel=1e-6)


@given(sizes, sizes, sizes)
def test_a_shells_weight_sits_between_its_back_and_its_front(one: float, other: float, depth: float) -> None:
    box = by_size.open_box(one, other, depth)
    # Far forward: never nearer to the wall than half of the depth.
    assert depth / 2 <= box.out_mm * (1 + 1e-12)
    assert box.out_mm <= depth
    assert box.area_m2 * 1e6 >= one * other
    assert 0 < by_size.half_cylinder(one, other).out_mm < one
    assert 0 < by_size.cone(one, depth).out_mm < by_size.dome(one, depth).out_mm < depth


BAD = [math.nan, math.inf, -math.inf, -1, 0, None, "3", True, 10**400]
CALLS = [
    (lambda bad: weight.laminate(bad, 0.3), "glass"),
    (lambda bad: weight.laminate(450, bad), "glass fraction"),
    (lambda bad: weight.laminate(450, 0.3, resin_kg_m3=bad), "density of the resin"),
    (lambda bad: weight.laminate(450, 0.3, glass_kg_m3=bad), "density of the glass"),
    (lambda bad: weight.film_mass_kg_m2(bad, 1200), "film"),
    (lambda bad: weight.film_mass_kg_m2(500, bad), "density of the film"),
    (lambda bad: assemble([Part("plate", bad, 0, 0, 0)]), "mass of plate"),
    (lambda bad: centre_from_scales([(0, 0, bad), (900, 0, 5)]), "scale 1: reading"),
    (lambda bad: by_size.block_mass_kg(bad, 1, 1, 30), "length"),
    (lambda bad: by_size.block_mass_kg(1, bad, 1, 30), "width"),
    (lambda bad: by_size.block_mass_kg(1, 1, bad, 30), "thickness"),
    (lambda bad: by_size.block_mass_kg(1, 1, 1, bad), "density"),
    (lambda bad: by_size.round_bar_mass_kg(bad, 1), "diameter"),
    (lambda bad: by_size.tube_mass_kg(bad, 1, 1), "outside diameter"),
    (lambda bad: by_size.tube_mass_kg(20, bad, 1), "wall"),
    (lambda bad: by_size.square_tube_mass_kg(20, bad, 2, 1), "height"),
    (lambda bad: by_size.square_tube_mass_kg(20, 20, bad, 1), "wall"),
    (lambda bad: by_size.open_box(1, 1, bad), "depth"),
    (lambda bad: by_size.half_cylinder(bad, 1), "radius"),
    (lambda bad: by_size.cone(1, bad), "depth"),
    (lambda bad: by_size.dome(bad, 1), "radius of the rim"),
]


@pytest.mark.parametrize(("call", "quantity"), CALLS)
def test_what_cannot_be_is_refused_by_name_with_its_range(call, quantity: str) -> None:
    for bad in BAD:
        with pytest.raises(TradeError, match=f"^{quantity} is .*; allowed is a number (above|from) .* to "):
            call(bad)


@pytest.mark.parametrize("bad", [math.nan, math.inf, "3", True, 20_000.1, -1e9])
def test_a_place_that_cannot_be_is_refused_and_named(bad) -> None:
    for axis in "xyz":
        with pytest.raises(TradeError, match=f"^{axis} of plate is .*; allowed is a number from -20000 to 20000 mm"):
            assemble([Part("plate", 1, **({"x_mm": 0, "y_mm": 0, "z_mm": 0} | {f"{axis}_mm": bad}))])
    with pytest.raises(TradeError, match=r"^scale 2: y is .* mm; allowed is a number from -20000"):
        centre_from_scales([(0, 0, 5), (900, bad, 5)])
    with pytest.raises(TradeError, match=r"^scale 1: z is .* mm; allowed is a number from -20000"):
        centre_from_scales([(0, bad, 5), (900, 0, 5)], laid=ON_EDGE)


@pytest.mark.parametrize("bad", [bad for bad in BAD if bad is not None])
def test_a_weight_that_cannot_be_is_not_compared(bad) -> None:
    with pytest.raises(TradeError, match=r"^estimated weight is .*; allowed is a number above 0 to 5000 kg"):
        compare(bad, 20)
    with pytest.raises(TradeError, match=r"^weighed is .*; allowed is a number above 0 to 5000 kg"):
        compare(20, bad)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: weight.laminate(450, 30), "glass fraction is 30 "),
        (lambda: weight.film_mass_kg_m2(500, 1.2), "density of the film is 1.2 kg/m³; allowed is a number from 100"),
        (lambda: assemble([]), "number of parts is 0; allowed is 1 to 1000"),
        (lambda: assemble([Part("plate", 1, 0, 0, 0)] * 1001), "number of parts is 1001; allowed is 1 to 1000"),
        (lambda: centre_from_scales([]), "number of scales is 0; allowed is 1 to 12"),
        (lambda: centre_from_scales([(0, 0, 5), (0, 0, 6)]), "scales 1 and 2 are 0 mm apart; allowed is 10 mm or more"),
        (lambda: centre_from_scales([(0, 0, 5), (900, 0, 6), (903, 4, 6)]), "scales 2 and 3 are 5 mm apart"),
        (lambda: centre_from_scales([(0, 0, 5), (900, 0, 0)]), "scale 2: reading is 0 kg; allowed is a number above 0"),
        (lambda: centre_from_scales([(0, 0, 0), (900, 0, 0)]), "scale 1: reading is 0 kg"),
        (lambda: centre_from_scales([(0, 0, 5), (900, 0, -4)]), "scale 2: reading is -4 kg"),
        (lambda: centre_from_scales([(0, 0, 5)], laid="upside down"), "laid on the scales is 'upside down'; allowed"),  # type: ignore[arg-type]
        (lambda: by_size.tube_mass_kg(20, 10.5, 1000), "wall is 10.5 mm; allowed is a number above 0"),
        (lambda: by_size.block_mass_kg(1200, 600, 100, 0.03), "density is 0.03 kg/m³; allowed is a number from 5 to"),
    ],
)
def test_a_slip_is_named(call, words: str) -> None:
    with pytest.raises(TradeError) as refused:
        call()
    assert words in str(refused.value)
