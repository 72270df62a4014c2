"""Piece numbers as people type them, print them and scan them."""

from __future__ import annotations

import random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from siteapp.trade.errors import TradeError
from siteapp.trade.piece_number import (
    ALPHABET,
    BODY_LENGTH,
    BadNumber,
    PieceNumber,
    check_character,
    near_miss,
    new_number,
    parse_number,
)


def _with_check(body: str) -> str:
    return body + check_character(body)


# One number with a 0 and a 1 to be mistaken, another without.
NUMBER = _with_check("K01XM2T")
OTHER = _with_check("7QXWR4T")
DASHED = f"{NUMBER[:4]}-{NUMBER[4:]}"
bodies = st.text(ALPHABET, min_size=BODY_LENGTH, max_size=BODY_LENGTH)
numbers = bodies.map(_with_check).filter(lambda text: text[-1] in ALPHABET)


def _full_width(text: str) -> str:
    return "".join(chr(ord(char) + 0xFEE0) for char in text)


@pytest.mark.parametrize(
    "typed",
    [
        NUMBER,
        NUMBER.lower(),
        DASHED,
        f"  {DASHED}\n",
        " ".join(NUMBER),
        DASHED.replace("-", "\u2013"),
        DASHED.replace("-", "\u2011"),
        DASHED.replace("-", "\u2212"),
        DASHED.replace("-", " - "),
        DASHED.replace("-", "."),
        DASHED.replace("-", "_"),
        NUMBER.replace("0", "O"),
        NUMBER.replace("0", "o").replace("1", "i"),
        NUMBER.replace("1", "I"),
        _full_width(NUMBER),
        f"\u200f{NUMBER}\u200e",
        f"http://127.0.0.1:8765/p/{NUMBER}",
        f"HTTP://PIECES.EXAMPLE/P/{NUMBER}",
        f"https://[2001:db8::1]:8443/P/{NUMBER}/arrival?from=label#top",
        f"pieces.example/p/{NUMBER.lower()}",
        f"see http://pieces.example/p/{NUMBER}.",
        f"(http://pieces.example/p/{DASHED})",
        f"/p/{NUMBER}",
        f"http://old.example/somewhere/p/{NUMBER}?p=1",
        f"No. {DASHED}",
        f"No {NUMBER}",
        f"Piece {DASHED}, wall relief. Keep dry.",
        f"THIS SIDE FACE OPEN WITH CARE {DASHED} KEEP FLAT",
        f"WALL RELIEF\nNUMBER: {NUMBER}\nASK: THE WORKSHOP",
        f"Wall relief {NUMBER[:4]} {NUMBER[4:]} 31 kg",
    ],
)
def test_a_number_is_found_however_it_is_written(typed: str) -> None:
    assert parse_number(typed) == PieceNumber(NUMBER)


def test_a_number_is_printed_in_two_groups() -> None:
    assert PieceNumber(NUMBER).grouped == DASHED
    assert parse_number(PieceNumber(NUMBER).grouped).text == NUMBER


def _with_last_changed(text: str) -> str:
    return text[:-1] + next(char for char in ALPHABET if char != text[-1])


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("", "too short: a number has 8 letters and digits, this has 0"),
        ("   ", "too short: a number has 8 letters and digits, this has 0"),
        (NUMBER[:-1], "too short: a number has 8 letters and digits, this has 7"),
        (NUMBER + "2", "too long: a number has 8 letters and digits, this has 9"),
        (_with_last_changed(NUMBER), "check character does not fit"),
        (NUMBER[:3] + "*" + NUMBER[4:], "“*” is not a letter or digit"),
        (NUMBER[:3] + "Ä" + NUMBER[4:], "“Ä” is not a letter or digit"),
        (NUMBER[:3] + "\x00" + NUMBER[4:], "U+0000"),
        (f"http://pieces.example/p/{NUMBER[:5]}", "too short"),
        (f"http://pieces.example/p/{_with_last_changed(NUMBER)}", "check character does not fit"),
        ("http://elsewhere.example/shop?item=12345678901", "no piece number in it"),
        ("WIFI:S:the cafe;T:WPA;P:secret;;", "no piece number in it"),
        ("x" * 4001, "4001 characters are too many"),
        ("🙂" * 8, "“🙂” is not a letter or digit"),
    ],
)
def test_what_is_wrong_with_a_number_is_said(typed: str, reason: str) -> None:
    with pytest.raises(BadNumber) as raised:
        parse_number(typed)
    assert reason in raised.value.reason
    assert str(raised.value) == raised.value.reason
    raised.value.reason.encode("utf-8")


@settings(deadline=None)
@given(st.text(max_size=60) | st.text(ALPHABET + " -/.:?pP", max_size=40))
@example("\ud800" * 8)
@example("/P/")
@example("/p/%")
@example("%2Fp%2F%ff%fe")
@example("ﷺ" * 4000)
def test_any_text_at_all_is_a_number_or_a_bad_number(typed: str) -> None:
    try:
        number = parse_number(typed)
    except BadNumber as error:
        error.reason.encode("utf-8")
    else:
        assert parse_number(number.text) == number
        assert set(number.text) <= set(ALPHABET)
    assert near_miss(typed, [NUMBER, OTHER]) in {None, NUMBER, OTHER}


@settings(deadline=None)
@given(numbers, st.sampled_from(["http://a/p/{}", "{}", " {} ", "HTTPS://A.B:1/P/{}?x=y", "the piece {} is here"]))
def test_every_number_is_found_in_every_setting(number: str, setting: str) -> None:
    for text in (number, f"{number[:4]}-{number[4:]}"):
        if "the piece" in setting and not set(text) & set("0123456789"):
            continue  # a group without a digit may be two words
        assert parse_number(setting.format(text)).text == number


@settings(deadline=None)
@given(st.binary(min_size=64, max_size=64))
def test_a_new_number_has_no_i_and_no_o_and_parses(random_bytes: bytes) -> None:
    number = new_number(random_bytes)
    assert len(number) == 8
    assert set(number) <= set(ALPHABET)
    assert not set(number) & set("IO")
    assert parse_number(number).text == number
    assert new_number(random_bytes) == number


def test_too_few_random_bytes_are_refused() -> None:
    with pytest.raises(TradeError, match="random bytes"):
        new_number(b"\x01\x02")


def test_new_numbers_use_every_character_about_as_often() -> None:
    random_ = random.Random(36)
    bodies = "".join(new_number(random_.randbytes(64))[:BODY_LENGTH] for _ in range(3000))
    expected = len(bodies) / len(ALPHABET)
    # A favoured character would be off by a seventh or more (256 is not a multiple of 34). Digits may come up to an
    # eighth more often, as a body without any is drawn again.
    for char in ALPHABET:
        assert 0.8 < bodies.count(char) / expected < 1.25, char


def test_a_near_miss_is_found_by_one_wrong_character_and_by_one_swap() -> None:
    assert near_miss(_with_last_changed(NUMBER), [NUMBER, OTHER]) == NUMBER
    assert near_miss(f"{NUMBER[1]}{NUMBER[0]}{NUMBER[2:]}".lower(), [NUMBER, OTHER]) == NUMBER
    assert near_miss(f"http://pieces.example/p/{_with_last_changed(NUMBER)}", [NUMBER, OTHER]) == NUMBER


def test_a_near_miss_is_only_ever_a_number_that_exists() -> None:
    assert near_miss(_with_last_changed(NUMBER), []) is None
    assert near_miss(_with_last_changed(NUMBER), [OTHER]) is None


def test_two_numbers_as_near_as_each_other_are_no_suggestion() -> None:
    first, second = "22222222", "22222223"
    assert near_miss("22222224", [first, second]) is None
    assert near_miss("22222224", [first]) == first


def test_two_wrong_characters_are_no_near_miss() -> None:
    assert near_miss("33" + NUMBER[2:], [NUMBER]) is None


@settings(deadline=None)
@given(numbers, st.lists(numbers, max_size=5, unique=True), st.integers(0, 7), st.sampled_from(ALPHABET))
def test_a_near_miss_is_suggested_exactly_when_it_is_the_only_one(
    number: str, others: list[str], place: int, wrong: str
) -> None:
    typed = number[:place] + wrong + number[place + 1 :]
    suggested = near_miss(typed, {number, *others})
    if wrong != number[place] and not any(_distance(typed, other) <= 2 for other in others if other != number):
        assert suggested == number
    assert suggested is None or suggested in {number, *others}


def _distance(one: str, other: str) -> int:
    return sum(a != b for a, b in zip(one, other, strict=True))
