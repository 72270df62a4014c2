"""A temperature of air or of a wall that reads like °F is asked back, since both are numbers that a form takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.trade.climate import celsius, perhaps_fahrenheit
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable

    from siteapp.web.fields import Figure, Tick


def ask_back(fields: Iterable[Figure], sure: Tick) -> None:
    """Refuse each figure (°C) that reads like °F, unless `sure` is ticked or a unit was typed behind it."""
    for field in fields:
        value = field.data
        if value is None or field.errors or sure.data or field.read_as or not perhaps_fahrenheit(value):
            continue
        message = _(
            "%(label)s: “%(typed)s” reads like °F, which would be %(celsius)s °C. Put it right, or tick that it is °C.",
            label=field.label.text,
            typed=field.shown,
            celsius=f"{celsius(value):.0f}",
        )
        field.refuse(message)
