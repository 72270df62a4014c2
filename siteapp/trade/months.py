"""Counting months on the calendar, for dates that come round."""

from __future__ import annotations

import calendar
from datetime import MAXYEAR, date

from siteapp.trade.errors import TradeError

MOST_MONTHS = 600


def months_later(day: date, months: int) -> date:
    """Give the day `months` (1 to 600) calendar months after `day`.

    It is the same day of the month, or the last day of a month that is too short for it: 31 January and one month is
    28 or 29 February. Assumption: each date is counted from the day the work was done, so a date once moved to a
    shorter month's end stays on that day afterwards. Source: our own rule, the one that PostgreSQL's `date + interval`
    follows too. Raises TradeError for months outside the range, and when the calendar ends (year 9999).
    """
    if isinstance(months, bool) or not isinstance(months, int) or not 1 <= months <= MOST_MONTHS:
        message = f"months are {months!r}; allowed is a whole number from 1 to {MOST_MONTHS}"
        raise TradeError(message)
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    if year > MAXYEAR:
        message = f"{months} months after {day.isoformat()} is past the year {MAXYEAR}"
        raise TradeError(message)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))
