"""Numbers as typed. Factors: NIST Special Publication 811 (2008), Appendix B (exact ones are bold there)."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict

from siteapp.web import figures
from siteapp.web.fields import Figure, RoomForm, Whole


class Measured(RoomForm):
    mass_kg = Figure("Weight", unit="kg", low=0.1, high=5000)
    air_c = Figure("Air", unit="°C", low=-50, high=80)
    wide_mm = Figure("Width", unit="mm", low=-20_000, high=20_000)
    people = Whole("People", low=1, high=20)


def filled(**typed: str) -> Measured:
    return Measured(MultiDict(typed))


# NIST SP 811, B.8: inch 2.54 E-02 m, foot 3.048 E-01 m, mil 2.54 E-05 m, pound 4.5359237 E-01 kg, ounce
# 2.8349523125 E-02 kg (B.8 rounds to 2.834952), pound-force 4.4482216152605 N, all exact; degree Fahrenheit
# (t - 32)/1.8 °C, difference /1.8 K.
CONVERTED = [
    ("1 in", "mm", 25.4),
    ("5/8 in", "mm", 15.875),
    ('2 1/2"', "mm", 63.5),
    ("2-1/2 in", "mm", 63.5),
    ("2½ in", "mm", 63.5),
    ("⅝″", "mm", 15.875),
    ("1 ft", "mm", 304.8),
    ("5' 3\"", "mm", 1600.2),
    ("5 ft 3 1/2 in", "mm", 1612.9),
    ("-5 ft 6 in", "mm", -1676.4),
    ("2.5 cm", "mm", 25.0),
    ("1 mil", "µm", 25.4),
    ("1 lb", "kg", 0.45359237),
    ("33 lb", "kg", 14.96854821),
    ("33 lb 4 oz", "kg", 15.0819463025),
    ("250 g", "kg", 0.25),
    ("1 lbf", "N", 4.4482216152605),
    ("2 kN", "N", 2000.0),
    ("32 F", "°C", 0.0),
    ("68 °F", "°C", 20.0),
    ("212 F", "°C", 100.0),
    ("-40 F", "°C", -40.0),
    ("293.15 K", "°C", 20.0),
    ("9 F", "K", 5.0),
]
PLAIN = [
    ("12.5", 12.5),
    ("12,5", 12.5),
    (" 12.5kg ", 12.5),
    ("1 234,5", 1234.5),
    ("1\u202f234.5", 1234.5),
    ("1,234.5", 1234.5),
    ("1.234,5", 1234.5),
    ("0,125", 0.125),
    (".5", 0.5),
    ("5.", 5.0),
    ("+3", 3.0),
    ("\u0663", 3.0),  # an Arabic-Indic digit three
    ("\uff11\uff12", 12.0),  # full-width digits, as some keyboards type them
]
REFUSED = [
    "nan",
    "NaN",
    "inf",
    "-inf",
    "1e999",
    "1e3",
    "0x10",
    "--3",
    "12 34",
    "5/0",
    "3 1/2 1/2",
    "1,2,3",
    "1.2.3",
    "abc",
    "12 kg 3",
    "7 stone",
    "\x00",
    "1" * 61,
    "²",
]


@pytest.mark.parametrize(("text", "unit", "value"), CONVERTED)
def test_a_figure_in_another_unit_is_converted_by_the_published_factor(text: str, unit: str, value: float) -> None:
    assert float(figures.read(text, unit).value) == value


@pytest.mark.parametrize(("text", "value"), PLAIN)
def test_a_figure_is_read_however_its_decimals_and_thousands_are_written(text: str, value: float) -> None:
    assert float(figures.read(text, "kg").value) == value


@pytest.mark.parametrize("text", REFUSED)
def test_what_is_no_figure_is_refused_with_field_value_and_range(text: str) -> None:
    form = filled(mass_kg=text)
    assert not form.validate()
    assert form.mass_kg.data is None
    [message] = form.mass_kg.errors
    assert message.startswith("Weight: “")
    assert message.endswith("Give a number from 0.1 to 5\u202f000 kg.")


def test_a_figure_that_two_people_read_differently_is_not_guessed_at() -> None:
    form = filled(mass_kg="1,234")
    assert not form.validate()
    assert "write 1234 or 1.234" in form.mass_kg.errors[0]


def test_a_figure_outside_its_range_names_what_was_typed_and_what_it_came_to() -> None:
    assert not (form := filled(mass_kg="-3")).validate()
    assert form.mass_kg.errors == ["Weight: “-3” is not taken. Give a number from 0.1 to 5\u202f000 kg."]
    assert not (form := filled(mass_kg="-3 lb")).validate()
    assert "“-3 lb = −1.361 kg”" in form.mass_kg.errors[0]
    assert form.mass_kg.shown == "-3 lb"


def test_the_ends_of_a_range_belong_to_it() -> None:
    for text in ("0.1", "5000"):
        filled(mass_kg=text).mass_kg.validate(None)
        assert filled(mass_kg=text).mass_kg.data == float(text)


@pytest.mark.parametrize(("text", "value"), [("3", 3), ("3.0", 3), ("2.5", None), ("0", None), ("21", None)])
def test_a_whole_number_is_whole(text: str, value: int | None) -> None:
    assert filled(people=text).people.data == value


@given(
    st.one_of(
        st.text(max_size=80),
        st.text("0123456789.,/- +'\"inftlbozkgF°Ceµ½ ", max_size=20),
        st.floats().map(str),
        st.integers().map(str),
    )
)
@example("1e400")
@example("-")
@example("1/2/3")
@example("9" * 60)
def test_any_text_gives_a_figure_in_range_or_a_message_with_field_and_range(text: str) -> None:
    form = filled(mass_kg=text, air_c=text, wide_mm=text, people=text)
    form.validate()
    for name in ("mass_kg", "air_c", "wide_mm", "people"):
        field = form[name]
        assert field.typed == text
        if field.errors:
            assert field.data is None
            [message] = field.errors
            assert message.startswith(f"{field.label.text}: ")
            assert figures.written(field.high) in message
        elif field.data is None:
            assert not text.strip()
        else:
            assert math.isfinite(field.data)
            assert field.low <= field.data <= field.high


@given(st.floats(min_value=-20_000, max_value=20_000))
@example(7.684464951468713e-09)
def test_a_stored_figure_shown_for_editing_reads_back_as_the_same_number(value: float) -> None:
    shown = Measured(data={"wide_mm": value}).wide_mm.shown
    if len(shown) <= figures.LONGEST:
        assert filled(wide_mm=shown).wide_mm.data == value


def test_a_metric_figure_is_shown_in_the_other_unit_too() -> None:
    assert figures.in_other_unit(48.2, "kg") == "106.3 lb"
    assert figures.in_other_unit(63.5, "mm") == "2.5 in"
    assert figures.in_other_unit(20.0, "°C") == "68 °F"
    assert figures.in_other_unit(55.0, "%") is None
