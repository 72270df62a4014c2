"""On which line of a list's file a field stands, so that a mistake is found where it was made."""

from __future__ import annotations

import re
from dataclasses import dataclass

_HEADER = re.compile(r"\s*(\[\[?)\s*([A-Za-z0-9_.\- \"']+?)\s*\]\]?\s*(?:#.*)?$")
_FIELD = re.compile(r"\s*((?:[A-Za-z0-9_-]+|\"[^\"]*\"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|\"[^\"]*\"|'[^']*'))*)\s*=")
_LONG_TEXT = re.compile(r"\"\"\"|'''")
_AT_LINE = re.compile(r"at line (\d+)")


@dataclass(frozen=True)
class Places:
    """Where the checks of a file begin and where their fields stand; lines of the file are counted from 1."""

    checks: tuple[int, ...]
    fields: dict[tuple[int, str], int]

    def line(self, check: int, field: str) -> int | None:
        """The line of a field of the check with this number, 0 for the list itself.

        A field that is not there is looked for where its check begins; None when nothing shows where that is.
        """
        outer = field.split(".", maxsplit=1)[0]
        found = self.fields.get((check, field)) or self.fields.get((check, outer))
        if found is None and 0 < check <= len(self.checks):
            return self.checks[check - 1]
        return found


def find(text: str) -> Places:
    """The places of a file that TOML takes: `text` is read line by line, words in several lines are passed over."""
    checks: list[int] = []
    fields: dict[tuple[int, str], int] = {}
    check, table = 0, ""
    closing = ""
    for number, line in enumerate(text.splitlines(), start=1):
        if closing:
            closing = _still_open(line, closing)
            continue
        if header := _HEADER.match(line):
            name = _bare(header[2])
            if name == "line" and header[1] == "[[":
                checks.append(number)
            check = len(checks) if name.split(".", maxsplit=1)[0] == "line" else 0
            table = name.removeprefix("line").removeprefix(".") if check else name
            fields.setdefault((check, table), number)
        elif field := _FIELD.match(line):
            name = _bare(field[1])
            fields.setdefault((check, f"{table}.{name}" if table else name), number)
            closing = _still_open(line[field.end() :], "")
    return Places(tuple(checks), fields)


def line_of(error: Exception, data: bytes) -> int | None:
    """The line at which a file stops being TOML in UTF-8."""
    if isinstance(error, UnicodeDecodeError):
        return data[: error.start].count(b"\n") + 1
    found = _AT_LINE.search(str(error))
    if found:
        return int(found[1])
    return data.count(b"\n") + 1 if "end of document" in str(error) else None


def _bare(name: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in name.split("."))


def _still_open(line: str, closing: str) -> str:
    """The quotes that close the text in several lines in which a line ends; empty when it ends outside one."""
    for quotes in _LONG_TEXT.findall(line):
        if not closing:
            closing = quotes
        elif closing == quotes:
            closing = ""
    return closing
