"""How a line's limits are said."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

from siteapp.checks.calculations import known
from siteapp.web.figures import typed_again, written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Mapping

    from siteapp.checks.state import Answer
    from siteapp.checks.verdicts import Limits
    from siteapp.web.i18n import Lazy

    class Limited(Limits, Protocol):
        """A line with limits in a unit."""

        @property
        def quantity(self) -> str | None: ...  # noqa: D102 - said above

        @property
        def unit(self) -> str | None: ...  # noqa: D102 - said above


FIGURE_PLACES = 2


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


def answered(said: Answer) -> str:
    """An answer in a few words: `not met, 0.5 kN`."""
    spoken = {"met": _("met"), "not met": _("not met"), "cannot tell": _("cannot tell")}[said.said]
    told = f"{spoken}, {said.measured}" if said.measured else spoken
    if said.calculation:
        told = _("%(told)s, worked out", told=told)
    return _("%(told)s; taken back", told=told) if said.taken_back else told


def facts(said: Answer) -> list[tuple[str, str]]:
    """What an answer was worked out from and what it came to: what, and the value with its unit."""
    calculation = known((said.calculation or "").partition(" ")[0])
    figures = calculation.figures if calculation else {}
    return [_fact(figures, name, value) for told in (said.inputs, said.outcome) for name, value in told.items()]


def told(said: Answer) -> str:
    """The figures that belong beside an answer that was worked out, one a line; empty for an answer by hand."""
    calculation = known((said.calculation or "").partition(" ")[0])
    if calculation is None:
        return ""
    values = {**said.inputs, **said.outcome}
    known_here = [_fact(calculation.figures, name, values[name]) for name in calculation.told if values.get(name)]
    return "\n".join(f"{label}: {value}" for label, value in known_here)


def worked_out_by(said: Answer) -> str:
    """What worked an answer out, in words, with its version as it was kept."""
    name, _blank, version = (said.calculation or "").partition(" ")
    calculation = known(name)
    what = str(calculation.by) if calculation else name
    return _("%(what)s, version %(version)s", what=what, version=version.split()[-1].strip("()"))


def _fact(figures: Mapping[str, tuple[Lazy, str]], name: str, value: Any) -> tuple[str, str]:
    label, unit = figures.get(name, (name, ""))
    if isinstance(value, bool):
        return str(label), _("yes") if value else _("no")
    if isinstance(value, int | float):
        return str(label), f"{written(value, FIGURE_PLACES)} {unit}".rstrip()
    if isinstance(value, list):
        return str(label), "; ".join(str(one) for one in value)
    return str(label), _("not known") if value is None else _(str(value))


def snag(words: str, note: str | None) -> str:
    """What a snag says that a check raised."""
    told = _("Check not met: %(words)s", words=words)
    return f"{told}\n{note}" if note else told


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
