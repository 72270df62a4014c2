"""What a file says and in which line: TOML and CSV read, written out and read back, refused in words."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from siteapp.pieces.bringing import examples, from_csv, from_toml
from siteapp.pieces.bringing.judged import plain_text, read, text_of
from siteapp.pieces.bringing.told import MOST_PIECES, PIECE_FIELDS, ROW_FIELDS, Told, Unreadable
from siteapp.pieces.bringing.toml_lines import line_of, lines_of

# What a form can hold: no control characters but tab and line feed; a dash alone means nothing in a table.
TEXTS = st.text(
    st.characters(exclude_categories=("Cs", "Cc"), include_characters="\t\n"), min_size=1, max_size=40
).filter(lambda text: text.strip() not in {"", "-", "–", "—"})
FIGURES = st.floats(min_value=-20_000, max_value=20_000, allow_nan=False).map(lambda value: round(value, 4))
VALUES = st.one_of(TEXTS, FIGURES, st.integers(-99_999, 99_999), st.booleans())
ROWS = {
    name: st.lists(st.dictionaries(st.sampled_from(fields), VALUES, min_size=1), max_size=3)
    for name, fields in ROW_FIELDS.items()
}
PIECES = st.lists(
    st.builds(
        lambda fields, rows: fields | rows,
        st.dictionaries(st.sampled_from(PIECE_FIELDS), VALUES, min_size=1),
        st.fixed_dictionaries({}, optional=ROWS),
    ),
    min_size=1,
    max_size=4,
)


def values(told: list[Told]) -> list[dict[str, Any]]:
    return [
        {name: cell.text for name, cell in one.cells.items()}
        | {
            name: [{key: cell.text for key, cell in row.cells.items()} for row in rows]
            for name, rows in one.rows.items()
        }
        for one in told
    ]


def texts(value: Any, mark: str) -> Any:
    """What a reader should find where a value was written: figures as typed, with the file's decimal mark."""
    if isinstance(value, list):
        return [{key: texts(each, mark) for key, each in row.items()} for row in value]
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return float(value)
    return str(value)


def as_read(told: list[Told], written: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The texts that were read, where a figure was written as a figure."""

    def one(read: Any, wrote: Any) -> Any:
        if isinstance(wrote, list):
            return [{key: one(row[key], was[key]) for key in row} for row, was in zip(read, wrote, strict=True)]
        return float(read.replace(",", ".")) if isinstance(wrote, float) else read

    return [{key: one(piece[key], was[key]) for key in piece} for piece, was in zip(values(told), written, strict=True)]


@given(PIECES)
def test_what_is_written_as_toml_is_read_as_it_was(pieces: list[dict[str, Any]]) -> None:
    text = examples.as_toml(pieces)
    told, problems = from_toml.read(text)
    assert problems == []
    assert as_read(told, pieces) == [{key: texts(value, ".") for key, value in one.items()} for one in pieces]


@given(PIECES)
def test_every_value_of_toml_is_said_to_stand_in_the_line_that_names_it(pieces: list[dict[str, Any]]) -> None:
    text = examples.as_toml(pieces)
    lines = text.split("\n")
    told, _problems = from_toml.read(text)
    for one in told:
        assert lines[one.line - 1] == "[[piece]]"
        for name, cell in one.cells.items():
            assert lines[cell.line - 1].startswith(f"{name} = ")
        for name, rows in one.rows.items():
            for row in rows:
                assert lines[row.line - 1] == f"[[piece.{name}]]"
                assert all(lines[cell.line - 1].startswith(f"{key} = ") for key, cell in row.cells.items())


@pytest.mark.parametrize("delimiter", [";", ",", "\t"])
@given(pieces=PIECES)
def test_what_is_written_as_a_table_is_read_as_it_was(delimiter: str, pieces: list[dict[str, Any]]) -> None:
    told, problems = from_csv.read(plain_text(examples.as_csv(pieces, delimiter)))
    assert problems == []
    mark = "," if delimiter == ";" else "."
    assert as_read(told, pieces) == [{key: texts(value, mark) for key, value in one.items()} for one in pieces]


@given(PIECES)
def test_toml_and_a_table_of_the_same_pieces_are_told_apart_and_say_the_same(pieces: list[dict[str, Any]]) -> None:
    toml, table = read(examples.as_toml(pieces)), read(examples.as_csv(pieces, ","))
    assert as_read(toml[0], pieces) == as_read(table[0], pieces)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused_in_words(data: bytes) -> None:
    told: list[Told] = []
    try:
        told, problems = read(text_of(data))
    except Unreadable as unreadable:
        problems = list(unreadable.problems)
    assert told or problems
    assert all(problem.line >= 1 and problem.words for problem in problems)


@given(st.text(st.sampled_from("[]{}=\"'#,.\n \\abpiece10"), max_size=60))
def test_lines_are_found_in_whatever_tomllib_takes(text: str) -> None:
    """Of each key that tomllib found the line is known, and the walk over the text ends."""
    try:
        everything = tomllib.loads(text)
    except ValueError:
        return
    lines = lines_of(text)
    assert all((key,) in lines for key in everything)


def test_lines_are_known_in_toml_as_people_write_it() -> None:
    text = """# invented
piece = [
  { title = "One", build_up = [ { material = "a" },

      { material = '''two
lines''', thickness_mm = 3 } ] },
  # between
  { title = "Two" },
]
[other."a.b"]
x.y = [1,
  2]
"""
    lines = lines_of(text)
    assert tomllib.loads(text)["piece"][0]["build_up"][1]["thickness_mm"] == 3
    wanted = {
        ("piece",): 2,
        ("piece", 0): 3,
        ("piece", 0, "build_up", 1): 5,
        ("piece", 0, "build_up", 1, "thickness_mm"): 6,
        ("piece", 1, "title"): 8,
        ("other", "a.b", "x", "y", 1): 12,
    }
    assert {path: lines[path] for path in wanted} == wanted
    assert line_of(lines, "piece", 1, "nothing of the kind") == 8
    assert line_of(lines, "nothing of the kind") == 1


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("[[piece]]\ntitle = ", 2, "this is not TOML"),
        ("[[piece]]\ntitle = 'a\n'", 2, "this is not TOML"),
        ("[piece]\ntitle = 'a'", 1, "write [[piece]] in two square brackets"),
        ("title = 'a'", 1, "there is no piece in it"),
        ("[[piece]]\n" * (MOST_PIECES + 1), MOST_PIECES + 1, "501 pieces are too many. Give at most 500"),
        ("[[piece]]\nlift_people = " + "9" * 5000, 1, "nobody would write by hand"),
        ("[[piece]]\ntitle = " + "[" * 5000, 1, "nobody would write by hand"),
        ("", 1, "there is nothing in it"),
        ("\n\n  \n", 1, "there is nothing in it"),
        ("title;width_mm", 1, "there is no piece in it"),
        ('title;width_mm\n"a;3\nb;4\n', 2, "quotation marks here are not closed"),
        ('title;width_mm\na;3\n"b"c;4\n', 3, "quotation marks here are not closed"),
        ("title\n" + "a\n" * (MOST_PIECES + 1), MOST_PIECES + 2, "501 pieces are too many"),
        ("x" * 600_001, 1, "600 001 bytes are too many. Give at most 600 000"),
    ],
)
def test_a_text_that_cannot_be_read_is_refused_with_its_line(text: str, line: int, words: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read(text)
    (problem,) = [one for one in refused.value.problems if words in one.words.replace("\u202f", " ")]
    assert problem.line == line


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[piece]]\nwidht_mm = 3", "Line 2: “widht_mm” is not a field here. Did you mean “width_mm”?"),
        ("[[piece]]\ntitle = [1]", "Line 2: Title: a list, a table or a time of day is not taken."),
        ("[[piece]]\nmade_on = 10:30:00", "Line 2: Made: a list, a table or a time of day is not taken."),
        ("[[piece]]\nbuild_up = 3", "Line 2: Build-up, from the face inwards: write [[piece.build_up]]"),
        ("[[piece]]\n[[piece.build_up]]\nlabel = 'A'", "Line 3: “label” is not a field here."),
        ("job = 'x'\n[[piece]]\ntitle = 'a'", "Line 1: “job” is not known here. Begin each piece with [[piece]]."),
        ("piece = [3]", "Line 1: a piece is a table: write [[piece]]"),
        ("title;widht_mm\na;3", "Line 1: column 2, “widht_mm”, is not a field here. Did you mean “width_mm”?"),
        ("title;width_mm;Width\na;3;4", "Line 1: column 3, “Width”, is there twice."),
        ("title;\na;3", "Line 2: “3” stands in a column without a name."),
        ("title;width_mm\na;3;;5", "Line 2: “5” stands in a column without a name."),
        ("title;row\na;\nb;screw", "Line 3: row: “screw” is not taken. Write one of: build-up, hanging point, piece."),
        ("title;row\n;build-up", "Line 2: this row belongs to the piece above it, and there is none."),
        ("title;row;x_mm\na;;\n;build-up;3", "Line 3: x, to the right: “3” has no place in a row of a build-up."),
        ("title;material\na;gypsum", "Line 2: Material: “gypsum” has no place in a row of a piece."),
    ],
)
def test_what_is_wrong_in_a_file_is_said_with_its_line(text: str, said: str) -> None:
    _told, problems = read(text)
    assert any(str(problem).startswith(said) for problem in problems), problems


@pytest.mark.parametrize(
    "text",
    [
        "Title;Width;Weight\nHeron;1,5 in;31,4",
        'title,width_mm,mass_kg\nHeron,"1,5 in","31,4"',
        "TITLE:\tWidth_mm\tWEIGHT\nHeron\t1,5 in\t31,4",
        "sep=;\r\ntitle;width_mm;mass_kg\r\nHeron;1,5 in;31,4\r\n",
        "\ufeff\n;;\ntitle;width_mm;mass_kg\n;;\nHeron;1,5 in;31,4",
        "[[piece]]\ntitle = 'Heron'\nwidth_mm = '1,5 in'\nmass_kg = '31,4'",
        "# invented\n\n[[ piece ]]\ntitle = \"Heron\"\nwidth_mm = '1,5 in'\nmass_kg = '31,4'",
    ],
)
def test_columns_are_found_by_name_or_words_whatever_separates_them(text: str) -> None:
    told, problems = read(text)
    assert problems == []
    assert values(told) == [{"title": "Heron", "width_mm": "1,5 in", "mass_kg": "31,4"}]


def test_lines_of_a_table_are_counted_through_cells_of_several_lines() -> None:
    told, _problems = read('title;care\nOne;"dust\nwith a\nbrush"\n\nTwo;-\n')
    assert [(one.line, one.title) for one in told] == [(2, "One"), (6, "Two")]
    assert told[1].cells["care"].text == ""


def test_a_row_that_says_build_up_and_nothing_else_says_that_there_is_none() -> None:
    told, problems = read("title;row;material\nOne;;\n;build-up;\nTwo;;\n;build-up;gypsum\n;Build up;\n;layer;wood\n")
    assert problems == []
    assert [values([one])[0].get("build_up") for one in told] == [[], [{"material": "gypsum"}, {"material": "wood"}]]


def test_numbers_of_toml_are_read_as_they_were_written() -> None:
    told, _problems = read("[[piece]]\nwidth_mm = 1_200.50\nheight_mm = 12e2\nmass_kg = inf\nmade_on = 2031-05-06\n")
    assert values(told) == [{"width_mm": "1200.50", "height_mm": "1200", "mass_kg": "inf", "made_on": "2031-05-06"}]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ("Höhe;1".encode("cp1252"), "Line 1: this is not UTF-8: the byte 0xF6 cannot be read (perhaps Windows-1252"),
        (b"title\nok\n\x80;2", "Line 3: this is not UTF-8"),
        ("title;1".encode("utf-16"), "Line 1: this is saved as Unicode of 16 bits"),
        (b"x" * 600_001, "bytes are too many"),
    ],
)
def test_bytes_that_are_no_utf_8_are_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(Unreadable) as refused:
        text_of(data)
    assert words in str(refused.value)
