"""QR codes against ISO/IEC 18004:2015, tables 1 and 7, by two independent libraries, and read by a third.

The label is drawn with the library qrcode; segno says what the standard's sizes and capacities are (its capacities
were computed from its tables of data bits), zxing-cpp reads. A label's link is short and in capitals, so that it is in
the alphanumeric mode.
"""

from __future__ import annotations

import pytest
import segno
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_L, ERROR_CORRECT_M, ERROR_CORRECT_Q
from qrcode.exceptions import DataOverflowError
from qrcode.main import QRCode

from siteapp.trade.piece_number import new_number, parse_number

LEVELS = {"L": ERROR_CORRECT_L, "M": ERROR_CORRECT_M, "Q": ERROR_CORRECT_Q, "H": ERROR_CORRECT_H}
QUIET_MODULES = 4  # ISO/IEC 18004:2015, 6.3.8, from memory
LINK = "HTTP://192.168.100.100:8765/P/{}"


def _matrix(text: str, level: str = "Q", version: int | None = None) -> list[list[bool]]:
    code = QRCode(version=version, error_correction=LEVELS[level], border=QUIET_MODULES)
    code.add_data(text)
    code.make(fit=version is None)
    matrix: list[list[bool]] = code.get_matrix()
    return matrix


def _picture(matrix: list[list[bool]], px: int = 4) -> Image.Image:
    small = Image.new("L", (len(matrix), len(matrix)), 255)
    small.putdata([0 if dark else 255 for row in matrix for dark in row])
    return small.resize((len(matrix) * px, len(matrix) * px), Image.Resampling.NEAREST)


@pytest.mark.parametrize(
    ("version", "level", "digits", "capitals", "byte_count", "modules"),
    [
        # Computed: segno 1.6.6, symbol capacities in bits and mode headers.
        (1, "L", 41, 25, 17, 21),
        (2, "M", 63, 38, 26, 25),
        (3, "Q", 77, 47, 32, 29),
        (4, "M", 149, 90, 62, 33),
        (5, "M", 202, 122, 84, 37),
        (40, "L", 7089, 4296, 2953, 177),
        (40, "H", 3057, 1852, 1273, 177),
    ],
)
def test_symbols_hold_what_the_standard_says_and_no_more(
    version: int, level: str, digits: int, capitals: int, byte_count: int, modules: int
) -> None:
    for char, most in (("1", digits), ("A", capitals), ("a", byte_count)):
        full = _matrix(char * most, level, version)
        assert len(full) == modules + 2 * QUIET_MODULES
        assert segno.make(char * most, error=level, micro=False, boost_error=False).version == version
        if version < 40:
            assert segno.make(char * (most + 1), error=level, micro=False, boost_error=False).version == version + 1
        with pytest.raises((DataOverflowError, ValueError)):
            _matrix(char * (most + 1), level, version)


@given(st.binary(min_size=64, max_size=64))
@settings(max_examples=20, deadline=None)
def test_a_labels_link_makes_the_symbol_that_a_second_library_makes(random_bytes: bytes) -> None:
    link = LINK.format(new_number(random_bytes))
    other = segno.make(link, error="q", micro=False, boost_error=False)
    assert other.mode == "alphanumeric"
    assert (other.version, len(_matrix(link))) == (3, 29 + 2 * QUIET_MODULES)


def test_a_short_links_symbol_is_the_smaller_one() -> None:
    # Computed: segno 1.6.6.
    link = "HTTPS://EXAMPLE.ORG/P/SH0007K"
    other = segno.make(link, error="q", micro=False, boost_error=False)
    assert (other.version, other.mode) == (2, "alphanumeric")
    assert len(_matrix(link)) == 25 + 2 * QUIET_MODULES


@given(st.binary(min_size=64, max_size=64), st.sampled_from(["HTTP://10.0.0.2:8765", "HTTPS://PIECES.EXAMPLE", ""]))
@settings(max_examples=20, deadline=None)
def test_a_labels_code_is_read_back_by_an_independent_decoder(random_bytes: bytes, base: str) -> None:
    number = new_number(random_bytes)
    link = f"{base}/P/{number}"
    (found,) = zxingcpp.read_barcodes(_picture(_matrix(link)))
    assert found.text == link
    assert found.format == zxingcpp.BarcodeFormat.QRCode
    assert found.ec_level == "Q"
    assert parse_number(found.text).text == number


def test_a_text_code_of_words_in_any_script_is_read_back() -> None:
    words = "Reliëf, 31,4 kg\nדשה · 二人で運ぶ · لا تفتح\nK7QX-M2TR"
    (found,) = zxingcpp.read_barcodes(_picture(_matrix(words)))
    assert found.text == words


@pytest.mark.parametrize(("level", "share"), [("L", 0.07), ("M", 0.15), ("Q", 0.25), ("H", 0.30)])
def test_a_damaged_code_is_still_read_at_its_level(level: str, share: float) -> None:
    # ISO/IEC 18004, from memory: levels restore about 7, 15, 25 and 30 % of the codewords. A patch in the middle, away
    # from the finder and alignment patterns, that covers a third of that share of the symbol (and
    # so touches more codewords than it covers) must not matter.
    matrix = _matrix(LINK.format("K7QXM2TR"), level)
    picture = _picture(matrix, px=8)
    side = int((len(matrix) - 2 * QUIET_MODULES) * 8 * (share / 3) ** 0.5)
    corner = (picture.width - side) // 2
    picture.paste(255, (corner, corner, corner + side, corner + side))
    assert [found.text for found in zxingcpp.read_barcodes(picture)] == [LINK.format("K7QXM2TR")]
