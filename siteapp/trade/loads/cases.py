"""The cases for which a hanging piece is worked out: its weight, and what people do to it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.loads.supports import LARGEST_FACTOR, Action, weight_action, where

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.loads.supports import Place, Placed

# EN 1990:2002, table A1.2: permanent 1.35 against and 0.9 (set A, EQU) where it helps, variable 1.5; 6.4.3.3 with
# table A1.1: in an accidental situation permanent 1.0 and the frequent value of what people do, ψ1 = 0.5. From memory.
PERMANENT_FACTOR = 1.35
HELPING_FACTOR = 0.9
VARIABLE_FACTOR = 1.5
ACCIDENTAL_PERMANENT = 1.0
ACCIDENTAL_VARIABLE = 0.5
STRONGEST_N = 20_000.0

# What people do, and the way in which it pushes the piece: to the right, up, out from the wall.
DONE: dict[str, Place] = {
    "pulled outwards": (0.0, 0.0, 1.0),
    "leaning down": (0.0, -1.0, 0.0),
    "knocked from below": (0.0, 1.0, 0.0),
}

CASES_SOURCE = (
    "EN 1990 (from memory): weight × 1.35, or × 0.9 where it helps, with what people do × 1.5; when a support is lost, "
    "weight × 1.0 with what people do × 0.5"
)


@dataclass(frozen=True)
class Case:
    """What acts together, factors included. `accidental`: the same when a support is lost; None: as it stands."""

    name: str
    actions: tuple[Action, ...]
    accidental: tuple[Action, ...] | None = None


def design_cases(
    mass_kg: float,
    centre: Place | Placed,
    *,
    lean_n: float,
    lean_at: Place | Placed | Sequence[Place | Placed],
    permanent_factor: float = PERMANENT_FACTOR,
    variable_factor: float = VARIABLE_FACTOR,
) -> tuple[Case, ...]:
    """The weight alone; and with it somebody who pulls outwards, leans down, or knocks from below.

    `mass_kg` above 0 to 20 000 kg at `centre`; `lean_n` (0…20 000 N) is chosen by a person, who says why; `lean_at` is
    the place, or the places, on the piece's edge that can be reached: the worst of them counts. Each of the three is
    also worked out with the weight at its least (× 0.9), where weight helps to hold the piece. Places are (x, y, z)
    in mm or anything with x_mm, y_mm, z_mm. Factors 0…10. Source: CASES_SOURCE. Raises TradeError outside the ranges
    and without a place.
    """
    in_range("force of somebody leaning", lean_n, 0, STRONGEST_N, "N")
    in_range("factor on the weight", permanent_factor, 0, LARGEST_FACTOR, "(times)")
    in_range("factor on what people do", variable_factor, 0, LARGEST_FACTOR, "(times)")
    places = _places(lean_at)
    lost = weight_action(mass_kg, centre, ACCIDENTAL_PERMANENT)
    weights = {
        "": weight_action(mass_kg, centre, permanent_factor),
        ", weight at its least": weight_action(mass_kg, centre, min(permanent_factor, HELPING_FACTOR)),
    }
    cases = [Case("weight alone", (weights[""],), (lost,))]
    for done, at, (how_much, weight) in product(DONE, places, weights.items()):
        spot = f" at {at[0]:g}, {at[1]:g} mm" if len(places) > 1 else ""
        actions = (weight, _does(done, at, variable_factor * lean_n))
        accidental = (lost, _does(done, at, ACCIDENTAL_VARIABLE * lean_n))
        cases.append(Case(f"{done}{spot}{how_much}", actions, accidental))
    return tuple(cases)


def _does(done: str, at: Place, force_n: float) -> Action:
    across, up, out = DONE[done]
    return Action(across * force_n, up * force_n, out * force_n, *at, done)


def _places(lean_at: Place | Placed | Sequence[Place | Placed]) -> list[Place]:
    several = isinstance(lean_at, tuple | list) and not (lean_at and isinstance(lean_at[0], int | float | str))
    given: Sequence[Place | Placed] = lean_at if several else [lean_at]  # type: ignore[assignment, list-item]
    if not given:
        message = "places where somebody can lean: none is given; allowed is at least one"
        raise TradeError(message)
    return [where("where somebody leans", at) for at in given]
