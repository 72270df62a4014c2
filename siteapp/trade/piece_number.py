"""Piece numbers: seven random characters and a check character (ISO/IEC 7064:2003, MOD 37,36).

Letters I and O are never used, the check character included: on a dusty label they are read as 1 and 0.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError

if TYPE_CHECKING:
    from collections.abc import Iterable

ISO_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ALPHABET = "".join(char for char in ISO_ALPHABET if char not in "IO")
BODY_LENGTH = 7
LENGTH = BODY_LENGTH + 1
MODULUS = 36
LONGEST_TYPED = 4000
SAME_LOOK = str.maketrans({"O": "0", "I": "1"})
# What people and printers put between the groups: spaces, hyphens and dashes, dots, underscores.
BETWEEN = re.compile(r"[\s\-\u2010-\u2015\u2212._]+")
IN_LINK = re.compile(r"/P/([^/?#\s]+)")
# A number inside a label's words: eight characters, in one or in two groups, with nothing glued to them.
IN_WORDS = re.compile(r"(?<![0-9A-Z])([0-9A-Z]{4})[-\u2010-\u2015\u2212 ]?([0-9A-Z]{4})(?![0-9A-Z])")


class BadNumber(TradeError):
    """A typed or scanned text that holds no piece number; `reason` says why in plain words."""

    def __init__(self, reason: str) -> None:
        """Keep the reason."""
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True)
class PieceNumber:
    """A piece number whose check character fits; `text` is eight capital letters and digits."""

    text: str

    @property
    def grouped(self) -> str:
        """As printed: two groups of four, `K7QX-M2TR`."""
        return f"{self.text[:4]}-{self.text[4:]}"


def check_character(body: str) -> str:
    """The check character of `body`, one or more of 0-9 A-Z, by the hybrid system MOD 37,36.

    P = 36; for each character of value v: S = P + v, reduced modulo 36 to 1…36, P = 2·S mod 37; the check character
    has the value (37 - P) mod 36. It finds every single wrong character and every swap of neighbours but one kind.
    Source: ISO/IEC 7064:2003, clause 8 (hybrid systems), from memory; checked against python-stdnum.
    Raises BadNumber for an empty body or a foreign character.
    """
    if not body:
        reason = "a number needs at least one character"
        raise BadNumber(reason)
    product = MODULUS
    for char in body:
        value = ISO_ALPHABET.find(char)
        if value < 0:
            reason = f"“{char}” is not a letter or digit of a number"
            raise BadNumber(reason)
        total = (product + value) % MODULUS or MODULUS
        product = total * 2 % (MODULUS + 1)
    return ISO_ALPHABET[(MODULUS + 1 - product) % MODULUS]


def new_number(random_bytes: bytes) -> str:
    """A new number from random bytes; 64 are plenty.

    Bytes that would favour some characters are passed over, and a body whose check character would be I or O is drawn
    again. Raises TradeError when the bytes run out.
    """
    limit = 256 // len(ALPHABET) * len(ALPHABET)
    chars = [ALPHABET[byte % len(ALPHABET)] for byte in random_bytes if byte < limit]
    for start in range(0, len(chars) - BODY_LENGTH + 1, BODY_LENGTH):
        body = "".join(chars[start : start + BODY_LENGTH])
        check = check_character(body)
        if check in ALPHABET:
            return body + check
    message = f"random bytes: {len(random_bytes)} were not enough to draw a number; give 64 or more"
    raise TradeError(message)


def parse_number(typed: str) -> PieceNumber:
    """The piece number in what was typed or scanned.

    Takes lower case, spaces and dashes, O for 0 and I for 1, a whole link whatever its host, or the words of a text
    QR with the number among them. Raises BadNumber, which says what is wrong.
    """
    if len(typed) > LONGEST_TYPED:
        reason = f"{len(typed)} characters are too many for a number or a label; at most {LONGEST_TYPED} are read"
        raise BadNumber(reason)
    text = unicodedata.normalize("NFKC", typed).upper().strip()
    link = IN_LINK.search(text)
    if link:
        return _checked(BETWEEN.sub("", link[1]))
    compact = BETWEEN.sub("", text)
    if len(compact) <= LENGTH + 2:
        return _checked(compact)
    return _in_words(text)


def near_miss(typed: str, existing: Iterable[str]) -> str | None:
    """The one number among `existing` that `typed` misses by one character or by one swap of neighbours, else None."""
    text = BETWEEN.sub("", unicodedata.normalize("NFKC", typed[:LONGEST_TYPED]).upper()).translate(SAME_LOOK)
    near = [number for number in existing if _one_slip(text, number)]
    return near[0] if len(near) == 1 else None


def _checked(text: str) -> PieceNumber:
    text = text.translate(SAME_LOOK)
    foreign = next((char for char in text if char not in ALPHABET), None)
    if foreign is not None:
        reason = f"“{foreign}” is not a letter or digit that numbers have"
        raise BadNumber(reason)
    if len(text) < LENGTH:
        reason = f"too short: a number has {LENGTH} letters and digits, this has {len(text)}"
        raise BadNumber(reason)
    if len(text) > LENGTH:
        reason = f"too long: a number has {LENGTH} letters and digits, this has {len(text)}"
        raise BadNumber(reason)
    if check_character(text[:-1]) != text[-1]:
        reason = "a letter or digit is wrong: the check character does not fit; compare it with the label"
        raise BadNumber(reason)
    return PieceNumber(text)


def _in_words(text: str) -> PieceNumber:
    for first, second in IN_WORDS.findall(text):
        try:
            return _checked(first + second)
        except BadNumber:
            continue
    reason = "no piece number in it"
    raise BadNumber(reason)


def _one_slip(text: str, number: str) -> bool:
    if len(text) != len(number):
        return False
    wrong = [place for place, (one, other) in enumerate(zip(text, number, strict=True)) if one != other]
    if len(wrong) == 1:
        return True
    if len(wrong) != 2 or wrong[1] - wrong[0] != 1:
        return False
    first, second = wrong
    return text[first] == number[second] and text[second] == number[first]
