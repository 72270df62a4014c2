"""Filters and small helpers that every page's template may use."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from siteapp.web.figures import in_other_unit

if TYPE_CHECKING:
    from jinja2 import Environment

NARROW_SPACE = "\u202f"


def install(environment: Environment) -> None:
    """Add the filters to a template environment."""
    environment.filters["when"] = when
    environment.filters["clock"] = clock
    environment.filters["figure"] = figure
    environment.filters["grouped"] = grouped
    environment.filters["other_unit"] = in_other_unit


def when(instant: datetime | None) -> str:
    """An instant in this laptop's own time zone, to the minute: `25 Nov 2026 14:35`."""
    if instant is None:
        return ""
    local = instant.astimezone()
    return f"{local.day} {local:%b %Y %H:%M}"


def clock(instant: datetime) -> str:
    """An instant of today as its time of day, `14:35`; of another day as `when` has it."""
    local = instant.astimezone()
    return f"{local:%H:%M}" if local.date() == datetime.now().astimezone().date() else when(instant)


def figure(value: float | None, places: int = 1) -> str:
    """A number with at most `places` decimals, no trailing zeros, thousands set apart."""
    if value is None:
        return ""
    text = f"{value:,.{places}f}".replace(",", NARROW_SPACE)
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def grouped(number: str) -> str:
    """A piece number in two groups of four: `K7QX-M2TR`."""
    return f"{number[:4]}-{number[4:]}"
