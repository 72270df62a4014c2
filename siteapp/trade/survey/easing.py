"""The least that has to be eased for a piece to go on its bolts: which hole, which way, how far."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.survey.hole import Hole
    from siteapp.trade.survey.network import Array
    from siteapp.trade.survey.pose import Bolts, Place

# Less than this is not worth a file, and nobody files finer (ours).
LEAST_EASING_MM = 0.05
TIGHT_MM = 1e-4

ADVICE: Final = (
    "first choice is at the wall: a bolt set again, or an adapter plate that brings it over by as much the other way; "
    "cutting steel that is bonded into the piece is the last; either opens the loads again"
)


@dataclass(frozen=True)
class Easing:
    """One hole to be eased by `by_mm`, towards `across_mm` right and `up_mm` up, as seen from the front.

    `sure_mm` is how far it takes to be certain of it. An adapter at the wall would bring the bolt as far the opposite
    way. `edge_left_mm` is the metal that easing by `by_mm` leaves to the plate's edge, 0 or less where there would be
    none, None where it is not known.
    """

    label: str
    across_mm: float
    up_mm: float
    by_mm: float
    sure_mm: float
    edge_left_mm: float | None
    advice: str = ADVICE


def ease(
    bolts: Bolts, holes: Sequence[Hole], room: Array, sure_room: Array, most_turn: float
) -> tuple[Easing, ...] | None:
    """The least easing after which every bolt is within its `room` (mm, per hole): one hole if one will do.

    Of single holes the one with least to ease; otherwise the holes with the least sum. `sure_room` is what is left of
    each room for certain; the difference goes on top in `sure_mm`. None where no easing of these holes will do.
    """
    import numpy as np

    number = len(holes)
    every = bolts.least(room, most_turn, shares=np.eye(number), extra_cost=[1.0] * number, extra_low=0.0)
    if every is None:
        return None
    by = {n: float(amount) for n, amount in enumerate(every.extra) if amount > LEAST_EASING_MM}
    best = every
    if len(by) > 1:
        # The least sum is in several holes; one alone may do it with more.
        for chosen in _tight(bolts, room, most_turn):
            place = bolts.least(room, most_turn, shares=np.eye(number)[:, [chosen]], extra_cost=(1.0,), extra_low=0.0)
            if place is not None and (len(by) > 1 or place.extra[0] < next(iter(by.values()))):
                by, best = {chosen: float(place.extra[0])}, place
    return _easings(holes, best, by, room - sure_room)


def _tight(bolts: Bolts, room: Array, most_turn: float) -> list[int]:
    """The holes that are short when all are given the same: only one of them can be the one to ease."""
    import numpy as np

    number = len(room)
    alike = bolts.least(room, most_turn, shares=np.ones((number, 1)), extra_cost=(1.0,), extra_low=None)
    if alike is None:
        return []
    return [n for n in range(number) if float((alike.away - room)[n]) > float(alike.extra[0]) - TIGHT_MM]


def _easings(holes: Sequence[Hole], place: Place, by: dict[int, float], unsure: Array) -> tuple[Easing, ...] | None:
    found = []
    for number, amount in by.items():
        across, up = place.towards[number]
        # As the piece sees it: turned back with the piece.
        cos, sin = math.cos(place.turn), math.sin(place.turn)
        hole = holes[number]
        rim = None if hole.edge_mm is None else hole.edge_mm - hole.hole_mm / 2
        found.append(
            Easing(
                label=hole.label,
                across_mm=float(amount * (cos * across + sin * up)),
                up_mm=float(amount * (cos * up - sin * across)),
                by_mm=amount,
                sure_mm=amount + float(unsure[number]),
                edge_left_mm=None if rim is None else rim - amount,
            )
        )
    return tuple(found) or None
