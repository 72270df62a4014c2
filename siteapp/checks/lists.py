"""The check lists that ship with the program, one TOML file a stage.

A file says:

    stage   which stage of the journey the list belongs to
    name    what the list is called
    line    one table a check, in working order:
        key       short name that never changes: small letters, digits, hyphens
        words     what is to be true or done
        why       why it matters, and where a limit comes from
        hold      true for a hold point: the work stops until it is met (false if left out)
        photo     true when it can be met only with a photo (false if left out)
        reading   a table when a figure is asked for: quantity, unit, low and/or high (all limits included)

Nothing else may stand there. A mistake is refused by file, line and field, so that no check is silently lost.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from siteapp.store.errors import StoreError

FOLDER = Path(__file__).with_suffix("")
STAGES = ("fixed",)  # stages of the journey that have a list, in their order
LONGEST_KEY = 40
LONGEST_WORDS = 1000
LARGEST_LIMIT = 1_000_000
_KEY = re.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*")
_LIST_FIELDS = {"stage", "name", "line"}
_LINE_FIELDS = {"key", "words", "why", "hold", "photo", "reading"}
_READING_FIELDS = {"quantity", "unit", "low", "high"}


class ListProblem(StoreError):
    """A check list's file cannot be used; the message names the file, the line and the field."""


@dataclass(frozen=True)
class Reading:
    """A figure that a check asks for. `low` and `high` are in `unit`, both included; at least one is given."""

    quantity: str
    unit: str
    low: float | None
    high: float | None


@dataclass(frozen=True)
class Line:
    """One check."""

    key: str
    words: str
    why: str
    hold: bool
    photo: bool
    reading: Reading | None


@dataclass(frozen=True)
class ListFile:
    """A check list as its file has it; `digest` is the SHA-256 of the file's bytes."""

    stage: str
    name: str
    lines: tuple[Line, ...]
    digest: str


def load(stage: str, folder: Path = FOLDER) -> ListFile:
    """The list of one stage, from `<stage>.toml` in `folder`. Raises ListProblem when it cannot be used."""
    file = folder / f"{stage}.toml"
    try:
        data = file.read_bytes()
    except OSError as error:
        raise ListProblem(_told(file.name, "", f"cannot be read ({error.strerror})")) from error
    found = read(data, file.name)
    if found.stage != stage:
        raise ListProblem(_told(file.name, "stage", f"is “{found.stage}”; the file's name says “{stage}”"))
    return found


def read(data: bytes, name: str) -> ListFile:
    """Read the bytes of a list's file. `name` stands for the file in messages. Raises ListProblem."""
    try:
        said = tomllib.loads(data.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ListProblem(_told(name, "", f"is not TOML in UTF-8: {error}")) from error
    _refuse_unknown(name, "", said, _LIST_FIELDS)
    rows = said.get("line")
    if not isinstance(rows, list) or not rows or not all(isinstance(row, dict) for row in rows):
        raise ListProblem(_told(name, "line", "must be one table or more, each begun with [[line]]"))
    lines = tuple(_line(name, number, row) for number, row in enumerate(rows, start=1))
    _refuse_twins(name, lines)
    return ListFile(
        stage=_words(name, "stage", said.get("stage")),
        name=_words(name, "name", said.get("name")),
        lines=lines,
        digest=hashlib.sha256(data).hexdigest(),
    )


def _line(name: str, number: int, row: dict[str, Any]) -> Line:
    where = f"line {number}"
    key = _words(name, f"{where}, key", row.get("key"))
    if not _KEY.fullmatch(key) or len(key) > LONGEST_KEY:
        wanted = f"is “{key}”; allowed are small letters, digits and hyphens, at most {LONGEST_KEY}"
        raise ListProblem(_told(name, f"{where}, key", wanted))
    where = f"line {number} ({key}), "
    _refuse_unknown(name, where, row, _LINE_FIELDS)
    return Line(
        key=key,
        words=_words(name, f"{where}words", row.get("words")),
        why=_words(name, f"{where}why", row.get("why")),
        hold=_flag(name, f"{where}hold", row.get("hold", False)),
        photo=_flag(name, f"{where}photo", row.get("photo", False)),
        reading=_reading(name, f"{where}reading", row["reading"]) if "reading" in row else None,
    )


def _reading(name: str, where: str, table: object) -> Reading:
    if not isinstance(table, dict):
        raise ListProblem(_told(name, where, "must be a table with quantity, unit and low or high"))
    _refuse_unknown(name, f"{where}.", table, _READING_FIELDS)
    low = _limit(name, f"{where}.low", table.get("low"))
    high = _limit(name, f"{where}.high", table.get("high"))
    # A figure without a limit decides nothing, so met could not be told from not met.
    if low is None and high is None:
        raise ListProblem(_told(name, where, "needs a limit: low, high or both"))
    if low is not None and high is not None and low > high:
        raise ListProblem(_told(name, f"{where}.low", f"is {low:g}, above high, which is {high:g}"))
    return Reading(
        quantity=_words(name, f"{where}.quantity", table.get("quantity")),
        unit=_words(name, f"{where}.unit", table.get("unit")),
        low=low,
        high=high,
    )


def _words(name: str, where: str, value: object) -> str:
    if value is None:
        raise ListProblem(_told(name, where, "is missing"))
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST_WORDS:
        raise ListProblem(_told(name, where, f"must be text of 1 to {LONGEST_WORDS} characters"))
    return value.strip()


def _flag(name: str, where: str, value: object) -> bool:
    if not isinstance(value, bool):
        raise ListProblem(_told(name, where, f"is {value!r}; allowed is true or false"))
    return value


def _limit(name: str, where: str, value: object) -> float | None:
    if value is None:
        return None
    # Held against a bound and not against isfinite, which itself fails on a whole number past a double's range.
    if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= LARGEST_LIMIT:
        return float(value)
    raise ListProblem(_told(name, where, f"is {value!r}; allowed is a number within ±{LARGEST_LIMIT:,}"))


def _refuse_unknown(name: str, where: str, table: dict[str, Any], known: set[str]) -> None:
    for field in table:
        if field not in known:
            raise ListProblem(_told(name, f"{where}{field}", f"is not known; known are {', '.join(sorted(known))}"))


def _refuse_twins(name: str, lines: tuple[Line, ...]) -> None:
    seen: dict[str, int] = {}
    for number, line in enumerate(lines, start=1):
        if line.key in seen:
            raise ListProblem(_told(name, f"line {number}, key", f"“{line.key}” is line {seen[line.key]}'s already"))
        seen[line.key] = number


def _told(name: str, where: str, what: str) -> str:
    return f"Check list {name}{', ' if where else ''}{where} {what}."
