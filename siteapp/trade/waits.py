"""Times of a data sheet by the surface's temperature, the window for the next coat, how long a tin keeps."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from siteapp.trade.climate import COLDEST_C, HOTTEST_SURFACE_C
from siteapp.trade.coating import INTERVAL_ASSUMPTIONS, INTERVAL_SOURCE, LONGEST_INTERVAL_H, interval_hours
from siteapp.trade.errors import TradeError, in_range, whole_in_range
from siteapp.trade.months import months_later

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date


MOST_ROWS = 12
MOST_MONTHS = 120


@dataclass(frozen=True)
class Table:
    """Rows of a data sheet: (surface °C, hours), warmer from row to row, and never longer when it is warmer.

    Raises TradeError for an empty or longer table, a row out of order, and figures outside −40…120 °C and 0…8760 h.
    """

    rows: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        if not 1 <= len(self.rows) <= MOST_ROWS:
            message = f"table of times has {len(self.rows)} rows; allowed is 1 to {MOST_ROWS}"
            raise TradeError(message)
        for number, (celsius, hours) in enumerate(self.rows, 1):
            in_range(f"row {number}: surface temperature", celsius, COLDEST_C, HOTTEST_SURFACE_C, "°C")
            in_range(f"row {number}: hours", hours, 0, LONGEST_INTERVAL_H, "h", above_low=True)
        for number, ((colder, longer), (warmer, shorter)) in enumerate(pairwise(self.rows), 2):
            if warmer <= colder:
                message = (
                    f"row {number}: surface temperature is {warmer:g} °C after {colder:g} °C; allowed is a warmer one"
                )
                raise TradeError(message)
            if shorter > longer:
                message = f"row {number}: hours are {shorter:g} h at {warmer:g} °C; allowed is at most {longer:g} h"
                raise TradeError(message)


@dataclass(frozen=True)
class Wait:
    """Hours by the data sheet at the surface's temperature; None with the reason why they are not known."""

    hours: float | None
    reason: str
    assumptions: tuple[str, ...] = INTERVAL_ASSUMPTIONS
    source: str = INTERVAL_SOURCE


def wait(table: Table | None, surface_c: float | None, *, single_hours: float | None = None) -> Wait:
    """Hours at `surface_c` (−40…120 °C) by the table, or the sheet's single figure where it has no table.

    Outside the table, or without a temperature, they are not known: the sheet says nothing there. Raises TradeError
    outside the ranges.
    """
    if table is None:
        if single_hours is None:
            return Wait(None, "the data sheet's hours are not given")
        hours = in_range("hours", single_hours, 0, LONGEST_INTERVAL_H, "h")
        return Wait(hours, "the data sheet gives one figure for every temperature")
    if surface_c is None:
        return Wait(None, "the surface's temperature was not read, and the data sheet goes by it")
    in_range("surface temperature", surface_c, COLDEST_C, HOTTEST_SURFACE_C, "°C")
    low, high = table.rows[0][0], table.rows[-1][0]
    if not low <= surface_c <= high:
        return Wait(None, f"the data sheet's table covers {low:g} to {high:g} °C; the surface is at {surface_c:g} °C")
    return Wait(interval_hours(table.rows, surface_c), f"at {surface_c:g} °C by the data sheet's table")


def best_before(
    *,
    printed: date | None = None,
    made_on: date | None = None,
    shelf_months: int | None = None,
    opened_on: date | None = None,
    opened_months: int | None = None,
) -> tuple[date | None, str]:
    """The day up to which a tin keeps, with how that is known; the earliest of what is known, None when nothing is.

    The date printed on it, the months of its shelf life from the day it was made, the months that an opened one keeps
    (1…120 each). Source: the tin and its data sheet.
    """
    known: list[tuple[date, str]] = []
    if printed is not None:
        known.append((printed, "as printed on the tin"))
    for begun, months, words in (
        (made_on, shelf_months, "{} months from the day it was made"),
        (opened_on, opened_months, "{} months from the day it was opened"),
    ):
        if months is not None:
            whole_in_range("months", months, 1, MOST_MONTHS, "months")
            if begun is not None:
                known.append((months_later(begun, months), words.format(months)))
    return min(known, default=(None, "neither the tin nor its sheet says how long it keeps"))


def table_of(rows: Sequence[tuple[float, float]]) -> Table | None:
    """A table of rows in the order of the sheet; None when there are none. Raises TradeError as `Table`."""
    return Table(tuple(rows)) if rows else None
