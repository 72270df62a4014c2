"""Check characters against ISO/IEC 7064:2003 MOD 37,36, by an independent library: python-stdnum.

What the standard says of the system is from memory: every single substitution is found, and nearly every swap of
neighbours. Check values are from the library's documentation (read there) or were computed with it, as each row says.
"""

from __future__ import annotations

import itertools
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from siteapp.trade.piece_number import ALPHABET, ISO_ALPHABET, BadNumber, check_character, new_number, parse_number

DETECTION_SEED = 7064


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("A12425GABC1234002", "M"),  # read: the library's own documentation (example of a release identifier)
        ("WH20260001", "1"),  # computed: python-stdnum 2.2
        ("SH0007", "I"),  # computed: python-stdnum 2.2
        ("PIECE0042", "D"),  # computed: python-stdnum 2.2
        ("X", "8"),  # computed: python-stdnum 2.2
    ],
)
def test_check_characters_that_others_computed(body: str, expected: str) -> None:
    assert check_character(body) == expected
    assert mod_37_36.calc_check_digit(body) == expected


@settings(deadline=None)
@given(st.text(ISO_ALPHABET, min_size=1, max_size=40))
def test_any_body_has_the_librarys_check_character(body: str) -> None:
    assert check_character(body) == mod_37_36.calc_check_digit(body)


@settings(deadline=None)
@given(st.binary(min_size=64, max_size=64))
def test_every_new_number_is_valid_to_the_library(random_bytes: bytes) -> None:
    assert mod_37_36.is_valid(new_number(random_bytes))


@settings(deadline=None)
@given(st.text(ALPHABET, min_size=8, max_size=8))
def test_eight_characters_are_taken_exactly_when_the_library_takes_them(text: str) -> None:
    assert _is_taken(text) == mod_37_36.is_valid(text)


def _is_taken(text: str) -> bool:
    try:
        return parse_number(text).text == text
    except BadNumber:
        return False


def _some_numbers(how_many: int) -> list[str]:
    random_ = random.Random(DETECTION_SEED)
    return [new_number(random_.randbytes(64)) for _ in range(how_many)]


@pytest.mark.parametrize("number", _some_numbers(20))
def test_every_single_substitution_is_found(number: str) -> None:
    for place, wrong in itertools.product(range(len(number)), ALPHABET):
        if wrong != number[place]:
            typed = number[:place] + wrong + number[place + 1 :]
            assert not _is_taken(typed), f"{typed} passes for {number}"


def test_all_single_substitutions_of_a_published_row_are_found() -> None:
    # Computed with python-stdnum 2.2: SH0007 with I, 245 substitutions and 4 swaps of unlike neighbours, all found.
    text = "SH0007I"
    substituted = {
        text[:place] + char + text[place + 1 :]
        for place, char in itertools.product(range(len(text)), ISO_ALPHABET)
        if char != text[place]
    }
    swapped = {_swapped(text, place) for place in range(len(text) - 1)} - {text}
    assert (len(substituted), len(swapped)) == (245, 4)
    for wrong in substituted | swapped:
        assert check_character(wrong[:-1]) != wrong[-1], wrong
        assert not mod_37_36.is_valid(wrong), wrong


def _swapped(text: str, place: int) -> str:
    return text[:place] + text[place + 1] + text[place] + text[place + 2 :]


def test_swaps_of_neighbours_are_found_but_for_one_pair_of_consecutive_characters() -> None:
    """After any start, exactly one of the 630 unordered pairs may be swapped unseen, and its values are neighbours.

    With x and y for the two sums before doubling, a swap is unseen when 2x mod 37 - x and 2y mod 37 - y agree modulo
    36, which for 1…36 happens only at 18 and 19. The library, asked about the same swaps, must agree.
    """
    for start in ISO_ALPHABET:
        unseen = []
        for first, second in itertools.combinations(ISO_ALPHABET, 2):
            one, other = start + first + second, start + second + first
            assert (check_character(one) == check_character(other)) == (
                mod_37_36.checksum(one) == mod_37_36.checksum(other)
            )
            if check_character(one) == check_character(other):
                unseen.append((ISO_ALPHABET.index(second) - ISO_ALPHABET.index(first)) % 36)
        assert unseen in ([1], [35])
