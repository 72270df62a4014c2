"""Pieces from a TOML text: `[[piece]]` with fields, `[[piece.build_up]]` and `[[piece.hanging_points]]`."""

from __future__ import annotations

import math
import re
import tomllib
from datetime import date, datetime
from typing import Any

from siteapp.pieces.bringing.told import MOST_PIECES, PIECE_FIELDS, ROW_FIELDS, Cell, Problem, Row, Told, Unreadable
from siteapp.pieces.bringing.toml_lines import Path, line_of, lines_of
from siteapp.pieces.bringing.words import names_near, one_of
from siteapp.web.figures import typed_again
from siteapp.web.i18n import _

AT_LINE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")
LARGEST = 1e15


def read(text: str) -> tuple[list[Told], list[Problem]]:
    """The pieces of a TOML text and what is wrong in it. Raises Unreadable when it is no TOML."""
    try:
        everything = tomllib.loads(text, parse_float=_written)
        lines = lines_of(text)
    except tomllib.TOMLDecodeError as error:
        raise Unreadable(_not_toml(text, str(error))) from None
    except (ValueError, RecursionError):
        # A whole number of thousands of digits, or brackets nested as deep: nothing that is meant for us.
        raise Unreadable(Problem(1, _("this is TOML that nobody would write by hand; it is not read."))) from None
    problems = [
        Problem(line_of(lines, key), _("“%(key)s” is not known here. Begin each piece with [[piece]].", key=key[:40]))
        for key in everything
        if key != "piece"
    ]
    pieces = everything.get("piece", [])
    if not isinstance(pieces, list):
        raise Unreadable(Problem(line_of(lines, "piece"), _("write [[piece]] in two square brackets.")))
    if not pieces:
        raise Unreadable(*problems, Problem(1, _("there is no piece in it. Begin each piece with [[piece]].")))
    if len(pieces) > MOST_PIECES:
        raise Unreadable(too_many(line_of(lines, "piece", MOST_PIECES), len(pieces)))
    told = [_piece(lines, number, piece, problems) for number, piece in enumerate(pieces)]
    return told, problems


def too_many(line: int, count: int) -> Problem:
    """The file holds more pieces than may come at once."""
    words = _("%(count)s pieces are too many. Give at most %(most)s in one file.", count=count, most=MOST_PIECES)
    return Problem(line, words)


def _piece(lines: dict[Path, int], number: int, piece: Any, problems: list[Problem]) -> Told:
    here: Path = ("piece", number)
    told = Told(line_of(lines, *here))
    if not isinstance(piece, dict):
        problems.append(Problem(told.line, _("a piece is a table: write [[piece]], then its fields.")))
        return told
    for name, value in piece.items():
        line = line_of(lines, *here, name)
        if name in ROW_FIELDS:
            told.rows[name] = _rows(lines, (*here, name), value, problems)
        elif name not in PIECE_FIELDS:
            problems.append(_unknown(line, name, (*PIECE_FIELDS, *ROW_FIELDS)))
        else:
            cell = _cell(line, name, value, problems)
            if cell is not None:
                told.cells[name] = cell
    return told


def _rows(lines: dict[Path, int], here: Path, value: Any, problems: list[Problem]) -> list[Row]:
    name = str(here[-1])
    if not (isinstance(value, list) and all(isinstance(row, dict) for row in value)):
        words = _("%(field)s: write [[piece.%(name)s]] for each line of it.", field=one_of(name), name=name)
        problems.append(Problem(line_of(lines, *here), words))
        return []
    rows = []
    for number, row in enumerate(value):
        told = Row(line_of(lines, *here, number), {})
        for key, each in row.items():
            line = line_of(lines, *here, number, key)
            if key not in ROW_FIELDS[name]:
                problems.append(_unknown(line, key, ROW_FIELDS[name]))
            elif (cell := _cell(line, key, each, problems)) is not None:
                told.cells[key] = cell
        rows.append(told)
    return rows


def _cell(line: int, name: str, value: Any, problems: list[Problem]) -> Cell | None:
    if isinstance(value, bool):
        return Cell("yes" if value else "no", line)
    if isinstance(value, str):
        return Cell(value, line)
    if isinstance(value, int):
        return Cell(str(value), line)
    if isinstance(value, date) and not isinstance(value, datetime):
        return Cell(value.isoformat(), line)
    words = _("%(field)s: a list, a table or a time of day is not taken. Write a text or a number.", field=one_of(name))
    problems.append(Problem(line, words))
    return None


def _unknown(line: int, name: str, known: tuple[str, ...]) -> Problem:
    words = _("“%(name)s” is not a field here.", name=name[:40])
    return Problem(line, f"{words} {names_near(name, known)}")


def _written(digits: str) -> str:
    """A number with a point or an exponent as one would type it in the form, where it is one."""
    value = float(digits)
    plain = digits.replace("_", "")
    if "e" not in plain.lower() or not math.isfinite(value) or abs(value) > LARGEST:
        return plain
    return typed_again(value)


def _not_toml(text: str, message: str) -> Problem:
    found = AT_LINE.search(message)
    line = int(found[1]) if found and found[1] else text.count("\n") + 1
    return Problem(line, _("this is not TOML: %(what)s", what=AT_LINE.sub("", message)))
