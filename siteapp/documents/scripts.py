"""Letters that no packaged typeface has: found before anything is printed, and named in words instead of as boxes.

The packaged typefaces hold Latin, Greek and Cyrillic letters. Others would be taken from whatever is installed on the
machine at hand, or come out as boxes, and somebody would glue that behind a piece.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import TYPE_CHECKING

from siteapp.documents import fonts

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

# First word of a character's Unicode name → what its script is called in plain words.
CHINESE_OR_JAPANESE = "Chinese or Japanese"
NAMES = dict.fromkeys(("CJK", "HIRAGANA", "KATAKANA", "BOPOMOFO", "IDEOGRAPHIC"), CHINESE_OR_JAPANESE) | {
    "HANGUL": "Korean",
    "ARABIC": "Arabic",
    "HEBREW": "Hebrew",
    "THAI": "Thai",
    "DEVANAGARI": "Devanagari",
    "BENGALI": "Bengali",
    "TAMIL": "Tamil",
    "ARMENIAN": "Armenian",
    "GEORGIAN": "Georgian",
    "ETHIOPIC": "Ethiopic",
    "KHMER": "Khmer",
    "LATIN": "rare Latin",
    "GREEK": "rare Greek",
    "CYRILLIC": "rare Cyrillic",
}
WORDS = re.compile(r"(\s+)")
IGNORED = {"Cc", "Cf", "Zs", "Zl", "Zp"}
SELECTORS = range(0xFE00, 0xFE10)


@cache
def covered() -> frozenset[int]:
    """Code points that every packaged typeface has."""
    import uharfbuzz

    sets = [frozenset(uharfbuzz.Face(face).unicodes) for face in fonts.static_faces().values()]
    return frozenset.intersection(*sets)


def missing(text: str | None) -> list[str]:
    """Names of the scripts in a text that cannot be printed, each once, as they come; empty when all can be."""
    return list(dict.fromkeys(_name(char) for char in text or "" if not _printable(char)))


def printable(text: str, say: Callable[[str], str] = str) -> str:
    """The text as it can be printed: white space made single, and letters that no typeface has named in their place."""
    parts: list[str] = []
    lost: list[str] = []
    for word in unicodedata.normalize("NFC", text).split():
        plain = "".join(char for char in word if unicodedata.category(char) not in {"Cc", "Cf"})
        named = missing(plain)
        if named:
            lost.extend(named)
            continue
        if lost:
            parts.append(_marker(lost, say))
            lost = []
        if plain:
            parts.append(plain)
    if lost:
        parts.append(_marker(lost, say))
    return " ".join(parts)


def marked(text: str, say: Callable[[str], str] = str) -> str:
    """The text with its white space as it is, words in letters that no typeface has named in their place."""
    if text.isascii() or not missing(text):
        return text
    parts: list[str] = []
    lost: list[str] = []
    gap = ""
    for piece in WORDS.split(unicodedata.normalize("NFC", text)):
        if not piece or piece.isspace():
            gap += piece
            continue
        found = missing(piece)
        if lost and not (found and "\n" not in gap):
            parts.append(_marker(lost, say))
            lost = []
        if found and lost:
            gap = ""  # neighbours on a line are named together
        parts.append(gap)
        gap = ""
        lost.extend(found)
        if not found:
            parts.append(piece)
    return "".join([*parts, *([_marker(lost, say)] if lost else []), gap])


def named(scripts: Iterable[str], say: Callable[[str], str] = str) -> str:
    """Scripts in a row of words: `Hebrew and Arabic letters`."""
    words = [say(script) for script in dict.fromkeys(scripts)]
    both = say(" and ").join(words) if len(words) <= 2 else ", ".join(words)  # noqa: PLR2004 - two have an "and"
    return say("%s letters") % both


def _marker(scripts: Iterable[str], say: Callable[[str], str]) -> str:
    return say("[in %s]") % named(scripts, say)


def _printable(char: str) -> bool:
    return unicodedata.category(char) in IGNORED or ord(char) in SELECTORS or ord(char) in covered()


def _name(char: str) -> str:
    try:
        first = unicodedata.name(char).split()[0].split("-")[0]
    except ValueError:
        return "unknown"
    if first in NAMES:
        return NAMES[first]
    return first.capitalize() if unicodedata.category(char).startswith("L") else "picture"
