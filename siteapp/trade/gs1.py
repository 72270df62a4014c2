"""What a trade item's own code says: batch and dates by GS1's application identifiers, an open standard."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date

SEPARATOR = "\x1d"
FIXED = {"01": 14, "11": 6, "13": 6, "15": 6, "17": 6}
UP_TO = {"10": 20, "21": 20}
SOURCE = "GS1 General Specifications, application identifiers 01, 10, 11, 15 and 17 (from memory)"
HALF_A_CENTURY = 50


@dataclass(frozen=True)
class Item:
    """What was read; None for what the code does not say."""

    gtin: str | None = None
    batch: str | None = None
    made_on: date | None = None
    best_before: date | None = None
    expires_on: date | None = None


def parse_item(text: str, *, this_year: int) -> Item | None:
    """Read a code's text, with identifiers in brackets or as scanned with its separators; None for another text.

    A day of 00 is the last of its month; a year is the one nearest to `this_year`, at most 49 ahead. A GTIN whose check
    digit is wrong, a date that is none and a part that is cut off make it another text. Source: SOURCE.
    """
    pairs = _bracketed(text) if text.startswith("(") else _scanned(text)
    if not pairs:
        return None
    told = dict(pairs)
    if "01" in told and not check_digit_is_right(told["01"]):
        return None
    days: dict[str, date | None] = {}
    for key in ("11", "15", "17"):
        days[key] = _day(told[key], this_year) if key in told else None
        if key in told and days[key] is None:
            return None
    return Item(told.get("01"), told.get("10"), days["11"], days["15"], days["17"])


def check_digit_is_right(digits: str) -> bool:
    """Whether the last digit of a GTIN (8, 12 to 14 digits) is the one that its others give."""
    if not re.fullmatch(r"\d{8}|\d{12,14}", digits):
        return False
    total = sum(int(digit) * (3 if place % 2 else 1) for place, digit in enumerate(reversed(digits)))
    return total % 10 == 0


def _bracketed(text: str) -> list[tuple[str, str]]:
    parts = re.findall(r"\((\d{2,4})\)([^(]+)", text)
    whole = "".join(f"({key}){value}" for key, value in parts) == text
    return [(key, value) for key, value in parts if _fits(key, value)] if whole else []


def _scanned(text: str) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    rest = text.removeprefix("]C1").removeprefix("]d2").lstrip(SEPARATOR)
    while rest:
        key, rest = rest[:2], rest[2:]
        if key in FIXED:
            value, rest = rest[: FIXED[key]], rest[FIXED[key] :].lstrip(SEPARATOR)
        elif key in UP_TO:
            value, _sign, rest = rest.partition(SEPARATOR)
        else:
            return []
        if not _fits(key, value):
            return []
        found.append((key, value))
    return found


def _fits(key: str, value: str) -> bool:
    if key in FIXED:
        return len(value) == FIXED[key] and value.isascii() and value.isdigit()
    return key not in UP_TO or 1 <= len(value) <= UP_TO[key]


def _day(text: str, this_year: int) -> date | None:
    year = this_year - this_year % 100 + int(text[:2])
    if year - this_year >= HALF_A_CENTURY:
        year -= 100
    elif this_year - year > HALF_A_CENTURY:
        year += 100
    month, day = int(text[2:4]), int(text[4:6])
    if not 1 <= month <= 12:  # noqa: PLR2004 - months
        return None
    last = calendar.monthrange(year, month)[1]
    return date(year, month, day or last) if day <= last else None
