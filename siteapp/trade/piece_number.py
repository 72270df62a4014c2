"""Piece numbers: seven random characters and a check character (ISO/IEC 7064:2003, MOD 37,36).

Letters I and O are never used, the check character included: on a dusty label they are read as 1 and 0.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import unquote

from siteapp.trade.errors import TradeError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

ISO_ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
ALPHABET = "".join(char for char in ISO_ALPHABET if char not in "IO")
BODY_LENGTH = 7
LENGTH = BODY_LENGTH + 1
MODULUS = 36
LEAST_BYTES = BODY_LENGTH
LONGEST_TYPED = 4000
SAME_LOOK = str.maketrans({"O": "0", "I": "1"})
DASHES = r"\-\u2010-\u2015\u2212\u00ad"
# What people and printers put between the groups: spaces, hyphens and dashes, dots, underscores.
BETWEEN = re.compile(rf"[\s{DASHES}._]+")
IN_LINK = re.compile(r"/P/([^/?#\s]+)")
AFTER_LINK = ".,;:!)]}>\"'”’"
# A number among other words, in one group or in two, with nothing glued to it. From the surest look to the least:
# with a dash and a digit, in one piece or with a space and a digit, with a dash alone ("HAND-MADE" has that too).
DASHED = re.compile(rf"(?<![0-9A-Z])([0-9A-Z]{{4}})[{DASHES}]([0-9A-Z]{{4}})(?![0-9A-Z])")
PLAIN = re.compile(r"(?<![0-9A-Z])([0-9A-Z]{4}) ?([0-9A-Z]{4})(?![0-9A-Z])")
DIGIT = re.compile("[0-9]")


class BadNumber(TradeError):
    """A typed or scanned text that holds no piece number; `reason` says why in plain words."""

    def __init__(self, reason: str) -> None:
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
            reason = f"{_shown(char)} is not a letter or digit of a number"
            raise BadNumber(reason)
        total = (product + value) % MODULUS or MODULUS
        product = total * 2 % (MODULUS + 1)
    return ISO_ALPHABET[(MODULUS + 1 - product) % MODULUS]


def new_number(random_bytes: bytes) -> str:
    """A new number from random bytes: the same bytes give the same number, every number is as likely as another.

    At least 7 bytes; give 32 or more of a source fit for secrets. Bytes that would favour some characters are passed
    over, and a body is drawn again when its check character would be I or O or when it has no digit (*ours*: a number
    with a digit is not taken for a word). Used-up bytes are stretched with SHA-256. Raises TradeError for fewer bytes.
    """
    if len(random_bytes) < LEAST_BYTES:
        message = f"random bytes are {len(random_bytes)}; allowed are {LEAST_BYTES} or more"
        raise TradeError(message)
    chars = _characters(random_bytes)
    while True:
        body = "".join(next(chars) for _ in range(BODY_LENGTH))
        check = check_character(body)
        if check in ALPHABET and DIGIT.search(body):
            return body + check


def parse_number(typed: str) -> PieceNumber:
    """The piece number in what was typed or scanned, at most 4000 characters.

    Takes lower case, spaces and dashes, O for 0 and I for 1, full-width characters, a whole link whatever its host,
    or the words of a text QR with the number among them. Raises BadNumber, which says what is wrong.
    """
    text = _plain(typed)
    link = _in_link(text)
    if link is not None:
        return _checked(link)
    compact = BETWEEN.sub("", text)
    try:
        return _checked(compact)
    except BadNumber:
        among_words = _in_words(text)
        if among_words is not None:
            return among_words
        if len(compact) > 2 * LENGTH:
            reason = "no piece number in it"
            raise BadNumber(reason) from None
        raise


def near_miss(typed: str, existing: Iterable[str]) -> str | None:
    """The one number among `existing` that `typed` misses by one character or by one swap of neighbours, else None.

    `existing` are numbers of eight capital letters and digits; `typed` may be anything that `parse_number` looks at.
    """
    try:
        text = _plain(typed)
    except BadNumber:
        return None
    compact = (_in_link(text) or BETWEEN.sub("", text)).translate(SAME_LOOK)
    near = [number for number in existing if _one_slip(compact, number)]
    return near[0] if len(near) == 1 else None


def _characters(random_bytes: bytes) -> Iterator[str]:
    fair = 256 // len(ALPHABET) * len(ALPHABET)
    block, count = random_bytes, 0
    while True:
        yield from (ALPHABET[byte % len(ALPHABET)] for byte in block if byte < fair)
        count += 1
        block = hashlib.sha256(count.to_bytes(8, "big") + random_bytes).digest()


def _plain(typed: str) -> str:
    """Capitals of the plain kind, without marks that cannot be seen (zero width, direction)."""
    if len(typed) > LONGEST_TYPED:
        reason = f"{len(typed)} characters are too many for a number or a label; at most {LONGEST_TYPED} are read"
        raise BadNumber(reason)
    upper = unicodedata.normalize("NFKC", typed).upper().strip()
    return "".join(char for char in upper if char == "\u00ad" or unicodedata.category(char) != "Cf")


def _in_link(text: str) -> str | None:
    """What stands where links have the number, the first that fits if there are several links."""
    found = [BETWEEN.sub("", unquote(part).strip(AFTER_LINK)) for part in IN_LINK.findall(text)]
    return next((part for part in found if _fits(part)), found[0] if found else None)


def _in_words(text: str) -> PieceNumber | None:
    dashed = ["".join(groups) for groups in DASHED.findall(text)]
    plain = ["".join(groups) for groups in PLAIN.findall(text)]
    with_digit = [part for part in (*dashed, *plain) if DIGIT.search(part)]
    return next((_checked(part) for part in (*with_digit, *dashed) if _fits(part)), None)


def _fits(part: str) -> bool:
    try:
        _checked(part)
    except BadNumber:
        return False
    return True


def _checked(text: str) -> PieceNumber:
    text = text.translate(SAME_LOOK)
    foreign = next((char for char in text if char not in ALPHABET), None)
    if foreign is not None:
        reason = f"{_shown(foreign)} is not a letter or digit that numbers have"
        raise BadNumber(reason)
    if len(text) != LENGTH:
        fault = "too short" if len(text) < LENGTH else "too long"
        reason = f"{fault}: a number has {LENGTH} letters and digits, this has {len(text)}"
        raise BadNumber(reason)
    if check_character(text[:-1]) != text[-1]:
        reason = "a letter or digit is wrong: the check character does not fit; compare it with the label"
        raise BadNumber(reason)
    return PieceNumber(text)


def _shown(char: str) -> str:
    return f"“{char}”" if char.isprintable() else f"the character U+{ord(char):04X}"


def _one_slip(text: str, number: str) -> bool:
    if len(text) != len(number):
        return False
    wrong = [place for place, (one, other) in enumerate(zip(text, number, strict=True)) if one != other]
    if len(wrong) == 1:
        return True
    if len(wrong) != 2 or wrong[1] - wrong[0] != 1:  # noqa: PLR2004 - a swap is two places
        return False
    first, second = wrong
    return text[first] == number[second] and text[second] == number[first]
