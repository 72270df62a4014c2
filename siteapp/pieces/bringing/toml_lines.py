"""In which line of a TOML text a table, a key or an element of a list begins.

`tomllib` says what a text means and no line of it. This walks over a text that `tomllib` has read without complaint
(TOML 1.0.0, https://toml.io/en/v1.0.0), so that it needs to know where values end and not what they are.
"""

from __future__ import annotations

import re
import tomllib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

Path = tuple[str | int, ...]
BLANK = re.compile(r"[ \t\n]*(?:#[^\n]*[ \t\n]*)*")
KEY = re.compile(r"""[ \t]*(?:[A-Za-z0-9_-]+|"(?:\\.|[^"\\\n])*"|'[^'\n]*')[ \t]*""")
PLAIN = re.compile(r"""[^\n#,\]}]*""")
STRINGS = (
    re.compile(r'"""(?:\\.|[^\\])*?"{3,5}', re.DOTALL),
    re.compile(r"'''.*?'{3,5}", re.DOTALL),
    re.compile(r'"(?:\\.|[^"\\\n])*"'),
    re.compile(r"'[^'\n]*'"),
)


def lines_of(text: str) -> dict[Path, int]:
    """Line, from 1, of every table, key and list element of a text that `tomllib.loads` takes."""
    return _Walk(text).lines


def line_of(lines: dict[Path, int], *path: str | int) -> int:
    """The line of a path, else of what it is part of."""
    for end in range(len(path), 0, -1):
        if path[:end] in lines:
            return lines[path[:end]]
    return 1


class _Walk:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}  # of tables written with two brackets, by path
        self._seen, self._line = 0, 1
        table: Path = ()
        self.skip()
        while self.at < len(text):
            if text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)
            self.skip()

    def skip(self) -> None:
        """Over blanks, line ends and comments."""
        self.at = BLANK.match(self.text, self.at).end()  # type: ignore[union-attr] # matches nothing too

    def here(self) -> int:
        """The line of this place; places are asked for in order, so that each line end is counted once."""
        self._line += self.text.count("\n", self._seen, self.at)
        self._seen = self.at
        return self._line

    def note(self, path: Path) -> None:
        self.lines.setdefault(path, self.here())

    def header(self) -> Path:
        """`[table]` or `[[list of tables]]`."""
        line = self.here()
        double = self.text.startswith("[[", self.at)
        self.at += 2 if double else 1
        keys = self.keys()
        self.at += 2 if double else 1
        path: Path = ()
        for key in keys[:-1]:
            path = self.inside((*path, key))
        path = (*path, keys[-1])
        self.lines.setdefault(path, line)
        if double:
            self.counts[path] = self.counts.get(path, 0) + 1
            path = self.inside(path)
            self.lines[path] = line
        return path

    def inside(self, path: Path) -> Path:
        """The table that a path leads to: of a list of tables, its last one."""
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def keys(self) -> list[str]:
        """A key, dotted or not."""
        found = []
        while True:
            match = KEY.match(self.text, self.at)
            if match is None:  # pragma: no cover - tomllib has read the text
                raise ValueError(self.text[self.at : self.at + 20])
            self.at = match.end()
            name = match[0].strip()
            if name[0] in "\"'":
                name = next(iter(tomllib.loads(f"{name} = 0")))
            found.append(name)
            if not self.text.startswith(".", self.at):
                return found
            self.at += 1

    def pair(self, table: Path) -> None:
        """`key = value`."""
        line = self.here()
        keys = self.keys()
        path = table
        for key in keys:
            path = (*path, key)
            self.lines.setdefault(path, line)
        self.at += 1
        self.value(path)

    def value(self, path: Path) -> None:
        """Over a value; of lists and inline tables, the lines of their parts are noted."""
        while self.text[self.at] in " \t":
            self.at += 1
        self.note(path)
        sign = self.text[self.at]
        if sign == "[":
            self.parts("]", lambda number: self.value((*path, number)))
        elif sign == "{":
            self.parts("}", lambda _number: self.pair(path))
        elif sign in "\"'":
            found = next(match for pattern in STRINGS if (match := pattern.match(self.text, self.at)))
            self.at = found.end()
        else:
            self.at = PLAIN.match(self.text, self.at).end()  # type: ignore[union-attr] # matches nothing too

    def parts(self, end: str, part: Callable[[int], None]) -> None:
        """What stands between brackets, part by part."""
        self.at += 1
        self.skip()
        number = 0
        while self.text[self.at] != end:
            part(number)
            number += 1
            self.skip()
            if self.text[self.at] == ",":
                self.at += 1
                self.skip()
        self.at += 1
