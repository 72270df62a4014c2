"""Where cables are likely: what must always hold."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.trade import anchors
from siteapp.trade.errors import TradeError


@settings(max_examples=80)
@given(
    st.tuples(st.floats(0, 4000), st.floats(0, 2500)),
    st.lists(st.tuples(st.floats(0, 4000), st.floats(0, 2500)), max_size=4),
    st.tuples(st.floats(0, 4000), st.floats(0, 2500)),
    st.sampled_from((None, 60.0, 100.0, 300.0)),
)
def test_one_accessory_more_never_clears_a_hole(
    hole: tuple[float, float], places: list[tuple[float, float]], another: tuple[float, float], thick: float | None
) -> None:
    wall = (4000.0, 2500.0)
    before = anchors.cable_zone(hole, wall, places, thickness_mm=thick, reverse_mm=[another])
    for after in (
        anchors.cable_zone(hole, wall, [*places, another], thickness_mm=thick, reverse_mm=[another]),
        anchors.cable_zone(hole, wall, None, thickness_mm=thick, reverse_mm=[another]),
        anchors.cable_zone(hole, wall, places, thickness_mm=thick, reverse_mm=[another], hole_diameter_mm=20),
        anchors.cable_zone(hole, wall, places, thickness_mm=None, reverse_mm=[another]),
    ):
        if before.result != "clear":
            assert after.result != "clear"
        assert after.note == before.note
    if before.zones and before.zones != ("accessory on the other side",):
        # Mirrored, as from the other side of a looking-glass, the same hole lies in the same zones.
        turned = anchors.cable_zone(
            (4000 - hole[0], hole[1]),
            wall,
            [(4000 - x, y) for x, y in places],
            thickness_mm=thick,
            reverse_mm=[(4000 - another[0], another[1])],
        )
        assert turned.zones == before.zones


def test_what_is_not_known_of_the_wall_is_said() -> None:
    middle, wall = (1500, 1200), (3000, 2400)
    nothing = anchors.cable_zone(middle, wall, None)
    assert nothing.result == "cannot tell"
    assert len(nothing.missing) == 2
    assert anchors.cable_zone(middle, wall, []).result == "cannot tell"
    assert anchors.cable_zone(middle, wall, [], thickness_mm=80).result == "cannot tell"
    assert anchors.cable_zone(middle, wall, [], thickness_mm=80, reverse_mm=[]).result == "clear"
    assert anchors.cable_zone((100, 1200), wall, None).result == "zone(angle)"


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1, "3", True, 10**400])
@pytest.mark.parametrize(
    ("call", "quantity"),
    [
        (lambda bad: anchors.cable_zone((bad, 1), (10, 10), []), "hole, across"),
        (lambda bad: anchors.cable_zone((1, 1), (10, bad), []), "height of the wall"),
        (lambda bad: anchors.cable_zone((1, 1), (10, 10), [(1, bad)]), "accessory 1, up"),
        (lambda bad: anchors.cable_zone((1, 1), (10, 10), [], thickness_mm=bad), "thickness of the wall"),
    ],
)
def test_what_cannot_be_is_refused_by_name_with_its_range(call, quantity: str, bad: object) -> None:
    with pytest.raises(TradeError, match=f"^{quantity} is .*; allowed is a number"):
        call(bad)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: anchors.cable_zone((11, 1), (10, 10), []), "hole, across is 11 mm; allowed is a number from 0 to 10"),
        (lambda: anchors.cable_zone((1, 1), (10, 10), [(1, 1)] * 201), "201 were given; allowed is up to 200"),
    ],
)
def test_a_slip_is_named(call, words: str) -> None:
    with pytest.raises(TradeError, match=words):
        call()
