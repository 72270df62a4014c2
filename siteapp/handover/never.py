"""Words that have no place on a certificate, found in what people typed: a promise nobody can keep, a price."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from siteapp.web.fieldbase import clip

if TYPE_CHECKING:
    from collections.abc import Iterable

NEVER = re.compile(
    r"\b(?:un)?safe(?:ly|ty)?\b|\bguarant\w+|\bprices?\b|\binsur(?:ed?|ance)\b|[£€$]\s?\d|\d\s?(?:£|€|\$|(?:EUR|GBP|USD)\b)",
    re.IGNORECASE,
)
# What the program writes itself, and names that are as they are.
NOT_SEARCHED = {"proof", "number", "piece_number", "link", "maker", "name"}


def never_in(words: str | None) -> str | None:
    """The first such word of a text, None without one."""
    found = NEVER.search(words or "")
    return found[0] if found else None


def never_in_record(plain: dict[str, Any]) -> list[tuple[str, str]]:
    """Each such word in a record's texts, with the beginning of the text it stands in; every text once."""
    told = {text: word for text in _texts(plain) if (word := never_in(text))}
    return [(word, clip(text)) for text, word in told.items()]


def _texts(value: Any) -> Iterable[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one)
    elif isinstance(value, dict):
        for name, one in value.items():
            if name not in NOT_SEARCHED:
                yield from _texts(one)
