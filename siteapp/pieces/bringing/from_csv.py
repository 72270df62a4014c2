"""Pieces from a table: one row a piece, its layers and hanging points in rows of their own under it.

Columns are found by the first row, in any order. A blank cell says nothing; a dash alone takes out what was said
before. What looks like a formula is the text that it is.
"""

from __future__ import annotations

import csv
import io
import re
from typing import TYPE_CHECKING

from siteapp.pieces.bringing.from_toml import too_many
from siteapp.pieces.bringing.told import MOST_PIECES, PIECE_FIELDS, ROW_FIELDS, Cell, Problem, Row, Told, Unreadable
from siteapp.pieces.bringing.words import ROW, ROW_WORDS, columns, names_near, one_of, plain, row_kind
from siteapp.web.fieldbase import clip
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterator

DELIMITERS = (";", ",", "\t")
NAMES = tuple(dict.fromkeys((ROW, *PIECE_FIELDS, *ROW_FIELDS["build_up"], *ROW_FIELDS["hanging_points"])))
DASHES = frozenset("-–—")
NAMED_DELIMITER = re.compile(r'"?sep=(.)"?\n')  # some spreadsheets write such a first line


def read(text: str) -> tuple[list[Told], list[Problem]]:
    """The pieces of a table and what is wrong in it. Raises Unreadable when there is no table or no piece in it."""
    rows = _rows(text)
    line, names = next(rows, (1, []))
    if not names:
        raise Unreadable(Problem(1, _("there is nothing in it. The first row names the columns.")))
    fields, problems = _fields(line, names)
    told: list[Told] = []
    for line, cells in rows:
        if any(cell.strip() for cell in cells):
            _take(told, line, dict(enumerate(cells)), fields, problems)
        if len(told) > MOST_PIECES:
            raise Unreadable(too_many(line, len(told)))
    if not told and not problems:
        raise Unreadable(Problem(line, _("there is no piece in it: only the row that names the columns.")))
    return told, problems


def _take(
    told: list[Told], line: int, cells: dict[int, str], fields: list[str | None], problems: list[Problem]
) -> None:
    """Take one row in: a piece, or a line of the piece above."""
    named: dict[str, Cell] = {}
    for place, text in cells.items():
        if not text.strip():
            continue
        if place >= len(fields) or fields[place] == "":
            problems.append(Problem(line, _("“%(text)s” stands in a column without a name.", text=clip(text))))
        elif (name := fields[place]) is not None:
            named[name] = Cell("" if text.strip() in DASHES else text, line)
    kind_cell = named.pop(ROW, Cell("", line))
    kind = row_kind(kind_cell.text)
    if kind is None:
        words = ", ".join(str(one[0]) for one in ROW_WORDS.values())
        problems.append(
            Problem(
                line,
                _("row: “%(typed)s” is not taken. Write one of: %(words)s.", typed=clip(kind_cell.text), words=words),
            )
        )
        return
    allowed = ROW_FIELDS[kind] if kind else PIECE_FIELDS
    for name in [name for name in named if name not in allowed]:
        words = _(
            "%(field)s: “%(text)s” has no place in a row of a %(what)s.",
            field=one_of(name),
            text=clip(named.pop(name).text),
            what=str(ROW_WORDS[kind][0]),
        )
        problems.append(Problem(line, words))
    if not kind:
        told.append(Told(line, named))
    elif not told:
        problems.append(Problem(line, _("this row belongs to the piece above it, and there is none.")))
    else:
        rows = told[-1].rows.setdefault(kind, [])
        # A row with nothing in it says that there are none, or is no row.
        if any(cell.text for cell in named.values()):
            rows.append(Row(line, named))


def _fields(line: int, names: list[str]) -> tuple[list[str | None], list[Problem]]:
    """The field of each column: empty for one without a name, None for one that is not known."""
    known = columns()
    fields: list[str | None] = []
    problems = []
    for place, text in enumerate(names, 1):
        name = known.get(plain(text))
        if name is None and text.strip():
            words = _("column %(place)s, “%(text)s”, is not a field here.", place=place, text=clip(text))
            problems.append(Problem(line, f"{words} {names_near(text, NAMES)}"))
        elif name is None:
            name = ""
        elif name in fields:
            problems.append(
                Problem(line, _("column %(place)s, “%(text)s”, is there twice.", place=place, text=clip(text)))
            )
            name = None
        fields.append(name)
    return fields, problems


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Every row with the line in which it begins; the first that is not blank names the columns."""
    found = NAMED_DELIMITER.match(text)
    begun = 1 if found else 0
    text = text[found.end() :] if found else text
    delimiter = found[1] if found else _delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = begun + 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield line, cells
            line = begun + reader.line_num + 1
    except csv.Error as error:
        words = _("the quotation marks here are not closed or not doubled (%(what)s).", what=error)
        raise Unreadable(Problem(line, words)) from None


def _delimiter(text: str) -> str:
    """What separates the columns: that by which most of the first row's names are known."""
    known = columns()

    def names(delimiter: str) -> int:
        try:
            rows = csv.reader(io.StringIO(text.lstrip(), newline=""), delimiter=delimiter, strict=True)
            return sum(plain(cell) in known for cell in next(rows, []))
        except csv.Error:
            return 0

    return max(DELIMITERS, key=names)
