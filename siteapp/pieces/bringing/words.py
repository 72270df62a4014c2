"""What fields are called in files: by their names, or by the words of the page."""

from __future__ import annotations

import difflib
import re
from functools import cache
from typing import TYPE_CHECKING

from siteapp.pieces.bringing.told import BUILD_UP, HANGING_POINTS, NUMBER, PIECE_FIELDS, ROW_FIELDS
from siteapp.pieces.changes import label
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Iterable

ROW = "row"
ROW_WORDS = {
    BUILD_UP: (_l("build-up"), "build up", "build_up", "layer"),
    HANGING_POINTS: (_l("hanging point"), "hanging points", "hanging_points", "point"),
    "": (_l("piece"), ""),
}
SPACES = re.compile(r"[\s_]+")


def plain(text: str) -> str:
    """A name without capitals, and with single spaces for what stands between its words."""
    return SPACES.sub(" ", text).strip().strip(":").casefold()


@cache
def columns() -> dict[str, str]:
    """Field by every name that a column may have, as `plain` writes it."""
    known: dict[str, str] = {}
    for rows, names in ROW_FIELDS.items():
        for name in names:
            known.setdefault(plain(label(name, rows)), name)
            known[plain(name)] = name
    for name in PIECE_FIELDS:
        known[plain(one_of(name))] = name
        known[plain(name)] = name
    known |= {plain(word): NUMBER for word in ("Piece number", "Number", NUMBER)}
    known |= {plain(word): ROW for word in (ROW, "What the row is")}
    return known


def one_of(name: str) -> str:
    """What a field of a piece, or of one of its lines, is called on the page."""
    if name == NUMBER:
        return _("Piece number")
    rows = next((rows for rows, names in ROW_FIELDS.items() if name in names and name not in PIECE_FIELDS), None)
    return label(name, rows)


def row_kind(text: str) -> str | None:
    """Which list a row of a table belongs to: `build_up`, `hanging_points`, or empty for a piece; None for neither."""
    wanted = plain(text)
    return next((kind for kind, words in ROW_WORDS.items() if wanted in {plain(str(word)) for word in words}), None)


def names_near(name: str, known: Iterable[str]) -> str:
    """A sentence with the name that was meant, or where the names stand."""
    near = difflib.get_close_matches(name.casefold()[:60], list(known), n=1)
    if near:
        return _("Did you mean “%(near)s”?", near=near[0])
    return _("The example file names every field.")
