"""A temperature of air or of a wall that reads like °F is asked back, since both are numbers that a form takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.trade.climate import celsius, perhaps_fahrenheit
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable

    from siteapp.web.fields import Figure, Tick


def ask_back(fields: Iterable[Figure], sure: Tick) -> None:
    """Refuse each figure (°C) that reads like °F, unless `sure` is ticked or a unit was typed behind it.

    One that was refused already, since no air is that warm, is told what it would be.
    """
    for field in fields:
        value = _typed(field) if field.errors else field.data
        if value is None or field.read_as or not perhaps_fahrenheit(value):
            continue
        told = {"label": field.label.text, "typed": field.shown, "celsius": f"{celsius(value):.0f}"}
        if field.errors:
            field.refuse(_("It reads like °F, which would be %(celsius)s °C.", **told))
        elif not sure.data:
            field.refuse(
                _(
                    "%(label)s: “%(typed)s” reads like °F, which would be %(celsius)s °C. Put it right, or tick that "
                    "it is °C.",
                    **told,
                )
            )


def _typed(field: Figure) -> float | None:
    """The number as typed; None for what is none, such as one with its unit."""
    try:
        return float(field.shown.strip().replace(",", "."))
    except ValueError:
        return None
