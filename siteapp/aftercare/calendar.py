"""Care dates as a calendar file (iCalendar, RFC 5545) for the calendar that somebody uses anyway.

What comes round is counted from the day it was done, so a rule that repeats is a forecast: a calendar made again after
a visit gives the days as they are then. The file holds no address and no client.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from icalendar import vRecur

    from siteapp.aftercare.state import CareNow

PRODUCT = "-//siteapp//care dates//EN"
REMIND = timedelta(days=-7)
MEDIA_TYPE = "text/calendar; charset=utf-8"
LAST_DAY_OF_ALL = 28  # that every month has


def calendar_file(dates: Iterable[tuple[str, str, str | None, CareNow]], *, name: str, stamp: datetime) -> bytes:
    """Make a calendar of care dates, each with its piece's number and title, and the lasting address of its page.

    `name` is the calendar's; `stamp` an aware instant, when it was made. Dates done for good are left out.
    """
    from icalendar import Alarm, Calendar, Event

    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    made.add("x-wr-calname", name)
    for number, title, link, care in dates:
        if care.due_on is None:
            continue
        event = Event()
        event.add("uid", care.version.first.id)
        event.add("dtstamp", stamp)
        event.add("sequence", len(care.version.earlier))
        event.add("dtstart", care.due_on)
        event.add("dtend", care.due_on + timedelta(days=1))
        event.add("summary", f"{care.said.what} – {title}")
        event.add("description", _description(number, care))
        event.add("transp", "TRANSPARENT")
        if link:
            event.add("url", link)
        if care.said.every_months:
            event.add("rrule", rule(care.due_on, care.said.every_months))
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", f"{care.said.what} – {title}")
        alarm.add("trigger", REMIND)
        event.add_component(alarm)
        made.add_component(event)
    return bytes(made.to_ical())


def rule(day: date, months: int) -> vRecur:
    """A rule that repeats every so many months from `day`, as `trade.months` counts them.

    RFC 5545 section 3.3.10 leaves out a month that has no such day; the last of several days that it does have is
    asked for instead, so that the 31st comes round on the 30th or the 28th.
    """
    from icalendar import vRecur

    parts: dict[str, object] = {"freq": "MONTHLY", "interval": months}
    if day.day > LAST_DAY_OF_ALL:
        parts |= {"bymonthday": list(range(LAST_DAY_OF_ALL, day.day + 1)), "bysetpos": -1}
    return vRecur(parts)


def _description(number: str, care: CareNow) -> str:
    lines = [_("Piece %(number)s", number=number)]
    if care.said.every_months:
        lines.append(_("Every %(months)s months, counted from the day it was done.", months=care.said.every_months))
    if care.done_on:
        lines.append(_("Last done on %(day)s.", day=care.done_on.isoformat()))
    return "\n".join(lines)
