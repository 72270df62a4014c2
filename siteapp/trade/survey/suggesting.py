"""What to measure, so that any one slip of 15 mm among the readings would be named."""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations
from typing import TYPE_CHECKING, Final

from siteapp.trade.survey.network import Network, in_a_row, tied_together
from siteapp.trade.survey.readings import (
    HIGHEST_MM,
    LASER_LINE,
    LONGEST_MM,
    HeightReading,
    LevelPair,
    TapeReading,
    known_readings,
    places,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from siteapp.trade.survey.network import Array
    from siteapp.trade.survey.readings import Reading

    Places = Mapping[str, tuple[float, float]]

# The slip that must not stay hidden: a finger's breadth, a line of the tape misread (the contract's figure).
SLIP_MM: Final = 15.0
# How many standard deviations such a slip must stand out, from the others with any one of them missing (ours):
# 3.29 to be found plus 3.09 to be found 999 times in 1000, and a little.
STANDS_OUT: Final = 7.0
NO_CHECK = 1e-9
NEIGHBOURS = 3
BRACED_FULLY = 5
MOST_REPEATS = 3
# Up to this many holes what turns out not to be needed is taken out again; above, a few readings are too many.
SPARED_UP_TO = 12
MOST_ROUNDS = 20

IN_A_ROW = "the holes are in one row: tapes along it say nothing about height, so heights are needed"
FOR_LEVEL = "heights say what is level, and check the tapes"
FOR_SHAPE = "holds the holes together"
FOR_NAMING = "without it a slip could be found, but not which reading it is in"
AGAIN = "the same again, held at 100: a slip in one of them would be named"
HEIGHT_AGAIN = "the same once more: a slip in one of them would be named"


def suggest_readings(near: Places) -> tuple[Reading, ...]:
    """What to read so that any one slip of 15 mm would be named, in the order of places on the ladder, left to right.

    `near` is where the holes were planned (mm, 2…60 of them). Each reading comes with the value to be expected and
    `why` it is asked for; a pair asked for a second time is read from the tape's 100 mm mark. Each slip stands out by
    7 standard deviations (ours) from the others even with any one of those missing. Raises TradeError for bad input.
    """
    planned = places("holes", near)
    return _by_place(_lacking([], planned), planned)


def what_is_missing(
    readings: Iterable[Reading], near: Places, *, level: tuple[str, str] | None = None
) -> tuple[Reading, ...]:
    """Readings to add to `readings`, so that any one slip of 15 mm would be named; none when there are enough.

    Removing a reading never makes enough of what was not: what checks a reading only shrinks. Raises TradeError as
    `adjust` does.
    """
    planned = places("holes", near)
    listed = list(known_readings((*readings, LevelPair(*level)) if level else readings, planned))
    return _by_place(_lacking(listed, planned), planned)


def _lacking(readings: Sequence[Reading], planned: Places) -> list[Reading]:
    have = list(readings)
    for _ in range(MOST_ROUNDS):
        tied = set(_tied(have, planned))
        loose = [label for label in planned if label not in tied]
        short = _short(have, planned) if not loose else set()
        if not loose and not short:
            break
        more = _ties(have, loose, planned) if loose else _again(have, short, planned)
        if not more:
            break
        have += more
    return _spared(have, len(readings), planned)


def _ties(have: Sequence[Reading], loose: Sequence[str], planned: Places) -> list[Reading]:
    """Readings that hold the loose holes, among those of a first round; all that are not there, when it is that row."""
    there = {reading.key for reading in have}
    wanted = [reading for reading in _first(planned) if reading.key not in there]
    return [reading for reading in wanted if set(reading.holes) & set(loose)] or wanted


def _again(have: Sequence[Reading], short: set[int], planned: Places) -> list[Reading]:
    """The same once more for each reading that is short of checks; where that is used up, whatever else there is."""
    candidates = _candidates(have, planned)
    keys = {have[number].key for number in short}
    return [candidate for candidate in candidates if candidate.key in keys] or candidates


def _spared(have: list[Reading], given: int, planned: Places) -> list[Reading]:
    """What was added after the first `given`, without what turns out not to be needed; each hole keeps a height."""
    kept, added = have[:given], have[given:]
    if len(planned) > SPARED_UP_TO:
        return added
    # Long tapes first, and of one pair the last: what stays is the plain reading.
    tried = sorted(enumerate(added), key=lambda one: (isinstance(one[1], HeightReading), -one[1].observed_mm, -one[0]))
    for _, reading in tried:
        if isinstance(reading, HeightReading) and [r.key for r in [*kept, *added]].count(reading.key) == 1:
            continue
        fewer = [other for other in added if other is not reading]
        if len(_tied([*kept, *fewer], planned)) == len(planned) and not _short([*kept, *fewer], planned):
            added = fewer
    return added


def _short(readings: Sequence[Reading], planned: Places) -> set[int]:
    """The readings, of holes that are all tied, in which a slip would not be named."""
    import numpy as np

    network = Network(readings, list(planned))
    xy = np.array(list(planned.values()))
    xy -= xy.mean(axis=0)
    _, cofactor = network.movements(xy)
    own = np.eye(len(readings)) - network.hat(xy, cofactor)
    check = np.clip(np.diag(own), 0.0, None)
    # What still checks reading i when reading j is gone: r_i − R_ij²/r_j.
    sure = np.where(check > NO_CHECK, check, np.inf)
    without = check[:, None] - own**2 / sure[None, :]
    np.fill_diagonal(without, check)
    left = np.clip(without.min(axis=1), 0.0, None)
    needed = (STANDS_OUT * network.sigma / SLIP_MM) ** 2
    return {int(n) for n in np.flatnonzero(left < needed)}


def _tied(readings: Sequence[Reading], planned: Places) -> tuple[str, ...]:
    import numpy as np

    if not any(isinstance(reading, TapeReading) for reading in readings):
        return ()
    xy: Array = np.array(list(planned.values()))
    return tied_together(Network(readings, list(planned)), xy - xy.mean(axis=0))


def _first(planned: Places) -> list[Reading]:
    """Braces between neighbours and across the whole, and every height."""
    import numpy as np

    labels = list(planned)
    pairs = set()
    for a in labels:
        others = sorted((b for b in labels if b != a), key=lambda b: math.dist(planned[a], planned[b]))
        chosen = others if len(labels) <= BRACED_FULLY else [*others[:NEIGHBOURS], others[-1]]
        pairs |= {(min(a, b), max(a, b)) for b in chosen}
    row = in_a_row(np.array(list(planned.values())))
    tapes = [_tape(a, b, planned, why=FOR_SHAPE) for a, b in sorted(pairs) if _reachable(a, b, planned)]
    return [*tapes, *(_height(label, planned, why=IN_A_ROW if row else FOR_LEVEL) for label in labels)]


def _candidates(have: Sequence[Reading], planned: Places) -> list[Reading]:
    read = Counter(reading.key for reading in have)
    found: list[Reading] = []
    for a, b in combinations(sorted(planned), 2):
        times = read[(a, b)]
        if times < MOST_REPEATS and _reachable(a, b, planned):
            found.append(_tape(a, b, planned, why=AGAIN if times else FOR_NAMING, from_100=times % 2 == 1))
    for label in planned:
        once = _height(label, planned, why=HEIGHT_AGAIN if read[(label, LASER_LINE)] else FOR_NAMING)
        if read[once.key] < MOST_REPEATS:
            found.append(once)
    return found


def _reachable(a: str, b: str, planned: Places) -> bool:
    return math.dist(planned[a], planned[b]) <= LONGEST_MM


def _tape(a: str, b: str, planned: Places, *, why: str, from_100: bool = False) -> TapeReading:
    return TapeReading(a, b, math.dist(planned[a], planned[b]), from_100=from_100, why=why)


def _height(label: str, planned: Places, *, why: str = "") -> HeightReading:
    lowest = min(y for _, y in planned.values())
    return HeightReading(label, min(planned[label][1] - lowest, HIGHEST_MM), why=why)


def _by_place(readings: Sequence[Reading], planned: Places) -> tuple[Reading, ...]:
    """Left to right, at each place from the top down: the ladder is moved as seldom as can be."""

    def place(reading: Reading) -> tuple[float, float, bool, float]:
        ends = sorted((planned[label] for label in reading.holes), key=lambda end: (end[0], -end[1]))
        return (ends[0][0], -ends[0][1], isinstance(reading, TapeReading), math.dist(ends[0], ends[-1]))

    return tuple(sorted(readings, key=place))
