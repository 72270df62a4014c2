"""Months held against another program's calendar: PostgreSQL adds an interval of months to a date."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import text

from siteapp.trade.months import months_later
from tests.support import databases as kinds

if TYPE_CHECKING:
    from pathlib import Path

    from tests.support.databases import Databases


def test_months_are_counted_as_postgresql_counts_them(databases: Databases, tmp_path: Path) -> None:
    """Computed with PostgreSQL: every third day of four years, one of them a leap year, and up to fifty years."""
    asked = "SELECT (CAST(:day AS date) + CAST(:months AS int) * interval '1 month')::date"
    with (
        databases.fresh(kinds.POSTGRESQL, tmp_path / "data") as settings,
        kinds.opened(settings) as store,
        store.read() as session,
    ):
        for number in range(0, 1461, 3):
            day = date(2023, 1, 1) + timedelta(days=number)
            for months in (1, 2, 13, 24, 600):
                assert months_later(day, months) == session.scalar(text(asked), {"day": day, "months": months})


def test_months_from_the_ends_of_months_by_hand() -> None:
    # Worked out by hand on a calendar.
    for day, months, later in (
        ("2026-01-31", 1, "2026-02-28"),
        ("2024-01-31", 1, "2024-02-29"),
        ("2024-02-29", 12, "2025-02-28"),
        ("2024-02-29", 48, "2028-02-29"),
        ("2026-08-31", 6, "2027-02-28"),
        ("2026-05-31", 1, "2026-06-30"),
        ("2026-11-25", 24, "2028-11-25"),
    ):
        assert months_later(date.fromisoformat(day), months).isoformat() == later
