"""What an answer to a check is worth, from what was said and what shows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Iterable


class Asks(Protocol):
    """What a line asks for: a photo, a second person, a calculation, a figure's quantity and its limits.

    Limits are in the line's unit, both included, None for none.
    """

    @property
    def photo(self) -> bool: ...  # noqa: D102 - said above

    @property
    def second(self) -> bool | None: ...  # noqa: D102

    @property
    def quantity(self) -> str | None: ...  # noqa: D102

    @property
    def low(self) -> float | None: ...  # noqa: D102

    @property
    def high(self) -> float | None: ...  # noqa: D102

    @property
    def calculation(self) -> str | None: ...  # noqa: D102


class Limits(Protocol):
    """The limits of a figure, in the line's unit, both included, None for none."""

    @property
    def low(self) -> float | None: ...  # noqa: D102 - said above

    @property
    def high(self) -> float | None: ...  # noqa: D102


@dataclass(frozen=True)
class Shown:
    """What shows an answer: the reading in the line's unit, how many photos, the second person's name.

    `worked_out`: a calculation gave it; `stale`: from particulars that were revised since.
    """

    reading: float | None = None
    photos: int = 0
    second: str | None = None
    worked_out: bool = False
    stale: bool = False


def within(line: Limits, reading: float) -> bool:
    """Whether a reading lies within a line's limits, which belong to the allowed range. NaN lies in none."""
    return (line.low is None or reading >= line.low) and (line.high is None or reading <= line.high)


def worth(line: Asks, said: str, shown: Shown) -> str:
    """The verdict that an answer is worth: met only with everything the line asks for.

    `said` is what the person answered, or the calculation gave. Said to be met with a reading outside the limits it
    is not met; with a reading, photo or second name missing, or met by hand where a calculation is asked for, it is
    cannot tell, and so is whatever was worked out from particulars that have changed. Worked out again whenever it is
    read, so that evidence which is gone (a body erased, a photo left out) takes its verdict with it.
    """
    if shown.stale:
        return CANNOT_TELL
    if said != MET:
        return said
    if line.quantity is not None:
        if shown.reading is None:
            return CANNOT_TELL
        if not within(line, shown.reading):
            return NOT_MET
    lacking = (
        (line.photo and shown.photos < 1)
        or (line.second and not shown.second)
        or (line.calculation is not None and not shown.worked_out)
    )
    return CANNOT_TELL if lacking else MET


def worst(verdicts: Iterable[str]) -> str:
    """The verdict of a line from its standing answers: not met before cannot tell before met; none is cannot tell.

    There is more than one only where two machines answered the same line and nobody has chosen yet.
    """
    found = set(verdicts)
    if NOT_MET in found:
        return NOT_MET
    return MET if found == {MET} else CANNOT_TELL
