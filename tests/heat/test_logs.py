"""Loggers' files in the shapes they come in."""

from __future__ import annotations

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.heat.testing.logs import LARGEST_BYTES, Unreadable, read_log, text_of

LIT = datetime(2026, 11, 20, 22, 30)  # noqa: DTZ001 - on the laptop's clock


def read(text: str, **told):
    return read_log(text, lit_at=LIT, **told)


@pytest.mark.parametrize(
    ("text", "names", "points"),
    [
        (
            "min,face,bond\n0,20.5,20.1\n10,31.25,24",
            ["face", "bond"],
            [[(0, 20.5), (10, 31.25)], [(0, 20.1), (10, 24)]],
        ),
        ("min;face\n0;20,5\n10;31,25", ["face"], [[(0, 20.5), (10, 31.25)]]),
        (
            "22:30 20,5 20,1\n22:40 31,25 24",
            ["column 1", "column 2"],
            [[(0, 20.5), (10, 31.25)], [(0, 20.1), (10, 24)]],
        ),
        ("time\tface\n22:30:30\t20.5\n00:10:00\t60", ["face"], [[(0.5, 20.5), (100, 60)]]),
        ("t (s);P1\n0;20\n90;21", ["P1"], [[(0, 20), (1.5, 21)]]),
        ("hours;P1\n0;20\n1,5;21", ["P1"], [[(0, 20), (90, 21)]]),
        ("2026-11-20T22:30:00,20\n2026-11-21T00:30:00,61", ["column 1"], [[(0, 20), (120, 61)]]),
        ("20.11.2026;22:40;20,5\n21.11.2026;0:10;60", ["column 1"], [[(10, 20.5), (100, 60)]]),
        ('"0","20.5 °C"\n"5","22 C"', ["column 1"], [[(0, 20.5), (5, 22)]]),
        ("5 42", ["column 1"], [[(5, 42)]]),
    ],
)
def test_a_log_is_read_whatever_logger_wrote_it(text: str, names: list[str], points: list[list[tuple]]) -> None:
    found = read(text)
    assert [one.name for one in found.columns] == names
    assert [[pytest.approx(point) for point in one.points] for one in found.columns] == points


def test_clock_times_run_over_midnight_more_than_once() -> None:
    text = "\n".join(f"{(22 * 60 + 30 + 60 * at) // 60 % 24:02d}:30;{20 + at}" for at in range(40))
    (column,) = read(text).columns
    assert [at for at, _ in column.points] == [60.0 * at for at in range(40)]


def test_readings_before_lighting_are_left_out_and_named() -> None:
    found = read("22:20;19\n22:30;20\n22:40;25")
    assert [one.points for one in found.columns] == [((0, 20), (10, 25))]
    assert found.left_out == ("line 1: “22:20;19”",)


def test_broken_lines_are_left_out_named_and_counted() -> None:
    lines = ["min;P1", "0;20", *["ERR;---"] * 20, "10;30", "20;"]
    found = read("\n".join(lines))
    assert found.columns[0].points == ((0, 20), (10, 30))
    assert found.left_out[0] == "line 3: “ERR;---”"
    assert found.left_out[-1] == "and 9 more lines"


def test_a_column_that_ends_early_keeps_what_it_has() -> None:
    found = read("min;P1;P2\n0;20;21\n10;30;\n20;35")
    assert [len(one.points) for one in found.columns] == [3, 1]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "nothing in it"),
        ("   \n\n", "nothing in it"),
        ("a;b\nc;d", "No line of it holds a time and a temperature"),
        ("11/12/2026;22:40;20", "read in two ways"),
        ("0;" + ";".join("20" for _ in range(13)), "13 columns"),
        ("0;20\n" * 50_001, "50001 lines"),
    ],
)
def test_what_cannot_be_read_says_why(text: str, why: str) -> None:
    with pytest.raises(Unreadable, match=why):
        read(text)


def test_a_log_of_twenty_thousand_lines_is_read_whole() -> None:
    text = "min;P1;P2\n" + "\n".join(f"{at / 100:.2f};{20 + at / 500:.2f};21,5" for at in range(20_000))
    found = read(text)
    assert [len(one.points) for one in found.columns] == [20_000, 20_000]


def test_fahrenheit_is_seen_in_the_header_and_converted_when_it_is_said() -> None:
    text = "min;face (°F);bond\n0;68;70"
    assert read(text).fahrenheit == ("face (°F)",)
    assert read(text, fahrenheit=True).columns[0].points[0] == (0, pytest.approx(20))


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_the_usual_encodings_are_read(coding: str) -> None:
    assert text_of("min;Fläche °C\n0;20".encode(coding)) == "min;Fläche °C\n0;20"


def test_a_file_too_large_is_refused() -> None:
    with pytest.raises(Unreadable, match="900 000 bytes"):
        text_of(b"0" * (LARGEST_BYTES + 1))


@given(st.text(max_size=300))
def test_no_text_brings_it_down(text: str) -> None:
    try:
        found = read(text)
    except Unreadable:
        return
    assert all(0 <= at <= 20_160 and -40 <= celsius <= 1000 for one in found.columns for at, celsius in one.points)


@given(st.lists(st.tuples(st.integers(0, 2000), st.floats(-40, 1000)), min_size=1, max_size=30), st.sampled_from(";\t"))
def test_what_was_written_comes_back(readings: list[tuple[int, float]], sign: str) -> None:
    text = "\n".join(f"{at}{sign}{value:.2f}" for at, value in readings)
    (column,) = read(text).columns
    assert [at for at, _ in column.points] == [at for at, _ in readings]
    assert [value for _, value in column.points] == [pytest.approx(value, abs=0.006) for _, value in readings]
