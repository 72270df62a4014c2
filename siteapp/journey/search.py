"""Finding pieces by what somebody remembers: number, title, client, place, product, batch."""

from __future__ import annotations

import unicodedata
from functools import cache
from typing import TYPE_CHECKING

from siteapp.finishing.services import pieces_with
from siteapp.journey.faces import faces

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.journey.faces import Face

LONGEST = 200
MOST_WORDS = 8


def find(session: Session, text: str) -> list[Face]:
    """The pieces in which every word of `text` stands somewhere, those with it in number or title first.

    Letters count whatever their case and accents; a number may be typed with its dash or without.
    """
    words = [fold(word) for word in text[:LONGEST].split()[:MOST_WORDS]]
    words = [word for word in words if word]
    if not words:
        return []
    known = faces(session)
    folded = cache(fold)  # the pieces of a job share its words
    holding = {word: pieces_with(session, word) for word in words}
    found: list[tuple[int, Face]] = []
    for face in known.values():
        near, far = fold(face.title), folded(f"{face.client} {face.place} {face.job_title}")
        number = face.number.casefold()
        ranks = []
        for word in words:
            if word in near or as_number(word) in number:
                ranks.append(0)
            elif word in far or face.piece_id in holding[word]:
                ranks.append(1)
            else:
                break
        else:
            found.append((sum(ranks), face))
    # Of equals the newest first: it is the one that somebody has in hand.
    found.reverse()
    return [face for _rank, face in sorted(found, key=lambda one: one[0])]


def as_number(word: str) -> str:
    """A word as it would stand in a piece number, which has no dash, no O and no I."""
    return word.replace("-", "").replace("o", "0").replace("i", "1") or word


def fold(text: str) -> str:
    """Text without case and accents, as it is compared."""
    if text.isascii():
        return text.casefold()
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))
