"""Tapes and heights brought together by least squares, and the readings that do not go with the others."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist
from typing import TYPE_CHECKING, Final

from siteapp.trade.errors import TradeError
from siteapp.trade.survey.datum import on_the_plan
from siteapp.trade.survey.network import Network, tied_together
from siteapp.trade.survey.readings import FEWEST_POINTS, ByPair, LevelPair, TapeReading, known_readings, places
from siteapp.trade.survey.wording import datum_in_words, notes_in_words, why_loose

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from siteapp.trade.survey.readings import Reading

# Baarda, "A testing procedure for use in geodetic networks", Netherlands Geodetic Commission 2/5 (1968): level 0.1 %,
# power 80 %. The two figures are quantiles of the normal distribution, 3.29 and 3.29 + 0.84 = 4.13.
CRITICAL: Final = NormalDist().inv_cdf(1 - 0.001 / 2)
FINDABLE: Final = CRITICAL + NormalDist().inv_cdf(0.80)
# Two readings explain a contradiction equally well when taking one out brings the sum of squares down by less than
# this beyond the other (ours: odds of about 10 to 1 for the one that is named).
CLEARLY_BETTER = 4.61
# A residual above this many standard deviations bends the linear figures; the readings are then taken out in turn.
GROSS = 30.0
MOST_IN_TURN = 10
# With more wrong than this nobody can say any more which are right (ours).
MOST_SET_ASIDE = 5
STEPS_IN_TURN = 12
# Nothing holds the figure from being shifted two ways; a third free way is a turn.
SHIFTS = 2
# A share of redundancy below this is none.
NO_CHECK = 1e-6

SOURCE = (
    "least squares of distances (Ghilani, Adjustment Computations, chapter 14) and heights; contradictions by data "
    "snooping (Baarda 1968), |w| > 3.29; findable error 4.13·s/√r"
)
ASSUMPTIONS = (
    "tapes are pulled straight, from the middle of a hole to the middle of a hole, in the plane of the wall",
    "standard deviations, unless said otherwise: tape 0.3 mm + 0.2 mm per metre (ours), laser line 1 mm",
    "all heights are from one laser line, set once",
    "tapes and heights cannot tell left from right: which hole is on which side is taken from where they were planned",
)


@dataclass(frozen=True)
class Adjustment:
    """Where the holes are, as the readings have it, and how well that is known; mm, x right, y up, from the front.

    `points` are the holes that the readings hold together; `loose` names the others, each with the reason.
    `covariance` is 2n × 2n in the order of `points` (x and y of the first, of the second …), from the readings'
    standard deviations, made larger where they scatter more than those (times reference variance, if above 1).
    `readings` are those used; `residuals` (computed minus read), `standardised` and `redundancy` (0…1) follow their
    order. `reference_sd` is √(vᵀPv/r), None without redundancy. `suspects` are to be read again: those in `set_aside`
    were left out of the result; of the others one is wrong and the readings cannot tell which. `findable_mm` is the
    smallest error that would be found in a reading, by what it measures (two holes, or hole and *laser line*), ∞ where
    nothing checks it. `misplaced` holes are far from where they were planned. `notes` say all of this in words.
    """

    points: Mapping[str, tuple[float, float]]
    covariance: tuple[tuple[float, ...], ...]
    readings: tuple[Reading, ...]
    residuals: tuple[float, ...]
    standardised: tuple[float, ...]
    redundancy: tuple[float, ...]
    reference_sd: float | None
    suspects: tuple[Reading, ...]
    set_aside: tuple[Reading, ...]
    findable_mm: Mapping[tuple[str, str], float]
    loose: Mapping[str, str]
    misplaced: tuple[str, ...]
    level_known: bool
    datum: str
    notes: tuple[str, ...]
    assumptions: tuple[str, ...] = ASSUMPTIONS
    source: str = SOURCE

    @property
    def unnamed(self) -> tuple[Reading, ...]:
        """Readings of which at least one is wrong, without anything to tell which."""
        return tuple(reading for reading in self.suspects if reading not in self.set_aside)


def adjust(
    readings: Iterable[Reading],
    near: Mapping[str, tuple[float, float]],
    *,
    level: tuple[str, str] | None = None,
    fixed: Collection[str] = (),
) -> Adjustment:
    """Bring `readings` together: where the holes are, how well that is known, and which reading to take again.

    `near` is where the holes were planned (mm, x right, y up, seen from the front; 2…60 of them): the place to start
    from, and, by best fit, the datum of the result. Without heights or a `level` pair it also says what is level.
    Holes in `fixed` stay exactly where `near` has them. Up to 600 readings. Weights are 1/s². While the largest
    |w| = |v|/(s√r) is above 3.29, that reading is set aside and the rest worked out again, unless another explains
    the contradiction as well; then both are named and neither is set aside.
    Raises TradeError for bad input, and when no two holes are held together.
    """
    planned = places("holes", near)
    listed = known_readings((*readings, LevelPair(*level)) if level else readings, planned)
    if not any(isinstance(reading, TapeReading) for reading in listed):
        message = "readings: 0 tapes; allowed is at least 1 between two holes"
        raise TradeError(message)
    unknown = [label for label in fixed if label not in planned]
    if unknown:
        message = f"fixed: there is no hole {unknown[0]}; allowed are {', '.join(planned)}"
        raise TradeError(message)
    held = frozenset(fixed)
    search = _Search(listed, planned, held)
    search.run()
    return _result(search, planned)


class _Search:
    """Takes out readings, one at a time, until the rest agree or nothing more can be said."""

    def __init__(
        self, readings: tuple[Reading, ...], planned: dict[str, tuple[float, float]], fixed: frozenset[str]
    ) -> None:
        self.kept = list(readings)
        self.planned = planned
        self.fixed = fixed
        self.set_aside: list[Reading] = []
        self.unnamed: list[Reading] = []
        self.tie()

    def tie(self) -> None:
        import numpy as np

        xy = np.array(list(self.planned.values()))
        labels = tied_together(Network(self.kept, list(self.planned), self.fixed), xy)
        if len(labels) < FEWEST_POINTS:
            message = "readings hold no two holes together; at least one tape between two of them is needed"
            raise TradeError(message)
        # Near the middle of the holes, so that large coordinates cost no digits.
        self.middle = xy.mean(axis=0)
        self.start = np.array([self.planned[label] for label in labels]) - self.middle
        self.used = [reading for reading in self.kept if set(reading.holes) <= set(labels)]
        self.network = Network(self.used, labels, self.fixed & set(labels))
        self.solved = self.network.solve(self.start)
        if self.solved.squares > GROSS**2:
            # One slip of metres pulls the whole figure out of shape; a start that holds it down may do better.
            self.start = self.network.robust_start(self.start)
            other = self.network.solve(self.start)
            if other.squares < self.solved.squares:
                self.solved = other

    def run(self) -> None:
        while True:
            drops = self._drops()
            if not drops or drops[0][0] <= CRITICAL**2:
                return
            if drops[0][0] > GROSS**2:
                # Bent out of shape, the linear figures tell little: what each brings is tried.
                drops, bent = self._in_turn(drops), drops
                if drops[0][0] <= CRITICAL**2:
                    self._cannot_tell_which([number for _, number in bent[:MOST_IN_TURN]])
                    return
            worst, named = drops[0]
            rivals = [number for drop, number in drops if drop > worst - CLEARLY_BETTER]
            if len(rivals) > 1 or len(self.set_aside) >= MOST_SET_ASIDE:
                self._cannot_tell_which(rivals)
                return
            reading = self.used[named]
            self.set_aside.append(reading)
            self.kept = [kept for kept in self.kept if kept is not reading]
            self.tie()

    def _drops(self) -> list[tuple[float, int]]:
        """By how much the sum of squares falls when each reading is left out (w²), largest first."""
        import numpy as np

        redundancy = 1 - np.diag(self.solved.hat)
        checked = redundancy > NO_CHECK
        drops = np.where(checked, (self.solved.off / self.network.sigma) ** 2 / np.where(checked, redundancy, 1.0), 0.0)
        return [(float(drops[n]), int(n)) for n in np.argsort(-drops) if checked[n]]

    def _in_turn(self, drops: Sequence[tuple[float, int]]) -> list[tuple[float, int]]:
        """The same for the largest of `drops`, by leaving each out and bringing the rest together anew."""
        exact = [(self.solved.squares - self._without(number), number) for _, number in drops[:MOST_IN_TURN]]
        return sorted(exact, key=lambda drop: -drop[0])

    def _without(self, number: int) -> float:
        others = [reading for n, reading in enumerate(self.used) if n != number]
        network = Network(others, self.network.labels, self.network.fixed)
        return network.solve(self.start, STEPS_IN_TURN).squares

    def _cannot_tell_which(self, rivals: Sequence[int]) -> None:
        keys = {self.used[number].key for number in rivals}
        first = [self.used[number] for number in rivals]
        # A pair that was read more than once is read again as a whole.
        self.unnamed = first + [r for r in self.used if r.key in keys and not any(r is one for one in first)]


def _result(search: _Search, planned: dict[str, tuple[float, float]]) -> Adjustment:
    import numpy as np

    network, solved = search.network, search.solved
    labels = network.labels
    sigma = network.sigma
    redundancy = np.clip(1 - np.diag(solved.hat), 0.0, 1.0)
    checked = redundancy > NO_CHECK
    root = np.sqrt(np.where(checked, redundancy, 1.0))
    degrees = round(float(redundancy.sum()))
    reference = math.sqrt(solved.squares / degrees) if degrees else None
    target = np.array([planned[label] for label in labels])
    turns = not network.fixed and solved.free > SHIFTS
    placed, covariance, misplaced = (
        (solved.xy + search.middle, solved.cofactor, ())
        if network.fixed
        else on_the_plan(solved.xy, solved.cofactor, target, turns=turns)
    )
    grown = covariance * max(1.0, reference**2 if reference is not None else 1.0)
    findable = ByPair()
    for reading, has, share in zip(network.readings, checked, root, strict=True):
        smallest = FINDABLE * reading.sigma_mm / float(share) if has else math.inf
        findable[reading.key] = max(smallest, findable.get(reading.key, 0.0))
    for reading in search.set_aside:
        findable.setdefault(reading.key, math.inf)
    loose = why_loose(search.kept, labels, planned)
    elsewhere = tuple(labels[number] for number in misplaced)
    return Adjustment(
        points={label: (float(x), float(y)) for label, (x, y) in zip(labels, placed, strict=True)},
        covariance=tuple(tuple(map(float, row)) for row in grown),
        readings=network.readings,
        residuals=tuple(map(float, solved.off)),
        standardised=tuple(map(float, np.where(checked, solved.off / (sigma * root), 0.0))),
        redundancy=tuple(map(float, redundancy)),
        reference_sd=reference,
        suspects=(*search.set_aside, *search.unnamed),
        set_aside=tuple(search.set_aside),
        findable_mm=findable,
        loose=loose,
        misplaced=elsewhere,
        level_known=not turns,
        datum=datum_in_words([label for label in labels if label in network.fixed], turns=turns),
        notes=notes_in_words(
            [(reading, _should(reading, search)) for reading in search.set_aside], search.unnamed, loose, elsewhere
        ),
    )


def _should(reading: Reading, search: _Search) -> float | None:
    """What the other readings make of `reading`, in mm; None where they do not hold its holes."""
    network, solved = search.network, search.solved
    if not isinstance(reading, TapeReading) or not set(reading.holes) <= set(network.labels):
        return None
    a, b = (solved.xy[network.labels.index(label)] for label in reading.holes)
    return math.dist(a, b)
