"""The one error of this room, and the check that numbers are numbers."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

SHOWN_CHARACTERS = 40


class TradeError(ValueError):
    """An input that cannot be worked with; the message names the quantity, its value, unit and allowed range."""


def in_range(quantity: str, value: float, low: float, high: float, unit: str, *, above_low: bool = False) -> float:
    """Return `value` when it is a finite number from `low` to `high` in `unit` (above `low` with `above_low`).

    Raises TradeError otherwise; NaN, infinity, True and what is no number at all are bad input like any other.
    """
    if _is_number(value) and (low < value if above_low else low <= value) and value <= high:
        return float(value)
    first = f"above {low:g}" if above_low else f"from {low:g}"
    message = f"{quantity} is {_shown(value)} {unit}; allowed is a number {first} to {high:g} {unit}"
    raise TradeError(message)


def whole_in_range(quantity: str, value: float, low: int, high: int, unit: str) -> int:
    """Return `value` when it is a whole number from `low` to `high` in `unit`; raises TradeError otherwise."""
    if in_range(quantity, value, low, high, unit) == int(value):
        return int(value)
    message = f"{quantity} is {_shown(value)} {unit}; allowed is a whole number from {low} to {high} {unit}"
    raise TradeError(message)


def one_of(quantity: str, said: object, allowed: Collection[str]) -> None:
    """Raise TradeError, with what is allowed, when `said` is none of the words."""
    if said not in allowed:
        message = f"{quantity} is {_shown(said)}; allowed is one of {', '.join(allowed)}"
        raise TradeError(message)


def _is_number(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return isinstance(value, int) or math.isfinite(value)


def _shown(value: object) -> str:
    try:
        text = repr(value)
    except ValueError:
        # Python will not write out an integer of thousands of digits.
        return "a number too long to show"
    return text if len(text) <= SHOWN_CHARACTERS else f"{text[:SHOWN_CHARACTERS]}…"
