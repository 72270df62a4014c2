"""Distances to a fire against published figures."""

from __future__ import annotations

import pytest

from siteapp.trade.heat import Plate, Thing, clearances, combustible_trim, worst
from siteapp.trade.heat.clearances import ENGLAND, MASONRY, STOVE, UNITED_STATES

# International Residential Code R1001.11, exception 4, in inches (from memory; the thresholds of 6 and 12 in also in
# NFPA 211, read in a copy). One inch is 25.4 mm exactly.
IRC_CORNERS = [
    (6, 0.75, 0.75, "met"),
    (8, 1.0, 1.0, "met"),
    (8, 1.1, 1.0, "not met"),
    (12, 1.5, 1.5, "met"),
    (12, 1.51, 1.5, "not met"),
    (5.99, 0.0, 0.0, "not met"),
    (12.01, 0.1, None, "cannot tell"),
]


@pytest.mark.parametrize(("distance_in", "projection_in", "allowed_in", "verdict"), IRC_CORNERS)
def test_trim_near_a_masonry_fireplace_projects_an_eighth_of_its_distance(
    distance_in: float, projection_in: float, allowed_in: float | None, verdict: str
) -> None:
    found = combustible_trim(distance_in * 25.4, projection_in * 25.4)
    assert found.verdict == verdict
    if allowed_in is None:
        assert found.allowed_projection_mm is None
    else:
        assert found.allowed_projection_mm == pytest.approx(allowed_in * 25.4, abs=1e-9)


def one(thing: Thing, plate: Plate | None = None, **site: object):
    facts = {"country": UNITED_STATES, "kind": MASONRY, "fuel": "wood", **site}
    (held,) = clearances(plate, [thing], **facts)
    return held


# NFPA 211 (read in a copy): what projects more than 1½ in above the opening is at least 12 in above it.
@pytest.mark.parametrize(("distance_in", "verdict"), [(12.5, "met"), (11.9, "not met"), (5.0, "not met")])
def test_what_projects_far_above_the_opening_is_a_foot_away(distance_in: float, verdict: str) -> None:
    held = one(Thing("overmantel", "above", distance_in * 25.4, 3 * 25.4, combustible=True))
    assert held.verdict == verdict
    assert held.country == UNITED_STATES


# Beside the opening the rule of the eighth ends at 12 in, and no other is known here.
def test_beside_the_opening_the_rule_ends_where_it_ends() -> None:
    held = one(Thing("panel", "left", 400.0, 30.0, combustible=True))
    assert held.verdict == "cannot tell"


# NHBC Standards 6.8.22 (read there): 200 mm from the inside of the flue, 40 mm from the outer face, 50 mm for metal
# fixings.
@pytest.mark.parametrize(
    ("distance_mm", "metal", "asked_mm", "verdict"),
    [
        (39.0, False, 40.0, "not met"),
        (60.0, False, 40.0, "cannot tell"),
        (200.0, False, 40.0, "met"),
        (49.0, True, 50.0, "not met"),
        (50.0, True, 50.0, "met"),
    ],
)
def test_what_burns_keeps_away_from_a_masonry_chimney(
    distance_mm: float, metal: bool, asked_mm: float, verdict: str
) -> None:
    thing = Thing("batten", "flue", distance_mm, combustible=True, metal_fixing=metal)
    held = one(thing, country=ENGLAND, kind=STOVE)
    assert (held.asked_mm, held.verdict) == (asked_mm, verdict)


# Approved Document J, diagram 19 (from memory), and stove makers' instructions (read): 3 × the outside diameter, 1.5 ×
# behind a shield; for a pipe of 150 mm: 450 and 225 mm.
@pytest.mark.parametrize(("shielded", "asked_mm"), [(None, 450.0), (False, 450.0), (True, 225.0)])
def test_a_bare_flue_pipe_asks_for_three_diameters(shielded: bool | None, asked_mm: float) -> None:
    thing = Thing("frame", "flue", 300.0, combustible=True)
    held = one(thing, country=ENGLAND, kind=STOVE, flue_diameter_mm=150, flue_shielded=shielded)
    assert held.asked_mm == asked_mm
    assert held.verdict == ("met" if shielded else "not met")


def test_the_plate_outranks_every_table() -> None:
    thing = Thing("overmantel", "above", 400.0, 80.0, combustible=True)
    assert one(thing).verdict == "met"
    held = one(thing, Plate(above_mm=500))
    assert (held.verdict, held.by, held.spare_mm) == ("not met", "plate", -100)
    held = one(thing, Plate(above_mm=350), country="Elsewhere", kind=STOVE)
    assert (held.verdict, held.spare_mm) == ("met", 50)


@pytest.mark.parametrize(
    "site",
    [
        {"country": None},
        {"country": "Elsewhere"},
        {"kind": STOVE},
        {"country": ENGLAND, "kind": STOVE},
        {"country": ENGLAND, "fuel": "gas"},
    ],
)
def test_where_no_rule_covers_it_nobody_can_tell(site: dict[str, object]) -> None:
    held = one(Thing("overmantel", "above", 900.0, 80.0, combustible=True), **site)
    assert held.verdict == "cannot tell"
    assert "not covered" in held.reason


def test_above_and_beside_are_asked_apart_and_the_worst_counts() -> None:
    things = [
        Thing("piece", "above", 620, 90, combustible=True),
        Thing("shelf", "left", 120, 20),
        Thing("stone", "right", 20, 20, combustible=False),
        Thing("cloth", "front"),
    ]
    held = clearances(Plate(above_mm=500, beside_mm=150), things, country=ENGLAND, kind=STOVE, fuel="wood")
    assert [one.verdict for one in held] == ["met", "not met", "met", "cannot tell"]
    assert "cannot burn, by the evidence" in held[2].reason
    assert worst(held) == "not met"
    assert worst(held[:1]) == "met"
    assert worst(()) == "cannot tell"
