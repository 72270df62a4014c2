"""The one error of this room, and the check that numbers are numbers."""

from __future__ import annotations

import math

MET = "met"
NOT_MET = "not met"
CANNOT_TELL = "cannot tell"


class TradeError(ValueError):
    """An input that cannot be worked with; the message names the quantity, its value, unit and allowed range."""


def in_range(
    quantity: str,
    value: float,
    low: float,
    high: float,
    unit: str,
    *,
    above_low: bool = False,
) -> float:
    """Return `value` when it is a finite number from `low` to `high` in `unit` (above `low` with `above_low`).

    Raises TradeError otherwise; NaN, infinity and True are bad input like any other.
    """
    is_number = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    if not is_number or value > high or value < low or (above_low and value == low):
        first = f"above {low:g}" if above_low else f"from {low:g}"
        message = f"{quantity} is {value!r}; allowed is a number {first} to {high:g} {unit}".rstrip()
        raise TradeError(message)
    return float(value)
