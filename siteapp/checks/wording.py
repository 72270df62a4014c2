"""How a line's limits are said."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from siteapp.web.figures import typed_again
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.checks.verdicts import Limits

    class Limited(Limits, Protocol):
        """A line with limits in a unit."""

        @property
        def quantity(self) -> str | None: ...  # noqa: D102 - said above

        @property
        def unit(self) -> str | None: ...  # noqa: D102 - said above


def limits_words(line: Limited) -> str:
    """The limits of a reading, nothing rounded: `at least 1 kN`; empty when there are none."""
    low = None if line.low is None else typed_again(line.low)
    high = None if line.high is None else typed_again(line.high)
    if low is not None and high is not None:
        return _("%(low)s to %(high)s %(unit)s", low=low, high=high, unit=line.unit)
    if low is not None:
        return _("at least %(low)s %(unit)s", low=low, unit=line.unit)
    return _("at most %(high)s %(unit)s", high=high, unit=line.unit) if high is not None else ""


def missing_reading(line: Limited) -> str:
    """Why a line cannot be met without its reading."""
    return _(
        "%(what)s: met needs the reading (%(limits)s). Without one, answer cannot tell.",
        what=_capital(line.quantity or ""),
        limits=limits_words(line),
    )


def outside(line: Limited, reading: float) -> str:
    """Why a line cannot be met with this reading."""
    return _(
        "%(what)s: %(reading)s %(unit)s is outside the limits (%(limits)s), so this cannot be met. Answer not met.",
        what=_capital(line.quantity or ""),
        reading=typed_again(reading),
        unit=line.unit,
        limits=limits_words(line),
    )


def missing_photo() -> str:
    """Why a line cannot be met without its photo."""
    return _("Photo: met needs one here. Without one, answer cannot tell.")


def missing_second() -> str:
    """Why a line cannot be met by one person alone."""
    return _("Second person: met needs the name of somebody else who saw it. Without one, answer cannot tell.")


def same_person(name: str) -> str:
    """Why a second person's name is refused."""
    return _("Second person: “%(name)s” is who answers. Give the name of somebody else who saw it.", name=name)


def not_by_hand() -> str:
    """Why a line that is worked out cannot be met by hand."""
    return _("Answer: this check is worked out, so it cannot be met by hand. Not met and cannot tell may be answered.")


def snag(words: str, note: str | None) -> str:
    """What a snag says that a check raised."""
    told = _("Check not met: %(words)s", words=words)
    return f"{told}\n{note}" if note else told


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
