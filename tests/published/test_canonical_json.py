"""Canonical JSON as every digest uses it, against RFC 8785 (JSON Canonicalization Scheme); its vectors are from memory.

The store hashes through `sha256_of`; that it hashes exactly these bytes is what is shown here.
"""

from __future__ import annotations

import hashlib
import json
import math
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.store.digests import sha256_of


def _digest_of_text(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def test_properties_are_sorted_by_utf_16_code_units() -> None:
    # RFC 8785, 3.2.3, from memory. By code points the emoji would come last, after U+FB33.
    names = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    expected = (
        '{"\\r":"Carriage Return","1":"One","\u0080":"Control","ö":"Latin Small Letter O With Diaeresis",'
        '"€":"Euro Sign","😀":"Emoji: Grinning Face","\ufb33":"Hebrew Letter Dalet With Dagesh"}'
    )
    assert sha256_of(names) == _digest_of_text(expected)


@pytest.mark.parametrize(
    ("number", "text"),
    [
        # RFC 8785, appendix B, from memory; crosschecked with the library rfc8785 0.1.4.
        (0.0, "0"),
        (-0.0, "0"),
        (5e-324, "5e-324"),
        (1.7976931348623157e308, "1.7976931348623157e+308"),
        (295147905179352830000.0, "295147905179352830000"),
        (1e21, "1e+21"),
        (1e-7, "1e-7"),
        (1424953923781206.2, "1424953923781206.2"),
        (333333333.33333329, "333333333.3333333"),
        (4.50, "4.5"),
        (2e-3, "0.002"),
        (1e30, "1e+30"),
        (9007199254740991, "9007199254740991"),
    ],
)
def test_numbers_are_written_as_the_standard_writes_them(number: float, text: str) -> None:
    assert sha256_of(number) == _digest_of_text(text)
    assert sha256_of([number]) == _digest_of_text(f"[{text}]")


def test_text_is_escaped_as_little_as_the_standard_asks() -> None:
    # RFC 8785, 3.2.2.2, from memory: short escapes where JSON has them, lower-case \\u00xx for other controls.
    assert sha256_of('€$\x0f\nA\'B"\\\\"/\x7f') == _digest_of_text('"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/\x7f"')


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 2**53, {"a": {1, 2}}])
def test_what_has_no_canonical_form_has_no_digest(value: Any) -> None:
    with pytest.raises(rfc8785.CanonicalizationError):
        sha256_of(value)


JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(codec="utf-8")),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(st.characters(codec="utf-8")), inner, max_size=4)
    ),
    max_leaves=12,
)


@settings(deadline=None)
@given(JSON_VALUES)
def test_writing_reading_and_writing_again_changes_no_digest(value: Any) -> None:
    # An independent reader: json of the standard library, told that every number is a double, as the standard has it.
    assert sha256_of(json.loads(rfc8785.dumps(value), parse_int=float)) == sha256_of(value)


@settings(deadline=None)
@given(st.dictionaries(st.text(st.characters(codec="utf-8")), st.integers(0, 9), max_size=6), st.randoms())
def test_the_order_of_making_an_object_changes_no_digest(value: dict[str, int], random_: Any) -> None:
    items = list(value.items())
    random_.shuffle(items)
    assert sha256_of(dict(items)) == sha256_of(value)
