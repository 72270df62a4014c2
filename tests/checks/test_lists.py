"""The check lists that ship, and what is refused in a broken one."""

from __future__ import annotations

import hashlib

import pytest

from siteapp.checks import lists

GOOD = """
stage = "fixed"
name = "A list"

[[line]]
key = "one"
words = "One thing is true."
why = "Because of it."

[[line]]
key = "two"
words = "Another is measured."
why = "Because of that."
hold = true
photo = true
reading = { quantity = "width", unit = "mm", low = 1, high = 2.5 }
"""


def test_every_list_that_ships_can_be_used_and_has_a_hold_point() -> None:
    for stage in lists.STAGES:
        found = lists.load(stage)
        assert found.stage == stage
        assert any(line.hold for line in found.lines)


def test_no_list_ships_that_no_stage_uses() -> None:
    assert sorted(file.stem for file in lists.FOLDER.iterdir()) == sorted(lists.STAGES)


def test_the_anchors_are_proved_by_a_reading_and_a_photo_or_the_work_stops() -> None:
    holds = [line for line in lists.load("fixed").lines if line.hold]
    assert [line.key for line in holds] == ["anchors-proved"]
    assert holds[0].photo
    assert holds[0].reading == lists.Reading("lowest proof load held", "kN", 1.0, None)


def test_the_floor_of_the_proof_load_is_about_a_heavy_person_as_its_words_say() -> None:
    # Standard acceleration of free fall: 9.80665 m/s² (ISO 80000-3:2019, from memory).
    reading = next(line for line in lists.load("fixed").lines if line.hold).reading
    assert reading is not None
    assert reading.low == pytest.approx(100 * 9.80665 / 1000, rel=0.03)


def test_a_list_says_what_its_file_says() -> None:
    found = lists.read(GOOD.encode(), "good.toml")
    assert found.name == "A list"
    assert found.lines == (
        lists.Line("one", "One thing is true.", "Because of it.", hold=False, photo=False, reading=None),
        lists.Line(
            "two",
            "Another is measured.",
            "Because of that.",
            hold=True,
            photo=True,
            reading=lists.Reading("width", "mm", 1.0, 2.5),
        ),
    )


def test_the_digest_is_the_sha_256_of_the_file(tmp_path) -> None:
    (tmp_path / "fixed.toml").write_text(GOOD, encoding="utf-8")
    assert lists.load("fixed", tmp_path).digest == hashlib.sha256(GOOD.encode()).hexdigest()


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        ('key = "two"', 'key = "one"', "line 2, key “one” is line 1's already"),
        ('key = "two"', 'key = "Two Things"', "line 2, key is “Two Things”"),
        ('key = "two"', "", "line 2, key is missing"),
        ('words = "Another is measured."', 'words = " "', "line 2 (two), words must be text"),
        ('why = "Because of that."', "", "line 2 (two), why is missing"),
        ("hold = true", "hold = 1", "line 2 (two), hold is 1; allowed is true or false"),
        ("hold = true", "holds = true", "line 2 (two), holds is not known"),
        ("photo = true", 'photo = "yes"', "line 2 (two), photo is 'yes'"),
        ("low = 1, high = 2.5", "low = 3, high = 2.5", "line 2 (two), reading.low is 3, above high, which is 2.5"),
        ("low = 1, high = 2.5", "low = nan", "line 2 (two), reading.low is nan"),
        ("low = 1, high = 2.5", f"low = 1{'0' * 400}", "line 2 (two), reading.low is 1000"),
        ("low = 1, high = 2.5", "low = true", "line 2 (two), reading.low is True"),
        ("low = 1, high = 2.5", "lowest = 1", "line 2 (two), reading.lowest is not known"),
        (", low = 1, high = 2.5", "", "line 2 (two), reading needs a limit"),
        ('unit = "mm", ', "", "line 2 (two), reading.unit is missing"),
        ('quantity = "width", ', "", "line 2 (two), reading.quantity is missing"),
        (
            'reading = { quantity = "width", unit = "mm", low = 1, high = 2.5 }',
            "reading = 1",
            "reading must be a table",
        ),
        ('name = "A list"', "", "name is missing"),
        ('stage = "fixed"', 'stages = "fixed"', "stages is not known"),
        ("[[line]]", "[[row]]", "row is not known"),
        (GOOD[GOOD.index("[[line]]") :], "", "line must be one table or more"),
        ('name = "A list"', "name = A list", "is not TOML in UTF-8: Invalid value (at line 3"),
    ],
)
def test_a_mistake_is_refused_by_file_line_and_field(old: str, new: str, named: str) -> None:
    assert old in GOOD
    with pytest.raises(lists.ListProblem) as problem:
        lists.read(GOOD.replace(old, new).encode(), "broken.toml")
    assert str(problem.value).startswith("Check list broken.toml")
    assert named in str(problem.value)


def test_bytes_that_are_no_text_are_refused() -> None:
    with pytest.raises(lists.ListProblem, match=r"Check list broken\.toml is not TOML in UTF-8"):
        lists.read(b"\xff\xfe", "broken.toml")


def test_a_list_under_another_stages_name_is_refused(tmp_path) -> None:
    (tmp_path / "finished.toml").write_text(GOOD, encoding="utf-8")
    with pytest.raises(lists.ListProblem, match=r"finished\.toml, stage is “fixed”"):
        lists.load("finished", tmp_path)


def test_a_list_that_is_not_there_is_named(tmp_path) -> None:
    with pytest.raises(lists.ListProblem, match=r"Check list fixed\.toml cannot be read"):
        lists.load("fixed", tmp_path)
