"""Whether a piece goes on the bolts as they are, where it then hangs, and the least that would let it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import TYPE_CHECKING, Final

from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.survey.easing import Easing, ease
from siteapp.trade.survey.fitting import best_fit
from siteapp.trade.survey.hole import reach_of_error, square
from siteapp.trade.survey.network import rigid
from siteapp.trade.survey.pose import EXACT_MM, Bolts
from siteapp.trade.survey.readings import FEWEST_POINTS, places
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from siteapp.trade.survey.hole import Hole
    from siteapp.trade.survey.network import Array
    from siteapp.trade.survey.pose import Place
    from siteapp.trade.verdicts import Verdict

MISSES: Final = 0.05
MOST_ROTATION_DEG = 10.0
# A piece that drops onto its bolts turns until it bears, whatever is wanted; more than this is no seat (ours).
SEAT_TURN_DEG = 5.0

SOURCE = (
    "most room in the tightest hole, worked out as a convex problem with a bound from the other side; 95 % bound: the "
    "same with each hole's room less the reach of its bolt's error, all holes together (Bonferroni)"
)
ASSUMPTIONS = (
    "holes and bolts are both as seen from the front, in one plane; bolts stand square to the wall",
    "the piece is rigid, and its holes are where the particulars have them",
    "errors of the measured places are normal, with the covariance given",
)
EXACT_PLACES = "the places of the bolts are taken as exact: their uncertainty was not given"


@dataclass(frozen=True)
class OfferUp:
    """A piece offered up to bolts. mm and degrees, anticlockwise from the front; bolt ≈ turned hole + shift.

    The turn is about the origin of the holes' own coordinates, then the shift. `slack_mm` is the room left in each
    hole at the best place, negative for what it is short of; `least_slack_mm` the least of them, and
    `least_slack_low_mm` what it is with 95 % certainty at least (None without a covariance). `tightest` names the
    hole. `seated_rotation_deg`, `seated_drop_mm`: how far it has turned out of level and come down from the best
    place, when it drops until it bears; None where it does not go on. `remedy` is the least easing when it
    does not go on, otherwise None. `reasons` say what stands against *met*.
    """

    verdict: Verdict
    shift_x_mm: float | None
    shift_y_mm: float | None
    rotation_deg: float | None
    least_slack_mm: float | None
    least_slack_low_mm: float | None
    slack_mm: Mapping[str, float]
    tightest: str | None
    seated_rotation_deg: float | None
    seated_drop_mm: float | None
    remedy: tuple[Easing, ...] | None
    mirrored: bool
    reasons: tuple[str, ...]
    assumptions: tuple[str, ...] = ASSUMPTIONS
    source: str = SOURCE


def offer_up(
    holes: Sequence[Hole],
    measured: Mapping[str, tuple[float, float]],
    *,
    covariance: Sequence[Sequence[float]] | None = None,
    max_rotation_deg: float = 0.3,
    centre: tuple[float, float] | None = None,
) -> OfferUp:
    """Offer the `holes` (2…60) up to the `measured` bolts: the place with most room in the tightest hole.

    `measured` by hole's label, mm; `covariance` 2n × 2n in its order, mm², as `adjust` gives it. The piece may be
    shifted at will and turned by up to `max_rotation_deg` (0…10) either way. `centre` is where its weight acts (mm,
    in the holes' coordinates; None: the middle of the holes), for how it hangs when it drops until it bears.
    *Not met* when it does not go on; *met* only if the 95 % bound of the slack is above 0, or, without a covariance,
    the slack itself; a hole that was not measured is *cannot tell*.
    The bound is a worst-hole bound: each hole's room is made less by the reach of its bolt's error (whatever the piece
    can follow by shifting and turning taken off), reached with 5 % shared among all holes and the turn, and the piece
    is offered up again. It never says more than is known, and more clearance or better readings never lower it.
    Raises TradeError for bad input.
    """
    in_range("most rotation", max_rotation_deg, 0, MOST_ROTATION_DEG, "°")
    drawn = places("holes", _by_label(holes))
    found = places("measured holes", measured, fewest=0)
    known = square(covariance, len(found)) if covariance is not None else None
    weight = places("centre of weight", {"centre": centre}, fewest=1)["centre"] if centre else None
    there = [hole for hole in holes if hole.label in found]
    absent = tuple(f"{label} was not measured" for label in drawn if label not in found)
    if len(there) < FEWEST_POINTS:
        return _nothing(absent)
    trial = _Trial(there, found, known, math.radians(max_rotation_deg))
    return trial.offered(absent, weight)


class _Trial:
    """One offering up of the holes that were measured."""

    def __init__(
        self, holes: Sequence[Hole], found: Mapping[str, tuple[float, float]], known: Array | None, most_turn: float
    ) -> None:
        import numpy as np

        self.holes = holes
        self.spots = np.array([(hole.x_mm, hole.y_mm) for hole in holes])
        self.bolts = np.array([found[hole.label] for hole in holes])
        angles = np.radians([hole.slot_deg for hole in holes])
        axes = np.stack([np.cos(angles), np.sin(angles)], axis=1)
        self.moved = Bolts(self.spots, self.bolts, np.array([hole.slot_mm / 2 for hole in holes]), axes)
        self.room = np.array([hole.room_mm for hole in holes])
        self.most_turn = most_turn
        self.sure_room, self.sure_turn = self.room, most_turn
        self.known = known is not None
        if known is not None:
            order = list(found)
            rows = [2 * order.index(hole.label) + axis for hole in holes for axis in (0, 1)]
            self.sure_room, self.sure_turn = self._sure(known[np.ix_(rows, rows)])

    def _sure(self, covariance: Array) -> tuple[Array, float]:
        """Room and turn that are left when every bolt is off by as much as it may be."""
        import numpy as np

        number = len(self.holes)
        chance = MISSES / (number + 1)
        ways = rigid(self.bolts, turns=True)
        reach = math.sqrt(float(((self.bolts - self.bolts.mean(axis=0)) ** 2).sum()))
        turn_sd = math.sqrt(max(float(ways[:, 2] @ covariance @ ways[:, 2]), 0.0)) / reach
        turn = max(self.most_turn - NormalDist().inv_cdf(1 - chance / 2) * turn_sd, 0.0)
        # What the piece follows by shifting, and while there is turn to spare by turning, costs no room.
        followed = ways if turn > 0 else ways[:, :2]
        rest = np.eye(2 * number) - followed @ np.linalg.solve(followed.T @ followed, followed.T)
        left = rest @ covariance @ rest.T
        reached = [reach_of_error(left[2 * n : 2 * n + 2, 2 * n : 2 * n + 2], chance) for n in range(number)]
        return self.room - np.array(reached), turn

    def most_room(self, room: Array, most_turn: float) -> Place:
        """The place where the tightest hole has most room; what is added to each room is what it is short of."""
        import numpy as np

        everywhere = np.ones((len(self.holes), 1))
        place = self.moved.least(room, most_turn, shares=everywhere, extra_cost=(1.0,), extra_low=None)
        if place is None:
            message = "holes and bolts: the sum did not come out; allowed are places within 100 000 mm of one another"
            raise TradeError(message)
        return place

    def offered(self, absent: tuple[str, ...], weight: tuple[float, float] | None) -> OfferUp:
        place = self.most_room(self.room, self.most_turn)
        slack = self.room - place.away
        least = float(slack.min())
        low = -float(self.most_room(self.sure_room, self.sure_turn).extra[0]) if self.known else None
        if low is not None:
            low = min(low, least)
        mirrored = least < 0 and best_fit(_by_label(self.holes), self._found()).mirrored
        verdict, reasons = self._verdict(least, low, absent, mirrored=mirrored)
        turn, shift = place.turn, self._shift(place)
        seat = self._seat(place, weight) if least >= 0 else None
        result = OfferUp(
            verdict=verdict,
            shift_x_mm=shift[0],
            shift_y_mm=shift[1],
            rotation_deg=math.degrees(turn),
            least_slack_mm=least,
            least_slack_low_mm=low,
            slack_mm={hole.label: float(value) for hole, value in zip(self.holes, slack, strict=True)},
            tightest=self.holes[int(slack.argmin())].label,
            seated_rotation_deg=math.degrees(seat[0]) if seat else None,
            seated_drop_mm=seat[1] if seat else None,
            remedy=self._remedy() if least < -EXACT_MM and not mirrored else None,
            mirrored=mirrored,
            reasons=reasons,
        )
        return result if self.known else replace(result, assumptions=(*ASSUMPTIONS[:-1], EXACT_PLACES))

    def _verdict(
        self, least: float, low: float | None, absent: tuple[str, ...], *, mirrored: bool
    ) -> tuple[Verdict, tuple[str, ...]]:
        """An estimate may stop it; only what is certain enough, of every hole, lets it go on."""
        reasons = list(absent)
        if mirrored:
            reasons.insert(0, "the holes are the mirror image of the piece's: the template was held back to front")
        if least < -EXACT_MM:
            reasons.insert(0, f"the tightest hole is {-least:.1f} mm short of letting its bolt through")
            return NOT_MET, tuple(reasons)
        if least <= EXACT_MM:
            reasons.append("the tightest hole has no room at all left")
        elif low is not None and low <= 0:
            reasons.append(
                f"the tightest hole has {least:.1f} mm of room, less than the readings are certain of; read them again"
            )
        return (CANNOT_TELL if reasons else MET), tuple(reasons)

    def _seat(self, place: Place, weight: tuple[float, float] | None) -> tuple[float, float] | None:
        """Turn, and how far the middle of the weight comes down, when it drops until it bears."""
        import numpy as np

        arm = np.array(weight) - self.moved.middle if weight else np.zeros(2)
        lowest = self.moved.least(
            self.room + EXACT_MM,
            math.radians(SEAT_TURN_DEG),
            cost=(0.0, 1.0, float(arm[0])),
            shares=np.zeros((len(self.holes), 0)),
            extra_cost=(),
            extra_low=None,
        )
        if lowest is None:
            return None
        return lowest.turn, place.up_mm - lowest.up_mm + float(arm[0]) * (place.turn - lowest.turn)

    def _remedy(self) -> tuple[Easing, ...] | None:
        return ease(self.moved, self.holes, self.room, self.sure_room, self.most_turn)

    def _shift(self, place: Place) -> tuple[float, float]:
        """The shift after a turn about the origin, from the shift of the holes' middle."""
        x, y = self.moved.middle
        cos, sin = math.cos(place.turn), math.sin(place.turn)
        return (
            float(place.across_mm + x - (cos * x - sin * y)),
            float(place.up_mm + y - (sin * x + cos * y)),
        )

    def _found(self) -> dict[str, tuple[float, float]]:
        return {hole.label: (float(x), float(y)) for hole, (x, y) in zip(self.holes, self.bolts, strict=True)}


def _by_label(holes: Sequence[Hole]) -> dict[str, tuple[float, float]]:
    placed: dict[str, tuple[float, float]] = {}
    for hole in holes:
        if hole.label in placed:
            message = f"hole {hole.label} is there twice; allowed is each name once"
            raise TradeError(message)
        placed[hole.label] = (hole.x_mm, hole.y_mm)
    return placed


def _nothing(absent: tuple[str, ...]) -> OfferUp:
    return OfferUp(
        verdict=CANNOT_TELL,
        shift_x_mm=None,
        shift_y_mm=None,
        rotation_deg=None,
        least_slack_mm=None,
        least_slack_low_mm=None,
        slack_mm={},
        tightest=None,
        seated_rotation_deg=None,
        seated_drop_mm=None,
        remedy=None,
        mirrored=False,
        reasons=absent,
    )
