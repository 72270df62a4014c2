"""The check lists that ship, and what is refused in a broken one."""

from __future__ import annotations

import hashlib
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.checks import lists, shelf
from siteapp.pieces.models import STANDS
from tests.checks.support import shipped

GOOD = """stage = "fixed"
name = "A list"

[[line]]
key = "one"
words = "One thing is true."
why = \"\"\"Because of it,
[[line]] or not,
key = "nothing"\"\"\"

[[line]]
key = "two"
words = "Another is measured."
why = "Because of that."
hold = true
photo = true
second = true
reading = { quantity = "width", unit = "mm", low = 1, high = 2.5 }
"""
SHIPPED = shelf.read_folders(shelf.FOLDER, None)


def test_every_list_that_ships_can_be_used_and_stands_in_the_working_order() -> None:
    assert [one.problem for one in SHIPPED] == [None] * len(SHIPPED)
    assert tuple(one.key for one in SHIPPED) == shelf.ORDER
    assert [one.found.stage for one in SHIPPED if one.found] == sorted(
        (one.found.stage for one in SHIPPED if one.found), key=lists.STAGES.index
    )


@pytest.mark.parametrize("stands", [None, *STANDS])
@pytest.mark.parametrize("near_heat", [None, False, True])
@pytest.mark.parametrize("stage", lists.STAGES)
def test_every_piece_has_lists_in_every_stage_and_one_way_of_standing_has_one_list(stands, near_heat, stage) -> None:
    found = [one.found for one in SHIPPED if one.found]
    applying = [one for one in found if one.stage == stage and one.applies(stands, near_heat)]
    assert applying
    if stage == "fixed":
        ways = [one for one in applying if one.stands]
        assert [one.stands for one in ways] == [(stands or "on points",)]
        assert any(line.hold for line in ways[0].lines)
        assert any(one.heat for one in applying) == (near_heat is True)


def test_the_list_for_points_keeps_the_keys_of_what_was_recorded_before_there_were_others() -> None:
    assert [line.key for line in shipped("points").lines] == [
        "wall-as-asked",
        "anchors-proved",
        "hands-and-aids",
        "offered-up",
        "nuts-marked",
        "level",
    ]


@pytest.mark.parametrize("key", ["points", "rails"])
def test_the_anchors_are_proved_by_what_was_recorded_or_the_work_stops(key: str) -> None:
    proof = next(line for line in shipped(key).lines if line.key == "anchors-proved")
    assert (proof.hold, proof.calculation) == (True, lists.ANCHORS_PROVED)


def test_every_calculation_of_hanging_fills_a_line_for_points_and_for_rails_and_none_for_what_does_not_hang() -> None:
    asked = {
        stands: {
            line.calculation
            for one in SHIPPED
            if one.found and one.found.applies(stands, None)
            for line in one.found.lines
        }
        for stands in ("on points", "on rails", "free-standing", "suspended")
    }
    hanging = set(lists.CALCULATIONS) - {lists.WEIGHED, lists.SAFE_TO_UNWRAP}
    assert asked["on points"] - {None} == asked["on rails"] - {None} == set(lists.CALCULATIONS) - {lists.CLEARANCES}
    for stands in ("free-standing", "suspended"):
        assert asked[stands] & hanging == {lists.ROUTE, lists.LIFT}


def test_nothing_that_is_worked_out_is_asked_by_hand_too() -> None:
    # The keys under which the same was asked before it was worked out.
    gone = {"nothing-behind", "diagonals", "proof-told", "who-set", "consent"}
    for stands in ("on points", "on rails"):
        keys = {
            line.key for one in SHIPPED if one.found and one.found.applies(stands, None) for line in one.found.lines
        }
        assert not keys & gone


@pytest.mark.parametrize("stands", [None, "on points", "on rails", "free-standing", "suspended"])
def test_the_owners_consent_stops_the_work_however_the_piece_stands(stands: str | None) -> None:
    # For what hangs on a wall it is a part of the wall as found, which the form that came back stands on.
    before = [
        line
        for one in SHIPPED
        if one.found and one.found.stage == "ready" and one.found.applies(stands, None)
        for line in one.found.lines
    ]
    assert [line.key for line in before if line.hold and line.key in {"consent", "form-back"}] == [
        "consent" if stands in ("free-standing", "suspended") else "form-back"
    ]


def test_a_limit_says_that_it_is_our_own_choice_or_names_its_rule() -> None:
    limited = [line for one in SHIPPED if one.found for line in one.found.lines if line.reading]
    assert limited
    for line in limited:
        assert "our own choice" in line.why or "from memory" in line.why or "plate" in line.why, line.key


def test_no_list_promises_that_anything_is_safe() -> None:
    for one in SHIPPED:
        told = " ".join(f"{line.words} {line.why}" for line in (one.found.lines if one.found else ()))
        assert not {"safe", "guaranteed", "guarantee"} & set(told.lower().replace(".", " ").replace(",", " ").split())


def test_the_weight_before_the_van_leaves_is_worked_out_and_stops_the_work() -> None:
    line = next(line for line in shipped("before-the-van").lines if line.key == "weighed")
    assert (line.hold, line.calculation) == (True, lists.WEIGHED)
    assert any(line.calculation == lists.SAFE_TO_UNWRAP for line in shipped("unwrapping").lines)


def test_a_list_says_what_its_file_says() -> None:
    found = lists.read(GOOD.encode(), "good.toml")
    assert (found.key, found.stage, found.name, found.stands, found.heat) == ("good", "fixed", "A list", (), False)
    assert [line.key for line in found.lines] == ["one", "two"]
    assert found.lines[1] == lists.Line(
        "two",
        "Another is measured.",
        "Because of that.",
        hold=True,
        photo=True,
        second=True,
        reading=lists.Reading("width", "mm", 1.0, 2.5),
    )
    assert found.digest == hashlib.sha256(GOOD.encode()).hexdigest()


@pytest.mark.parametrize(
    ("old", "new", "line", "named"),
    [
        ('key = "two"', 'key = "one"', 12, "key of check 2 “one” is check 1's already"),
        ('key = "two"', 'key = "Two Things"', 12, "key of check 2 is “Two Things”"),
        ('key = "two"', 'key = "release"', 12, "key of check 2 is “release”"),
        ('key = "two"', "", 11, "key of check 2 is missing"),
        ('words = "Another is measured."', 'words = " "', 13, "words of check 2 must be text"),
        ('why = "Because of that."', "", 11, "why of check 2 is missing"),
        ("hold = true", "hold = 1", 15, "hold of check 2 is 1; allowed is true or false"),
        ("hold = true", "holds = true", 15, "holds of check 2 is not known"),
        ("photo = true", 'photo = "yes"', 16, "photo of check 2 is 'yes'"),
        ("second = true", "second = [1]", 17, "second of check 2 is [1]"),
        ("low = 1, high = 2.5", "low = 3, high = 2.5", 18, "reading.low of check 2 is 3, above high, which is 2.5"),
        ("low = 1, high = 2.5", "low = nan", 18, "reading.low of check 2 is nan"),
        ("low = 1, high = 2.5", f"low = 1{'0' * 400}", 18, "reading.low of check 2 is 1000"),
        ("low = 1, high = 2.5", "low = true", 18, "reading.low of check 2 is True"),
        ("low = 1, high = 2.5", "lowest = 1", 18, "reading.lowest of check 2 is not known"),
        (", low = 1, high = 2.5", "", 18, "reading of check 2 needs a limit"),
        ('unit = "mm", ', "", 18, "reading.unit of check 2 is missing"),
        ('quantity = "width", ', "", 18, "reading.quantity of check 2 is missing"),
        ("reading = {", "[line.reading]\nlow = 9\nhigh = 1\nquantity = 1\nunit = {", 21, "quantity of check 2 must be"),
        ('reading = { quantity = "width", unit = "mm", low = 1, high = 2.5 }', "reading = 1", 18, "must be a table"),
        ("second = true", 'calculation = "weighed"', 17, "calculation of check 2 cannot stand together with reading"),
        ("second = true", 'calculation = "guessed"', 17, "calculation of check 2 is “guessed”; allowed is one"),
        ('name = "A list"', "", None, "name is missing"),
        ('name = "A list"', 'name = "A list"\nstands = ["on wheels"]', 3, "stands is ['on wheels']; allowed are"),
        ('name = "A list"', 'name = "A list"\nstands = "on points"', 3, "stands is 'on points'"),
        ('name = "A list"', 'name = "A list"\nheat = "yes"', 3, "heat is 'yes'; allowed is true or false"),
        ('stage = "fixed"', 'stage = "finished"', 1, "stage is “finished”; allowed is one of ready, arrived, fixed"),
        ('stage = "fixed"', 'stages = "fixed"', 1, "stages is not known"),
        ('[[line]]\nkey = "two"', '[[row]]\nkey = "two"', 11, "row is not known"),
        (GOOD[GOOD.index("[[line]]") :], "", None, "line must be 1 to 100 checks"),
        (GOOD[GOOD.index("[[line]]") :], "line = 4", 4, "line must be 1 to 100 checks"),
        ('name = "A list"', "name = A list", 2, "is not TOML in UTF-8: Invalid value (at line 2"),
        ("high = 2.5 }\n", "", 18, "is not TOML in UTF-8"),
    ],
)  # fmt: skip
def test_a_mistake_is_refused_by_file_line_and_field(old: str, new: str, line: int | None, named: str) -> None:
    assert old in GOOD
    with pytest.raises(lists.ListProblem) as problem:
        lists.read(GOOD.replace(old, new).encode(), "broken.toml")
    faults = [fault for fault in problem.value.faults if named in str(fault)]
    assert [(fault.file, fault.line) for fault in faults] == [("broken.toml", line)], problem.value
    where = f", line {line}" if line else ""
    assert str(faults[0]).startswith(f"Check list broken.toml{where}: ")


def test_every_mistake_of_a_file_is_told_at_once() -> None:
    text = GOOD.replace("hold = true", "hold = 1").replace('name = "A list"', "").replace('key = "one"', 'key = "1"')
    with pytest.raises(lists.ListProblem) as problem:
        lists.read(text.encode(), "broken.toml")
    assert [fault.line for fault in problem.value.faults] == [None, 5, 15]


def test_bytes_that_are_no_text_are_refused_with_their_line() -> None:
    with pytest.raises(lists.ListProblem, match=r"Check list broken\.toml, line 3: it is not TOML in UTF-8"):
        lists.read(b'stage = "fixed"\n\n\xff\xfe', "broken.toml")


@pytest.mark.parametrize("name", ["My List.toml", "1.toml", "-a.toml", f"{'a' * 41}.toml", "ä.toml"])
def test_a_file_whose_name_is_no_key_is_refused(name: str) -> None:
    with pytest.raises(lists.ListProblem, match="its name is"):
        lists.read(GOOD.encode(), name)


def test_a_file_that_is_too_large_is_refused_before_it_is_read() -> None:
    with pytest.raises(lists.ListProblem, match="allowed are 200,000"):
        lists.read(b"#" * 200_001, "large.toml")


@given(st.binary(max_size=300) | st.text(max_size=300).map(str.encode))
def test_whatever_a_file_holds_it_is_read_or_refused(data: bytes) -> None:
    with suppress(lists.ListProblem):
        assert lists.read(data, "any.toml").lines
