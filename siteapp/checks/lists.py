"""What a check list's file may say. A file is TOML; each field that it may have is described in `FIELDS`.

A mistake is refused by file, line and field, so that no check is silently lost.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from siteapp.checks import places
from siteapp.pieces.models import ON_POINTS, STANDS
from siteapp.store.errors import StoreError
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from collections.abc import Sequence

READY, ARRIVED, FIXED = "ready", "arrived", "fixed"
STAGES = (READY, ARRIVED, FIXED)  # stages of the journey that have lists, in their order
WEIGHED, SAFE_TO_UNWRAP = "weighed", "safe-to-unwrap"
STRENGTH, WALL, HOLES, LOADS, FORM_BACK = "strength", "wall", "holes", "loads", "form-back"
ANCHORS_SET, ANCHORS_PROVED, LIFT, ROUTE = "anchors-set", "anchors-proved", "lift", "route"
CLEARANCES = "clearances"
CALCULATIONS = (
    WEIGHED,
    SAFE_TO_UNWRAP,
    STRENGTH,
    WALL,
    HOLES,
    LOADS,
    FORM_BACK,
    ANCHORS_SET,
    ANCHORS_PROVED,
    LIFT,
    ROUTE,
    CLEARANCES,
)
LONGEST_KEY = 40
LONGEST_WORDS = 1000
MOST_LINES = 100
LARGEST_FILE = 200_000  # bytes
LARGEST_LIMIT = 1_000_000
KEY = re.compile("[a-z][a-z0-9]*(-[a-z0-9]+)*")
NOT_KEYS = {"open", "release", "work-out"}  # they stand in a check's place in the address of a page
_READING = ("quantity", "unit", "low", "high")

# Field and what it says; shown to whoever writes a list.
LIST_FIELDS = {
    "stage": _l("The stage that the list belongs to: ready, arrived or fixed."),
    "name": _l("What the list is called."),
    "stands": _l(
        "Left out, or ways of standing that the list is for: on points, on rails, free-standing, suspended. A piece "
        "whose particulars do not say how it stands gets the lists for points."
    ),
    "heat": _l("true for a list that is only for pieces near a fire, a stove, a radiator or a flue."),
    "line": _l("[[line]] begins a check; they stand in working order, 1 to 100 of them."),
}
LINE_FIELDS = {
    "key": _l("A short name that never changes: small letters, digits and hyphens, at most 40. Once in a list."),
    "words": _l("What is to be true or done."),
    "why": _l("Why it matters, and where a limit comes from."),
    "hold": _l("true for a hold point: the work stops until it is met or a maker releases it."),
    "photo": _l("true when it can be met only with a photo."),
    "second": _l("true when it can be met only with the name of a second person who saw it."),
    "reading": _l(
        "A figure that is asked for: quantity, unit, and low or high or both, in that unit; a limit itself is met."
    ),
    "calculation": _l(
        "weighed, safe-to-unwrap, strength, wall, holes, loads, form-back, anchors-set, anchors-proved, lift, route or "
        "clearances: it can be met only by what the program works out, not by hand. Not together with reading, photo "
        "or second."
    ),
}


@dataclass(frozen=True)
class Fault:
    """One mistake in a file. `line` counts the file's lines from 1; None when it is about the file as a whole."""

    file: str
    line: int | None
    field: str
    what: str

    def __str__(self) -> str:
        where = f", line {self.line}" if self.line else ""
        return f"Check list {self.file}{where}: {self.field} {self.what}".replace("  ", " ")


class ListProblem(StoreError):
    """A check list's file cannot be used; the message names file, line and field of every mistake.

    `meant` is what could be read of it, its checks left out, where stage and way of standing could be; else None.
    """

    def __init__(self, faults: Sequence[Fault], meant: ListFile | None = None) -> None:
        super().__init__("; ".join(str(fault) for fault in faults))
        self.faults = tuple(faults)
        self.meant = meant


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
    hold: bool = False
    photo: bool = False
    second: bool = False
    reading: Reading | None = None
    calculation: str | None = None


@dataclass(frozen=True)
class ListFile:
    """A check list as its file has it. `key` is the file's stem, `digest` the SHA-256 of its bytes."""

    key: str
    stage: str
    name: str
    stands: tuple[str, ...]  # ways of standing that it is for; empty for all
    heat: bool
    lines: tuple[Line, ...]
    digest: str

    def applies(self, stands: str | None, near_heat: bool | None) -> bool:  # noqa: FBT001 - as the particulars say it
        """Whether it is for a piece that stands this way, beside heat or not."""
        return (not self.stands or (stands or ON_POINTS) in self.stands) and (not self.heat or near_heat is True)


def read(data: bytes, name: str) -> ListFile:
    """Read the bytes of a list's file called `name`. Raises ListProblem with every mistake that was found."""
    key = name.removesuffix(".toml")
    if not KEY.fullmatch(key) or len(key) > LONGEST_KEY:
        allowed = f"allowed are small letters, digits and hyphens, at most {LONGEST_KEY}, then .toml"
        raise ListProblem([Fault(name, None, "its name", f"is “{name}”; {allowed}")])
    if len(data) > LARGEST_FILE:
        raise ListProblem([Fault(name, None, "it", f"is {len(data):,} bytes; allowed are {LARGEST_FILE:,}")])
    try:
        text = data.decode("utf-8")
        said = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ListProblem([Fault(name, places.line_of(error, data), "it", f"is not TOML in UTF-8: {error}")]) from error
    reader = _Reader(name, places.find(text))
    found = reader.list(key, said, hashlib.sha256(data).hexdigest())
    if reader.faults:
        raise ListProblem(reader.faults, replace(found, lines=()) if reader.known_for_whom else None)
    return found


class _Reader:
    """Reads one file and notes each mistake; what could not be read is given as empty and used by nobody."""

    def __init__(self, name: str, where: places.Places) -> None:
        self.name = name
        self.where = where
        self.faults: list[Fault] = []
        self.check = 0  # number of the check that is read, 0 for the list itself

    def fault(self, field: str, what: str) -> None:
        told = f"{field} of check {self.check}" if self.check else field
        self.faults.append(Fault(self.name, self.where.line(self.check, field), told, what))

    @property
    def known_for_whom(self) -> bool:
        """Whether the fields that say which pieces the list is for have no mistake."""
        return not any(fault.field in {"stage", "stands", "heat"} for fault in self.faults)

    def list(self, key: str, said: dict[str, Any], digest: str) -> ListFile:
        self.known("", said, LIST_FIELDS)
        stage = self.one_of("stage", said.get("stage"), STAGES)
        name = self.words("name", said.get("name"))
        stands = self.stands(said.get("stands", []))
        heat = self.flag("heat", said)
        rows = said.get("line")
        lines: list[Line] = []
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self.fault("line", f"must be 1 to {MOST_LINES} checks, each begun with [[line]]")
        elif not 1 <= len(rows) <= MOST_LINES:
            self.fault("line", f"stands there {len(rows)} times; allowed are 1 to {MOST_LINES} checks")
        else:
            lines = self.lines(rows)
        return ListFile(key, stage, name, stands, heat, tuple(lines), digest)

    def lines(self, rows: list[dict[str, Any]]) -> list[Line]:
        lines: list[Line] = []
        seen: dict[str, int] = {}
        for self.check, row in enumerate(rows, start=1):
            line = self.line(row)
            if line.key in seen:
                self.fault("key", f"“{line.key}” is check {seen[line.key]}'s already")
            elif line.key:
                seen[line.key] = self.check
            lines.append(line)
        self.check = 0
        return lines

    def line(self, row: dict[str, Any]) -> Line:
        self.known("", row, LINE_FIELDS)
        line = Line(
            key=self.key(row.get("key")),
            words=self.words("words", row.get("words")),
            why=self.words("why", row.get("why")),
            hold=self.flag("hold", row),
            photo=self.flag("photo", row),
            second=self.flag("second", row),
            reading=self.reading(row["reading"]) if "reading" in row else None,
            calculation=self.one_of("calculation", row["calculation"], CALCULATIONS) if "calculation" in row else None,
        )
        if "calculation" in row and (line.reading or line.photo or line.second):
            self.fault("calculation", "cannot stand together with reading, photo or second")
        return line

    def key(self, value: object) -> str:
        key = self.words("key", value)
        if key and (not KEY.fullmatch(key) or len(key) > LONGEST_KEY or key in NOT_KEYS):
            barred = " and ".join(f"“{one}”" for one in sorted(NOT_KEYS))
            allowed = f"allowed are small letters, digits and hyphens, at most {LONGEST_KEY}, but not {barred}"
            self.fault("key", f"is “{key}”; {allowed}")
        return key

    def reading(self, table: object) -> Reading | None:
        if not isinstance(table, dict):
            self.fault("reading", "must be a table with quantity, unit and low or high")
            return None
        self.known("reading.", table, dict.fromkeys(_READING))
        before = len(self.faults)
        low = self.limit("reading.low", table.get("low"))
        high = self.limit("reading.high", table.get("high"))
        # A figure without a limit decides nothing, so met could not be told from not met.
        if len(self.faults) == before and low is None and high is None:
            self.fault("reading", "needs a limit: low, high or both")
        if low is not None and high is not None and low > high:
            self.fault("reading.low", f"is {low:g}, above high, which is {high:g}")
        quantity = self.words("reading.quantity", table.get("quantity"))
        return Reading(quantity, self.words("reading.unit", table.get("unit")), low, high)

    def stands(self, value: object) -> tuple[str, ...]:
        if not isinstance(value, list) or not all(one in STANDS for one in value):
            self.fault("stands", f"is {value!r}; allowed are one or more of {', '.join(STANDS)}, in [ ]")
            return ()
        return tuple(value)

    def words(self, field: str, value: object) -> str:
        if value is None:
            self.fault(field, "is missing")
        elif not isinstance(value, str) or not value.strip() or len(value) > LONGEST_WORDS or "\x00" in value:
            self.fault(field, f"must be text of 1 to {LONGEST_WORDS} characters")
        else:
            return value.strip()
        return ""

    def one_of(self, field: str, value: object, allowed: tuple[str, ...]) -> str:
        text = self.words(field, value)
        if text and text not in allowed:
            self.fault(field, f"is “{text}”; allowed is one of {', '.join(allowed)}")
        return text

    def flag(self, field: str, table: dict[str, Any]) -> bool:
        value = table.get(field, False)
        if isinstance(value, bool):
            return value
        self.fault(field, f"is {value!r}; allowed is true or false")
        return False

    def limit(self, field: str, value: object) -> float | None:
        if value is None:
            return None
        # Held against a bound and not against isfinite, which itself fails on a whole number past a double's range.
        if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= LARGEST_LIMIT:
            return float(value)
        self.fault(field, f"is {str(value)[:40]}; allowed is a number within ±{LARGEST_LIMIT:,}")
        return None

    def known(self, where: str, table: dict[str, Any], known: dict[str, Any]) -> None:
        for field in table:
            if field not in known:
                self.fault(f"{where}{field}", f"is not known; known are {', '.join(known)}")
