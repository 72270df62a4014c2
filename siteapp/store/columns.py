"""Typed columns, named once and reused by every room.

A value that comes back from the database differently than it went in would break its digest, so each type refuses
what SQLite or PostgreSQL would change: NaN (SQLite keeps it as NULL), infinities, NUL (PostgreSQL refuses it), lone
surrogates, whole numbers of 2^53 and more (JSON numbers are doubles, RFC 7493 section 2.2). SQLite's STRICT
tables take only its own type names, hence the variants.
"""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime
from typing import Annotated, Any
from uuid import UUID

from sqlalchemy import REAL, BigInteger, Boolean, Dialect, Double, Integer, Text
from sqlalchemy.orm import mapped_column
from sqlalchemy.types import TypeDecorator

from siteapp.store.errors import BadValue

LARGEST_WHOLE = 2**53 - 1
_DIGEST = re.compile("[0-9a-f]{64}")
_INSTANT_FORMAT = "%Y-%m-%dT%H:%M:%S.%fZ"


def check_words(value: str) -> str:
    """Return `value` if both databases give it back unchanged, else raise BadValue."""
    if "\x00" in value:
        message = "text holds a NUL character, which cannot be kept"
        raise BadValue(message)
    try:
        value.encode("utf-8")
    except UnicodeEncodeError as error:
        message = "text holds half of a character pair, which cannot be kept"
        raise BadValue(message) from error
    return value


class WordsType(TypeDecorator[str]):
    """Text of any length, given back character for character."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect | None) -> str | None:
        """Refuse what would not come back the same."""
        if value is None:
            return None
        if not isinstance(value, str):
            message = f"text expected, got {type(value).__name__}"
            raise BadValue(message)
        return check_words(value)


class FigureType(TypeDecorator[float]):
    """A finite double; both databases give its 64 bits back (but for the sign of zero, which RFC 8785 drops too)."""

    impl: Any = Double().with_variant(REAL(), "sqlite")
    cache_ok = True

    def process_bind_param(self, value: float | None, dialect: Dialect | None) -> float | None:
        """Refuse NaN and infinities."""
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            message = f"a number expected, got {type(value).__name__}"
            raise BadValue(message)
        if not math.isfinite(value):
            message = f"{value} is not a number that can be kept"
            raise BadValue(message)
        return float(value) + 0.0


class WholeType(TypeDecorator[int]):
    """A whole number within ±(2^53 − 1)."""

    impl = BigInteger().with_variant(Integer(), "sqlite")
    cache_ok = True

    def process_bind_param(self, value: int | None, dialect: Dialect | None) -> int | None:
        """Refuse what a JSON number cannot carry exactly."""
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int):
            message = f"a whole number expected, got {type(value).__name__}"
            raise BadValue(message)
        if abs(value) > LARGEST_WHOLE:
            message = f"{value} is past ±(2^53 − 1) and cannot be kept exactly"
            raise BadValue(message)
        return value


class FlagType(TypeDecorator[bool]):
    """Yes or no."""

    impl = Boolean(create_constraint=False).with_variant(Integer(), "sqlite")
    cache_ok = True

    def process_bind_param(self, value: bool | None, dialect: Dialect | None) -> bool | None:  # noqa: FBT001 - the value itself
        """Refuse anything but True and False."""
        if value is None or isinstance(value, bool):
            return value
        message = f"yes or no expected, got {value!r}"
        raise BadValue(message)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> bool | None:
        """SQLite keeps it as 0 or 1."""
        return None if value is None else bool(value)


def instant_text(value: datetime) -> str:
    """Write an aware instant as fixed-width UTC text, so that it sorts and hashes the same everywhere."""
    if value.tzinfo is None:
        message = "an instant without a time zone cannot be kept"
        raise BadValue(message)
    # strftime does not pad years before 1000 on every platform.
    return value.astimezone(UTC).strftime(_INSTANT_FORMAT).rjust(27, "0")


def parse_instant(text: str) -> datetime:
    """Read what `instant_text` wrote."""
    return datetime.strptime(text, _INSTANT_FORMAT).replace(tzinfo=UTC)


class InstantType(TypeDecorator[datetime]):
    """An instant as `2026-03-01T09:30:00.000000Z`."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect | None) -> str | None:
        """Write it as text."""
        return None if value is None else instant_text(value)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """Read it back."""
        return None if value is None else parse_instant(value)


class IdType(TypeDecorator[str]):
    """A UUID in its canonical lower-case text form."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect | None) -> str | None:
        """Refuse anything that is not the canonical form: two spellings of one id would be two rows."""
        if value is None:
            return None
        try:
            canonical = str(UUID(value))
        except (ValueError, AttributeError, TypeError) as error:
            message = f"{value!r} is not an id"
            raise BadValue(message) from error
        if canonical != value:
            message = f"{value!r} is not an id in its canonical form"
            raise BadValue(message)
        return value


class DigestType(TypeDecorator[str]):
    """A SHA-256 as 64 lower-case hexadecimal digits."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect | None) -> str | None:
        """Refuse anything else: a photo's name on disk is its digest."""
        if value is None or _DIGEST.fullmatch(value):
            return value
        message = f"{value!r} is not a SHA-256 in lower-case hexadecimal"
        raise BadValue(message)


Id = Annotated[str, mapped_column(IdType)]
Digest = Annotated[str, mapped_column(DigestType)]
Words = Annotated[str, mapped_column(WordsType)]
Figure = Annotated[float, mapped_column(FigureType)]
Whole = Annotated[int, mapped_column(WholeType)]
Instant = Annotated[datetime, mapped_column(InstantType)]
Flag = Annotated[bool, mapped_column(FlagType)]
