"""Codes of trade items against the open standard of their numbers."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from siteapp.trade.gs1 import check_digit_is_right, parse_item

# GTIN-13 6291041500213 is the worked example of the check digit on GS1's own pages (from memory): 84 + … gives 3.
GTIN_13 = "6291041500213"


def test_the_worked_example_of_the_check_digit_is_right() -> None:
    assert check_digit_is_right(GTIN_13)
    assert not check_digit_is_right("6291041500214")


# python-stdnum, a general library of number formats, works the digit out by itself.
@given(st.from_regex(r"[0-9]{12}", fullmatch=True))
def test_every_check_digit_is_the_one_that_another_library_gives(body: str) -> None:
    assert check_digit_is_right(body + ean.calc_check_digit(body))


# GS1 General Specifications (from memory): (17) is an expiry date as YYMMDD, DD 00 the month's last day; (10) a batch
# of up to twenty characters, ended by a separator; (11) the day of production.
@pytest.mark.parametrize(
    "text",
    [
        "(01)06291041500213(17)270300(10)SM-0417(11)260115",
        "01062910415002131727030010SM-0417\x1d11260115",
        "]C101062910415002131126011517270300" + "10SM-0417",
    ],
)
def test_batch_and_dates_are_read_in_brackets_and_as_scanned(text: str) -> None:
    found = parse_item(text, this_year=2026)
    assert found is not None
    assert found.gtin == "06291041500213"
    assert found.batch == "SM-0417"
    assert found.expires_on == date(2027, 3, 31)
    assert found.made_on == date(2026, 1, 15)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "SM-0417",
        "6291041500213",
        "(17)271301",
        "(17)270230",
        "(01)06291041500214(10)A",
        "1727",
        "10" + "x" * 21,
        "99A",
    ],
)
def test_another_text_is_none_of_them(text: str) -> None:
    assert parse_item(text, this_year=2026) is None


@pytest.mark.parametrize(("year", "this_year", "read"), [("49", 2026, 2049), ("80", 2026, 1980), ("05", 2098, 2105)])
def test_a_year_is_the_nearest_one(year: str, this_year: int, read: int) -> None:
    found = parse_item(f"(17){year}0115", this_year=this_year)
    assert found is not None
    assert found.expires_on == date(read, 1, 15)


@given(st.text(max_size=60))
def test_no_text_brings_it_down(text: str) -> None:
    parse_item(text, this_year=2026)
