"""Published filters for lifting by hand: one person by zone of the hands, teams of two and three, and no further.

The figures are filters, not limits: below them a lift seldom hurts a healthy adult, above them somebody competent looks
closer. They hold for a load that is easily grasped, in good conditions, with a steady stance.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from siteapp.trade.errors import in_range, one_of

if TYPE_CHECKING:
    from collections.abc import Sequence

Zone = Literal["above_shoulder", "elbow_to_shoulder", "knuckle_to_elbow", "lower_leg_to_knuckle", "below_lower_leg"]
Reach = Literal["close", "far"]

ZONES: tuple[Zone, ...] = (
    "above_shoulder",
    "elbow_to_shoulder",
    "knuckle_to_elbow",
    "lower_leg_to_knuckle",
    "below_lower_leg",
)
REACHES: tuple[Reach, ...] = ("close", "far")

# HSE INDG143 and L23, lifting and lowering: kg for men and for women, close to the body and at arm's length. The row
# from elbow to shoulder was read in a public copy; the other four rows are from memory of that figure.
MEN_AND_WOMEN_KG: dict[Zone, dict[Reach, tuple[float, float]]] = {
    "above_shoulder": {"close": (10, 7), "far": (5, 3)},
    "elbow_to_shoulder": {"close": (20, 13), "far": (10, 7)},
    "knuckle_to_elbow": {"close": (25, 16), "far": (15, 10)},
    "lower_leg_to_knuckle": {"close": (20, 13), "far": (10, 7)},
    "below_lower_leg": {"close": (10, 7), "far": (5, 3)},
}
BELOW_KNUCKLES: tuple[Zone, ...] = ("lower_leg_to_knuckle", "below_lower_leg")
# HSE L23: what two and three can lift, as a share of what they could lift singly.
TEAM_SHARES = {1: 1.0, 2: 2 / 3, 3: 1 / 2}
LARGEST_TEAM = max(TEAM_SHARES)
# HSE INDG143: the filters hold for a carry up to about here without a rest, the hands not below the knuckles.
LONGEST_CARRY_M = 10.0
HEAVIEST_KG = 5_000.0

SOURCE = (
    "HSE INDG143 and L23: lifting and lowering filters by zone of the hands, the lower of the two published columns "
    "for everybody; teams of two two thirds, of three half of the sum; carrying to 10 m without a rest"
)


def filter_kg(zone: Zone, reach: Reach) -> float:
    """The filter in kg for one person whose hands are in `zone`, with the load `close` to the body or `far` from it.

    HSE INDG143/L23, always the lower of the two published columns; see MEN_AND_WOMEN_KG for what was read and what is
    from memory. Hands that pass through several zones take the smallest. Raises TradeError for an unknown word.
    """
    one_of("zone", zone, ZONES)
    one_of("reach", reach, REACHES)
    return float(min(MEN_AND_WOMEN_KG[zone][reach]))


def team_capacity_kg(each_kg: Sequence[float]) -> float | None:
    """What a team can lift, in kg, when each alone could lift `each_kg` (0…5000 kg): two ⅔, three ½ of the sum.

    None for nobody and for more than three: there is no published factor, so nobody can tell. Source: HSE L23, an
    approximate guide. Raises TradeError outside the range.
    """
    for one_kg in each_kg:
        in_range("what one person lifts", one_kg, 0, HEAVIEST_KG, "kg")
    share = TEAM_SHARES.get(len(each_kg))
    return None if share is None else share * sum(each_kg)
