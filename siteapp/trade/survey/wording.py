"""What is to be said of a hole survey: loose holes, readings that do not go with the others, what is level."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.trade.survey.network import in_a_row
from siteapp.trade.survey.readings import HeightReading, LevelPair, TapeReading, in_words

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from siteapp.trade.survey.readings import Reading

HELD_AT_MM = 100.0
NEAR_MM = 5.0
ABOUT = 0.05


def why_loose(
    kept: Sequence[Reading], tied: Collection[str], planned: Mapping[str, tuple[float, float]]
) -> dict[str, str]:
    """For each planned hole that is not in `tied`, what keeps the readings from holding it."""
    import numpy as np

    reasons = {}
    for label in planned:
        if label in tied:
            continue
        reaching = [r for r in kept if label in r.holes]
        tapes = {key for r in reaching if isinstance(r, TapeReading) for key in r.key if key != label}
        height = any(isinstance(r, HeightReading | LevelPair) for r in reaching)
        row = np.array([planned[other] for other in (label, *sorted(tapes))])
        if not reaching:
            reasons[label] = "no reading reaches it"
        elif len(tapes) > 1 and in_a_row(row):
            reasons[label] = "its tapes run in one row and say nothing about height: read heights from a laser line"
        elif not tapes:
            reasons[label] = "its height alone does not place it: measure tapes to two other holes"
        elif height:
            reasons[label] = (
                "its height and tapes do not hold it: measure a tape to one more hole, in another direction"
            )
        else:
            reasons[label] = "its tapes do not hold it: measure one to another hole, in another direction"
    return reasons


def datum_in_words(fixed: Sequence[str], *, turns: bool) -> str:
    """Where the result lies: what was held, or what it was laid on, and where its level comes from."""
    if fixed:
        return f"{', '.join(fixed)} held where planned"
    if turns:
        return "laid on the holes as planned, by best fit; what is level was not measured and is taken from the plan"
    return "level as the heights have it; moved onto the holes as planned, by best fit"


def notes_in_words(
    set_aside: Sequence[tuple[Reading, float | None]],
    unnamed: Sequence[Reading],
    loose: Mapping[str, str],
    misplaced: Sequence[str],
) -> tuple[str, ...]:
    """What there is to say of readings set aside (each with the mm that the others make it), and of holes."""
    notes = [
        f"{in_words(reading)}: does not go with the others; read it again{_guess(reading, should_mm)}"
        for reading, should_mm in set_aside
    ]
    if unnamed:
        listed = "; ".join(in_words(reading) for reading in unnamed)
        notes.append(f"these contradict one another and nothing tells which is wrong; read each again: {listed}")
    notes += [f"{label} is loose: {reason}" for label, reason in loose.items()]
    notes += [
        f"{label} is far from where it was planned: look at its planned place, or at its name" for label in misplaced
    ]
    return tuple(notes)


def _guess(reading: Reading, should_mm: float | None) -> str:
    """What slip would explain a tape that is wrong: a nought too many, the 100 left on, or just how far it is off."""
    if should_mm is None:
        return ""
    about = f"the others say about {should_mm:.0f} mm"
    if isinstance(reading, TapeReading):
        times = reading.distance_mm / should_mm
        if any(abs(times / wrong - 1) < ABOUT for wrong in (10.0, 0.1)):
            return f" ({about}: a nought too many or too few?)"
        if abs(abs(reading.distance_mm - should_mm) - HELD_AT_MM) < NEAR_MM:
            return f" ({about}: was the tape held at 100?)"
    return f" ({about})"
