"""Months on the calendar: what always holds, and what cannot be asked."""

from __future__ import annotations

import calendar
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.trade.errors import TradeError
from siteapp.trade.months import months_later

DAYS = st.dates(date(1900, 1, 1), date(2199, 12, 31))
MONTHS = st.integers(1, 600)


@given(day=DAYS, months=MONTHS)
def test_a_date_is_so_many_months_on_and_never_past_that_month(day, months):
    later = months_later(day, months)
    assert (later.year - day.year) * 12 + later.month - day.month == months
    # The standard library's own calendar says how long a month is.
    last = calendar.monthrange(later.year, later.month)[1]
    assert later.day == day.day or (later.day == last < day.day)


@given(day=DAYS, one=MONTHS, other=MONTHS)
def test_more_months_are_never_earlier(day, one, other):
    assert (months_later(day, one) <= months_later(day, other)) == (one <= other)


@pytest.mark.parametrize("months", [0, -1, 601, 1.0, True, "3", None])
def test_months_out_of_range_are_refused(months):
    with pytest.raises(TradeError, match=r"allowed is a whole number from 1 to 600"):
        months_later(date(2026, 1, 31), months)


def test_the_end_of_the_calendar_is_refused():
    with pytest.raises(TradeError, match="past the year 9999"):
        months_later(date(9999, 12, 1), 1)
