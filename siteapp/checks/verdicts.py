"""What an answer to a check is worth, from what was said and what shows it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Iterable


class Asks(Protocol):
    """What a line asks for: a photo, a figure's quantity, its limits (in the line's unit, included, None for none)."""

    @property
    def photo(self) -> bool: ...  # noqa: D102 - said above

    @property
    def quantity(self) -> str | None: ...  # noqa: D102

    @property
    def low(self) -> float | None: ...  # noqa: D102

    @property
    def high(self) -> float | None: ...  # noqa: D102


def within(line: Asks, reading: float) -> bool:
    """Whether a reading lies within a line's limits, which belong to the allowed range. NaN lies in none."""
    return (line.low is None or reading >= line.low) and (line.high is None or reading <= line.high)


def worth(line: Asks, *, said: str, reading: float | None, photos: int) -> str:
    """The verdict that an answer is worth: met only with everything the line asks for.

    `said` is what the person answered, `reading` in the line's unit, `photos` how many there are. Said to be met with
    a reading outside the limits it is not met; with a reading or photo missing it is cannot tell. Worked out again
    whenever it is read, so that evidence which is gone (a body erased, a photo left out) takes its verdict with it.
    """
    if said != MET:
        return said
    if line.quantity is not None:
        if reading is None:
            return CANNOT_TELL
        if not within(line, reading):
            return NOT_MET
    return CANNOT_TELL if line.photo and photos < 1 else MET


def worst(verdicts: Iterable[str]) -> str:
    """The verdict of a line from its standing answers: not met before cannot tell before met; none is cannot tell.

    There is more than one only where two machines answered the same line and nobody has chosen yet.
    """
    found = set(verdicts)
    if NOT_MET in found:
        return NOT_MET
    return MET if found == {MET} else CANNOT_TELL
