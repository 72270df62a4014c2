"""A logger's file, or pasted lines, read into columns of (minutes from lighting, °C). Knows no form and no database.

Takes commas, semicolons, tabs or spaces between columns, decimal commas and points, header lines, times as minutes,
seconds or hours since the log began, as clock times that may run over midnight, or as dates with times.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from siteapp.trade.heat.fitting import COLDEST_C, HOTTEST_C, LONGEST_MIN
from siteapp.web.dates import NotADate, read_day
from siteapp.web.i18n import _

READER = "heat_log 1"
LARGEST_BYTES = 900_000  # with the rest of its form below what a page may send (web.security)
MOST_LINES = 50_000
MOST_COLUMNS = 12
NAMED_LINES = 12  # left-out lines that are named one by one
NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?")
SLASHED = re.compile(r"\d{1,2}/\d{1,2}/\d{2,4}")
UNIT = re.compile(r"\s*°?\s*[cf]$", re.IGNORECASE)
FAHRENHEIT = re.compile(r"°\s*f\b|\bdeg\.?\s*f\b|[(\[]\s*f\s*[)\]]|fahrenheit", re.IGNORECASE)
SECONDS = re.compile(r"\b(s|sec|secs|seconds?)\b", re.IGNORECASE)
HOURS = re.compile(r"\b(h|hrs?|hours?)\b", re.IGNORECASE)
HALF_A_DAY = timedelta(hours=12)
ELAPSED, CLOCK_TIMES, DATED = "elapsed", "clock", "dated"


class Unreadable(ValueError):
    """The file holds nothing that can be read; the message says why, for a person."""


@dataclass(frozen=True)
class Column:
    """One column of temperatures, as its header calls it, with its points in order of the file."""

    name: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Log:
    """What was read: its columns, lines left out in words, how its times were read, whether a header says °F."""

    columns: tuple[Column, ...]
    left_out: tuple[str, ...]
    times: str
    fahrenheit: tuple[str, ...]


def text_of(data: bytes) -> str:
    """The text of a file, whichever of the usual encodings it is in. Raises Unreadable when it is too large."""
    if len(data) > LARGEST_BYTES:
        raise Unreadable(
            _("The file has more than %(most)s bytes. Give a part of it.", most=f"{LARGEST_BYTES:,}".replace(",", " "))
        )
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def read_log(text: str, *, lit_at: datetime, first_minutes: float = 0.0, fahrenheit: bool = False) -> Log:
    """Read a log. `lit_at` is when the fire was lit, on this laptop's clock; `first_minutes` is added to elapsed times.

    `fahrenheit` says that the figures are °F, and converts them. Raises Unreadable when nothing is left to read, for
    too many lines or columns, and for dates with slashes, which are read in two ways.
    """
    lines = [(number, line.strip()) for number, line in enumerate(text.replace("\0", "").splitlines(), 1)]
    lines = [(number, line) for number, line in lines if line]
    if not lines:
        raise Unreadable(_("There is nothing in it."))
    if len(lines) > MOST_LINES:
        raise Unreadable(_("It has %(count)s lines. Give at most %(most)s.", count=len(lines), most=MOST_LINES))
    reader = _Reader(_splitter([line for _number, line in lines]), lit_at, first_minutes, fahrenheit=fahrenheit)
    for number, line in lines:
        reader.take(number, line)
    return reader.log()


def _splitter(lines: list[str]) -> str:
    """What stands between columns: the sign that most lines have; spaces where a comma is a decimal one."""
    some = lines[:: max(1, len(lines) // 200)]
    for sign in (";", "\t"):
        if sum(sign in line for line in some) * 2 > len(some):
            return sign
    # "14:05 61,5 48,0" is three columns with decimal commas; "0,20.5,21" is three columns too.
    spaced = [line.split() for line in some]
    if sum(len(parts) > 1 and all(_looks(part) for part in parts) for parts in spaced) * 2 > len(some):
        return " "
    return ","


def _looks(part: str) -> bool:
    return bool(NUMBER.fullmatch(part) or CLOCK.fullmatch(part) or _day(part))


def _day(part: str) -> date | None:
    if SLASHED.fullmatch(part):
        raise Unreadable(
            _("Dates such as “%(date)s” are read in two ways. Write the year first, or leave the date out.", date=part)
        )
    try:
        return read_day(part)
    except NotADate:
        return None


class _Reader:
    def __init__(self, sign: str, lit_at: datetime, first_minutes: float, *, fahrenheit: bool) -> None:
        self.sign, self.lit_at, self.first = sign, lit_at, first_minutes
        self.fahrenheit = fahrenheit
        self.header: list[str] = []
        self.columns: list[list[tuple[float, float]]] = []
        self.left_out: list[str] = []
        self.skipped = 0
        self.before: datetime | None = None
        self.times = ""
        self.lead = 1  # columns that hold the time

    def take(self, number: int, line: str) -> None:
        parts = line.split() if self.sign == " " else [part.strip().strip('"') for part in line.split(self.sign)]
        at = self._time(parts)
        values = [self._value(part) for part in parts[self.lead :]] if at is not None else []
        if at is None or all(value is None for value in values):
            if not self.columns and not self.header:
                self.header = parts
            else:
                self._skip(number, line)
            return
        if not 0 <= at <= LONGEST_MIN:
            self._skip(number, line)
            return
        if len(values) > MOST_COLUMNS:
            raise Unreadable(
                _("It has %(count)s columns. Give at most %(most)s.", count=len(values), most=MOST_COLUMNS)
            )
        while len(self.columns) < len(values):
            self.columns.append([])
        for column, value in zip(self.columns, values, strict=False):
            if value is not None:
                column.append((round(at, 4), value))

    def log(self) -> Log:
        if not any(self.columns):
            raise Unreadable(_("No line of it holds a time and a temperature."))
        names = self.header[self.lead :]
        told = [
            Column(
                names[place] if place < len(names) and names[place] else _("column %(n)s", n=place + 1), tuple(points)
            )
            for place, points in enumerate(self.columns)
        ]
        if self.skipped > NAMED_LINES:
            self.left_out.append(_("and %(count)s more lines", count=self.skipped - NAMED_LINES))
        marked = [one.name for one in told if FAHRENHEIT.search(one.name)]
        return Log(tuple(one for one in told if one.points), tuple(self.left_out), self.times, tuple(marked))

    def _skip(self, number: int, line: str) -> None:
        self.skipped += 1
        if self.skipped <= NAMED_LINES:
            self.left_out.append(_("line %(number)s: “%(line)s”", number=number, line=line[:40]))

    def _time(self, parts: list[str]) -> float | None:
        """Minutes from lighting; None where the line does not begin with a time."""
        first = parts[0]
        dated, _blank, clock = first.replace("T", " ").partition(" ")
        if clock and (day := _day(dated)) and (at := _clock(clock.strip())):
            return self._since(datetime.combine(day, at), DATED)
        if (day := _day(first)) and len(parts) > 1 and (at := _clock(parts[1])):
            self.lead = 2
            return self._since(datetime.combine(day, at), DATED)
        if at := _clock(first):
            return self._since(self._rolled(at), CLOCK_TIMES)
        if NUMBER.fullmatch(first):
            self.times = self.times or ELAPSED
            return float(first.replace(",", ".")) * self._per_unit() + self.first
        return None

    def _per_unit(self) -> float:
        """Minutes in one of what the header counts in."""
        words = self.header[0] if self.header else ""
        if SECONDS.search(words):
            return 1 / 60
        return 60.0 if HOURS.search(words) else 1.0

    def _rolled(self, at: time) -> datetime:
        """A clock time on the day that follows from the one before; half a day back is the next day."""
        near = self.before or self.lit_at.replace(tzinfo=None)
        told = datetime.combine(near.date(), at)
        if near - told > HALF_A_DAY:
            told += timedelta(days=1)
        elif told - near > HALF_A_DAY:
            told -= timedelta(days=1)
        self.before = told
        return told

    def _since(self, told: datetime, how: str) -> float:
        self.times = self.times or how
        return (told - self.lit_at.replace(tzinfo=None)).total_seconds() / 60

    def _value(self, part: str) -> float | None:
        plain = UNIT.sub("", part)
        if not NUMBER.fullmatch(plain):
            return None
        value = float(plain.replace(",", "."))
        value = (value - 32) / 1.8 if self.fahrenheit else value
        return round(value, 3) if COLDEST_C <= value <= HOTTEST_C else None


def _clock(text: str) -> time | None:
    found = CLOCK.fullmatch(text)
    if not found:
        return None
    try:
        return time(*(int(part or 0) for part in found.groups()))
    except ValueError:
        return None
