"""Where a mark is said to be, and what a marked photo says to who cannot see it."""

from __future__ import annotations

import pytest

from siteapp.marks import wording
from siteapp.marks.kinds import KINDS
from siteapp.marks.models import PhotoMark


@pytest.mark.parametrize(
    ("x", "y", "words"),
    [
        (0, 0, "upper left"),
        (0.33, 0.33, "upper left"),
        (0.5, 0.1, "upper middle"),
        (1, 0, "upper right"),
        (0.34, 0.34, "middle"),
        (0.9, 0.5, "middle right"),
        (0, 1, "lower left"),
        (1, 1, "lower right"),
    ],
)
def test_a_mark_is_said_to_be_in_the_ninth_of_the_photo_in_which_it_lies(x: float, y: float, words: str) -> None:
    assert wording.where(x, y) == words


def test_a_marked_photo_says_its_marks_by_number() -> None:
    marks = [
        PhotoMark(number=1, x=0.1, y=0.1, kind="chip", note=None),
        PhotoMark(number=3, x=0.5, y=0.9, kind=None, note="?"),
    ]
    assert wording.alt("Front", marks) == "Front. Marks: 1 chip, upper left; 3 mark, lower middle"
    assert wording.alt("Front", []) == "Front"
    assert wording.alt("", marks).startswith("Marks: 1 chip")


def test_each_kind_is_named_once_and_one_is_for_all_else() -> None:
    values = [value for value, _words in KINDS]
    assert len(set(values)) == len(values)
    assert values[-1] == "other"
    assert [wording.kind(value) for value in values] == [str(words) for _value, words in KINDS]
