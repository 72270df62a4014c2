"""What the designs of all documents share: templates, words, and how days and figures are written."""

from __future__ import annotations

import gettext
import re
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from siteapp.documents import scripts

if TYPE_CHECKING:
    from collections.abc import Callable

FOLDER = Path(__file__).resolve().parents[1] / "templates" / "documents"
RIGHT_TO_LEFT = {"ar", "fa", "he", "ur"}
# Control characters have no place on paper, and HTML may not hold most of them.
CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufffe\uffff]")
# WeasyPrint lays a word without a break out anew for every line it fills: ten thousand letters take a second.
LONG_WORD = re.compile(r"\S{100,}")
WORD_PART = re.compile(r".{8}")
YEAR_MONTH_DAY = 3
YEAR_MONTH = 2
NULL_WORDS = gettext.NullTranslations()
PIECE_NUMBER_LENGTH = 8
PAPERS = ("A4", "Letter")
# A page's width less its margins, as in the house style.
TEXT_MM = {"A4": 164.0, "Letter": 169.0}


@cache
def environment(words: gettext.NullTranslations = NULL_WORDS) -> Environment:
    """Give the templates with their words from `words`; everything put into them is escaped."""
    templates = Environment(
        loader=FileSystemLoader(FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
        finalize=lambda value: _clean(value, words.gettext),
    )
    templates.install_gettext_callables(  # type: ignore[attr-defined] # comes with the extension
        words.gettext, words.ngettext, newstyle=True
    )

    def in_page(message: str, **values: object) -> Markup:
        # A "%" stands for itself when no values are given, as it does on the program's own pages.
        text = escape(words.gettext(message))
        return text % values if values else text

    templates.globals.update(_=in_page)
    templates.filters.update(
        day=lambda text: day(text, words.gettext),
        instant=lambda text: instant(text, words.gettext),
        figure=figure,
        clipped=clipped,
    )
    return templates


def check_paper(paper: str) -> None:
    """Raise ValueError, which names what is allowed, for a paper that is none of `PAPERS`."""
    if paper not in PAPERS:
        message = f"paper: is {paper!r}; allowed are {', '.join(PAPERS)}"
        raise ValueError(message)


def grouped(piece_number: str) -> str:
    """Write a piece number as labels do, in two groups of four; any other text stays as it is."""
    plain = len(piece_number) == PIECE_NUMBER_LENGTH and piece_number.isalnum()
    return f"{piece_number[:4]}-{piece_number[4:]}" if plain else piece_number


def direction(language: str) -> str:
    """Tell which way a language runs: `ltr` or `rtl`."""
    return "rtl" if language.split("-", maxsplit=1)[0].lower() in RIGHT_TO_LEFT else "ltr"


def day(text: str | None, say: Callable[[str], str]) -> str | None:
    """Write an ISO day, month or year in words (`14 March 2026`); anything else stays as it is."""
    if not text:
        return None
    parts = text.strip().split("-")
    if not all(part.isascii() and part.isdigit() for part in parts) or len(parts) > YEAR_MONTH_DAY:
        return text
    try:
        whole = date(int(parts[0]), int((parts[1:2] or ["1"])[0]), int((parts[2:3] or ["1"])[0]))
    except ValueError:
        return text
    name = _months(say)[whole.month - 1]
    if len(parts) == YEAR_MONTH_DAY:
        return say("%(day)s %(month)s %(year)s") % {"day": whole.day, "month": name, "year": whole.year}
    return f"{name} {whole.year}" if len(parts) == YEAR_MONTH else text


def instant(text: str | None, say: Callable[[str], str]) -> str | None:
    """Write an ISO instant as day and time, with UTC named where it is meant; a day alone as `day` does."""
    if not text:
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return text
    if "T" not in text and " " not in text:
        return day(text, say)
    clock = f"{moment:%H:%M}"
    if moment.tzinfo is not None and moment.utcoffset() == UTC.utcoffset(None):
        clock += " UTC"
    return f"{day(moment.date().isoformat(), say)}, {clock}"


def figure(value: float | None, places: int = 1) -> str | None:
    """Write a number with at most `places` decimals, none of them an idle zero, and a true minus sign."""
    if value is None:
        return None
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", "−") if text != "-0" else "0"


def _months(say: Callable[[str], str]) -> tuple[str, ...]:
    return (
        say("January"),
        say("February"),
        say("March"),
        say("April"),
        say("May"),
        say("June"),
        say("July"),
        say("August"),
        say("September"),
        say("October"),
        say("November"),
        say("December"),
    )


def _clean(value: object, say: Callable[[str], str]) -> object:
    if isinstance(value, Markup) or not isinstance(value, str):
        return value
    plain = scripts.marked(CONTROL.sub("", value), say)
    return LONG_WORD.sub(lambda word: WORD_PART.sub("\\g<0>\u200b", word[0]), plain)


def clipped(text: str | None, longest: int) -> str | None:
    """Cut a text for a place that holds only so much, with an ellipsis for what is left out."""
    if text is None or len(text) <= longest:
        return text
    return text[: longest - 1].rstrip() + "…"
