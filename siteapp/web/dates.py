"""Dates and times as people type them, or as a browser's own date field sends them."""

from __future__ import annotations

import re
import unicodedata
from datetime import UTC, date, datetime, time, timedelta

LONGEST = 40  # characters
# Which of two numbers is the month differs between countries, so a date with slashes is not guessed at.
ISO_DAY = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
POINTED_DAY = re.compile(r"(\d{1,2})\. ?(\d{1,2})\. ?(\d{4})")
WORDED_DAY = re.compile(r"(\d{1,2})\.? ([a-z]{3,9})\.? (\d{4})")
CLOCK = re.compile(r"(\d{1,2})[:.](\d{2})(?:[:.](\d{2})(?:\.\d{1,6})?)?")
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class NotADate(ValueError):
    """The text is no date, or no time of day, that everybody reads the same way."""


def read_day(text: str) -> date:
    """Read `2026-11-25`, `25.11.2026` or `25 Nov 2026`. Raises NotADate."""
    plain = _plain(text)
    if found := ISO_DAY.fullmatch(plain):
        year, month, day = found.groups()
    elif found := POINTED_DAY.fullmatch(plain):
        day, month, year = found.groups()
    elif found := WORDED_DAY.fullmatch(plain):
        day, name, year = found.groups()
        month = str(_month(name))
    else:
        raise NotADate(text)
    try:
        return date(int(year), int(month), int(day))
    except ValueError:
        raise NotADate(text) from None


def read_instant(text: str) -> datetime:
    """Read a day and a time of day in this laptop's time zone; returns UTC. Raises NotADate."""
    plain = _plain(text).replace("t", " ", 1) if ISO_DAY.match(_plain(text)) else _plain(text)
    day_text, _space, clock = plain.rpartition(" ")
    found = CLOCK.fullmatch(clock)
    if not found:
        raise NotADate(text)
    try:
        at = time(*(int(part or 0) for part in found.groups()))
        return datetime.combine(read_day(day_text.rstrip(",")), at).astimezone().astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        raise NotADate(text) from None


def read_device_instant(text: str | None) -> datetime | None:
    """Read the instant that a device sent with a form, ISO 8601 with its zone; None for anything else."""
    if not text or len(text) > LONGEST:
        return None
    try:
        told = datetime.fromisoformat(text.strip())
        return None if told.tzinfo is None else told.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def day_words(day: date) -> str:
    """A date that nobody reads the wrong way round: `25 Nov 2026`."""
    return f"{day.day} {NAMES[day.month - 1]} {day.year}"


def instant_words(instant: datetime) -> str:
    """An instant in this laptop's time zone: `25 Nov 2026 14:35`."""
    local = instant.astimezone()
    return f"{day_words(local.date())} {local:%H:%M}"


def today() -> date:
    """The day on this laptop."""
    return datetime.now().astimezone().date()


def now() -> datetime:
    """The instant, UTC."""
    return datetime.now(UTC)


def soon() -> datetime:
    """The latest instant that still counts as now: clocks differ by minutes (common practice, no source)."""
    return now() + timedelta(minutes=10)


def _plain(text: str) -> str:
    if len(text) > LONGEST:
        raise NotADate(text)
    digits = "".join(str(unicodedata.decimal(sign)) if sign.isdecimal() else sign for sign in text)
    return re.sub(r"\s+", " ", digits).strip().lower()


def _month(name: str) -> int:
    for number, start in enumerate(MONTHS, 1):
        if name.startswith(start):
            return number
    raise NotADate(name)
