"""Calendar files against RFC 5545, its examples (section 3.8.5.3, from memory) and two libraries that read them.

icalendar reads the file back; dateutil works out what a rule means. That dateutil follows the RFC is shown first, by
the RFC's own examples.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st

from siteapp.aftercare.calendar import calendar_file, rule
from siteapp.aftercare.models import CareDate
from siteapp.aftercare.state import CareNow
from siteapp.store.models import Entry
from siteapp.store.revisions import Version
from siteapp.trade.months import months_later

STAMP = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("begins", "said", "days"),
    [
        # "Monthly on the 2nd and 15th of the month for 10 occurrences"
        (
            datetime(1997, 9, 2, 9, tzinfo=UTC),
            "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=2,15",
            ["9/2", "9/15", "10/2", "10/15", "11/2", "11/15", "12/2", "12/15", "1/2", "1/15"],
        ),
        # "Monthly on the first and last day of the month for 10 occurrences"
        (
            datetime(1997, 9, 30, 9, tzinfo=UTC),
            "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
            ["9/30", "10/1", "10/31", "11/1", "11/30", "12/1", "12/31", "1/1", "1/31", "2/1"],
        ),
        # "Every 18 months on the 10th thru 15th of the month for 10 occurrences"
        (
            datetime(1997, 9, 10, 9, tzinfo=UTC),
            "FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15",
            ["9/10", "9/11", "9/12", "9/13", "9/14", "9/15", "3/10", "3/11", "3/12", "3/13"],
        ),
        # An invalid date such as 30 February is ignored
        (
            datetime(2007, 1, 15, 9, tzinfo=UTC),
            "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
            ["1/15", "1/30", "2/15", "3/15", "3/30"],
        ),
        # "The third instance into the month of one of Tuesday, Wednesday, or Thursday, for the next 3 months"
        (
            datetime(1997, 9, 4, 9, tzinfo=UTC),
            "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3",
            ["9/4", "10/7", "11/6"],
        ),
        # "The second-to-last weekday of the month" (its first seven)
        (
            datetime(1997, 9, 29, 9, tzinfo=UTC),
            "FREQ=MONTHLY;COUNT=7;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2",
            ["9/29", "10/30", "11/27", "12/30", "1/29", "2/26", "3/30"],
        ),
    ],
)
def test_the_reference_library_follows_the_examples_of_the_standard(begins, said, days) -> None:
    assert [f"{one.month}/{one.day}" for one in rrulestr(said, dtstart=begins)] == days


def repeated(day: date, months: int, count: int) -> list[date]:
    said = rule(day, months).to_ical().decode()
    begins = datetime(day.year, day.month, day.day, tzinfo=UTC)
    found = []
    for one in rrulestr(said, dtstart=begins):
        found.append(one.date())
        if len(found) == count:
            break
    return found


@given(st.dates(date(2020, 1, 1), date(2060, 12, 31)), st.integers(1, 120))
def test_a_rule_comes_round_as_months_are_counted_here(day: date, months: int) -> None:
    expected = [day, *(months_later(day, months * turn) for turn in (1, 2, 3) if months * turn <= 600)]
    assert repeated(day, months, len(expected)) == expected


def test_a_month_without_that_day_is_not_left_out() -> None:
    # By RFC 5545 alone the 31st would leave out every shorter month.
    assert repeated(date(2027, 1, 31), 1, 4) == [
        date(2027, 1, 31),
        date(2027, 2, 28),
        date(2027, 3, 31),
        date(2027, 4, 30),
    ]
    assert repeated(date(2028, 2, 29), 12, 3) == [date(2028, 2, 29), date(2029, 2, 28), date(2030, 2, 28)]


@dataclass(frozen=True)
class Told:
    what: str
    due_on: date | None
    every_months: int | None = None
    done_on: date | None = None

    def care(self) -> CareNow:
        entry = Entry(id="4b3a9b0e-6a7c-4f9e-9e5e-0d4f7f6c1a11", recorded_at=STAMP)
        said = CareDate(what=self.what, due_on="2026-01-01", every_months=self.every_months, dropped=False)
        return CareNow(Version(entry, said, (), ()), self.due_on, self.done_on)


def made(*told: Told, link: str | None = "https://reed.example/p/K7QXM2TR") -> bytes:
    return calendar_file(
        [("K7QXM2TR", "Godwits, dunlins; and a \\ in the name", link, one.care()) for one in told],
        name="Care",
        stamp=STAMP,
    )


def test_the_file_is_read_back_as_it_was_meant() -> None:
    data = made(Told("Look over nuts, joints\nand face", date(2027, 1, 31), 24, date(2025, 1, 31)), Told("Done", None))
    (event,) = icalendar.Calendar.from_ical(data).walk("VEVENT")
    assert str(event["SUMMARY"]) == "Look over nuts, joints\nand face – Godwits, dunlins; and a \\ in the name"
    assert event["DTSTART"].dt == date(2027, 1, 31)
    assert event["DTEND"].dt == date(2027, 2, 1)
    assert event["DTSTAMP"].dt == STAMP
    assert event["RRULE"]["FREQ"] == ["MONTHLY"]
    assert event["RRULE"]["INTERVAL"] == [24]
    assert str(event["URL"]) == "https://reed.example/p/K7QXM2TR"
    assert "Last done on 2025-01-31." in str(event["DESCRIPTION"])
    (alarm,) = event.walk("VALARM")
    assert alarm["TRIGGER"].dt == timedelta(days=-7)


def test_its_lines_are_as_the_standard_has_them() -> None:
    # RFC 5545, 3.1: lines end with CR LF and are folded at 75 octets; 3.6: these properties are required.
    data = made(Told("Ä" * 200, date(2027, 3, 4)))
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert max(len(line) for line in data.split(b"\r\n")) <= 75
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")
    for needed in (
        b"VERSION:2.0",
        b"PRODID:",
        b"UID:4b3a9b0e-6a7c-4f9e-9e5e-0d4f7f6c1a11",
        b"DTSTAMP:20261125T093000Z",
    ):
        assert needed in data
    assert b"DTSTART;VALUE=DATE:20270304" in data
    (event,) = icalendar.Calendar.from_ical(data).walk("VEVENT")
    assert str(event["SUMMARY"]).startswith("Ä" * 200)


def test_words_that_would_begin_a_line_of_their_own_do_not() -> None:
    data = made(Told("dust\r\nATTENDEE:mailto:x@example.org\r\nEND:VEVENT", date(2027, 3, 4)), link=None)
    calendar = icalendar.Calendar.from_ical(data)
    (event,) = calendar.walk("VEVENT")
    assert "ATTENDEE" not in event
    assert "URL" not in event
