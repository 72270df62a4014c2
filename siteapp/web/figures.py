"""Numbers as people type them: comma or point, spaces, fractions, metric or inch-and-pound units.

Factors are exact. Their source is NIST Special Publication 811 (2008 edition), Appendix B; degrees Fahrenheit follow
its section B.8: t/°C = (t/°F - 32)/1.8.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

LONGEST = 60  # characters; nobody means a longer number
NARROW_SPACE = "\u202f"
THOUSAND = 1000
GROUP = 3

INCH_MM = Fraction("25.4")
POUND_KG = Fraction("0.45359237")
POUND_FORCE_N = Fraction("4.4482216152605")
FIVE_NINTHS = Fraction(5, 9)


class NotANumber(ValueError):
    """The text is not a number in a known unit."""


class TwoReadings(NotANumber):
    """The text can be read as two different numbers, such as `1,234`: `readings` holds both, plainly written."""

    def __init__(self, readings: tuple[str, str]) -> None:
        super().__init__("can be read in two ways")
        self.readings = readings


@dataclass(frozen=True)
class Read:
    """A number as read: `value` in the unit asked for; `unit_typed` is the unit that stood behind it, or empty."""

    value: Fraction
    unit_typed: str


@dataclass(frozen=True)
class Unit:
    """What a typed unit is worth: value in the unit asked for = (typed + shift) * factor."""

    factor: Fraction
    shift: Fraction = Fraction(0)


def _scaled(factors: dict[str, Fraction | int | str]) -> dict[str, Unit]:
    return {spelling: Unit(Fraction(factor)) for names, factor in factors.items() for spelling in names.split("|")}


INCHES = "in|inch|inches|\"|″|''|′′"
FEET = "ft|foot|feet|'|′"
LENGTHS_MM = {"mm": 1, "cm": 10, "m": 1000, INCHES: INCH_MM, FEET: 12 * INCH_MM}
MASSES_KG = {"kg": 1, "g": Fraction(1, 1000), "t": 1000, "lb|lbs|#": POUND_KG, "oz": POUND_KG / 16}
FORCES_N = {"n": 1, "kn": 1000, "lbf": POUND_FORCE_N}

# By the unit that a field asks for: the spellings it takes (lower case, without spaces) and what each is worth.
UNITS: dict[str, dict[str, Unit]] = {
    "mm": _scaled(LENGTHS_MM),
    "m": _scaled({names: Fraction(factor) / 1000 for names, factor in LENGTHS_MM.items()}),
    "µm": _scaled({"µm|um|micron|microns": 1, "mil|mils": INCH_MM, "mm": 1000}),
    "kg": _scaled(MASSES_KG),
    "g": _scaled({names: Fraction(factor) * 1000 for names, factor in MASSES_KG.items()}),
    "N": _scaled(FORCES_N),
    "kN": _scaled({names: Fraction(factor) / 1000 for names, factor in FORCES_N.items()}),
    "N m": _scaled({"nm|n·m|n*m": 1, "lbfft|lbf·ft|ftlb|ftlbf|ft·lbf": POUND_FORCE_N * 12 * INCH_MM / 1000}),
    "°C": {
        **_scaled({"°c|c|degc|℃": 1}),
        **dict.fromkeys(("°f", "f", "degf", "℉"), Unit(FIVE_NINTHS, Fraction(-32))),
        "k": Unit(Fraction(1), Fraction("-273.15")),
    },
    # A difference of temperatures: no shift.
    "K": {**_scaled({"k|°c|c|℃": 1}), **dict.fromkeys(("°f", "f", "℉"), Unit(FIVE_NINTHS))},
    "%": _scaled({"%|%rh|percent": 1}),
    "min": _scaled({"min|mins|minutes": 1, "h|hr|hours": 60}),
    "h": _scaled({"h|hr|hours": 1, "min|mins|minutes": Fraction(1, 60)}),
    "l": _scaled({"l": 1, "ml": Fraction(1, 1000)}),
}
# Two units that may follow one another, the larger first: 5 ft 3 in, 33 lb 4 oz.
PAIRS = tuple((frozenset(one.split("|")), frozenset(two.split("|"))) for one, two in ((FEET, INCHES), ("lb|lbs", "oz")))

DIGITS = r"[0-9][0-9.,]*(?: [0-9]{3}(?![0-9/])[0-9.,]*)*|[.,][0-9]+"
FRACTION = r"[0-9]{1,6} ?/ ?[0-9]{1,6}"
NUMBER = re.compile(rf"(?P<sign>[-+]?) ?(?:(?:(?P<whole>[0-9]{{1,6}})[ -])?(?P<part>{FRACTION})|(?P<digits>{DIGITS}))")
UNIT_PART = re.compile(r"(?:[^0-9+.,-]|\.(?![0-9]))*")
OTHER_SPACES = re.compile(r"\s+")


def read(text: str, unit: str) -> Read:
    """Read a number typed in `unit` or in another unit of the same quantity.

    Raises NotANumber, TwoReadings for what two people would read differently. Without a unit, `unit` is meant.
    """
    if len(text) > LONGEST:
        raise NotANumber(text)
    plain = _plain(text)
    first, behind = _number(plain)
    unit_typed, rest = _unit(behind)
    value = _convert(first, unit_typed, unit)
    if rest:
        second, behind = _number(rest)
        smaller, rest = _unit(behind)
        if rest or second < 0 or not _pair(unit_typed, smaller):
            raise NotANumber(text)
        value += _convert(second, smaller, unit) * (-1 if plain.startswith("-") else 1)
    return Read(value, unit_typed)


def written(value: float | Fraction, places: int = 3) -> str:
    """A number for people: at most `places` decimals, no trailing zeros, thousands set apart by a narrow space."""
    text = f"{float(value):,.{places}f}".replace(",", NARROW_SPACE)
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")


def typed_again(value: float) -> str:
    """A number as one would type it, nothing rounded away: `1234.5`, never with an exponent."""
    text = format(Decimal(repr(float(value))), "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def in_other_unit(value: float, unit: str) -> str | None:
    """A metric figure in the unit that an inch-and-pound reader expects; None where there is none."""
    other = {"mm": ("in", INCH_MM, 2), "m": ("ft", 12 * INCH_MM / 1000, 2), "kg": ("lb", POUND_KG, 1)}
    if unit == "°C":
        return f"{written(value * 9 / 5 + 32, 1)} °F"
    if unit not in other:
        return None
    name, factor, places = other[unit]
    return f"{written(Fraction(value) / factor, places)} {name}"


def _plain(text: str) -> str:
    """ASCII digits and signs; written-out fractions such as ½ as `1/2`; single spaces."""
    out: list[str] = []
    for sign in text:
        if unicodedata.decomposition(sign).startswith("<fraction>"):
            out.append(" " + unicodedata.normalize("NFKC", sign).replace("\u2044", "/"))
        elif sign.isdecimal():
            out.append(str(unicodedata.decimal(sign)))
        else:
            out.append({"−": "-", "–": "-", "\u2044": "/", "”": '"', "’": "'", "μ": "µ"}.get(sign, sign))
    return OTHER_SPACES.sub(" ", "".join(out)).strip()


def _number(text: str) -> tuple[Fraction, str]:
    found = NUMBER.match(text)
    if not found:
        raise NotANumber(text)
    if found["part"]:
        over, under = (int(part) for part in found["part"].split("/"))
        if under == 0:
            raise NotANumber(text)
        value = int(found["whole"] or 0) + Fraction(over, under)
    else:
        value = _decimal(found["digits"])
    return (-value if found["sign"] == "-" else value), text[found.end() :].strip()


def _decimal(digits: str) -> Fraction:
    """A number with its decimal comma or point told apart from what separates thousands."""
    commas, points = digits.count(","), digits.count(".")
    if commas and points:
        mark = max(",.", key=digits.rindex)
        if digits.count(mark) > 1:
            raise NotANumber(digits)
        whole, _mark, part = digits.rpartition(mark)
        return _joined(whole, "." if mark == "," else ",", part)
    if commas > 1 or points > 1:
        return _joined(digits, "," if commas else ".", "")
    mark = "," if commas else "."
    whole, _mark, part = digits.partition(mark)
    if commas and len(part) == GROUP and whole.isdigit() and 0 < len(whole) <= GROUP and not whole.startswith("0"):
        raise TwoReadings((whole + part, f"{whole}.{part}"))
    return _joined(whole, " ", part)


def _joined(whole: str, separator: str, part: str) -> Fraction:
    groups = whole.replace(" ", separator).split(separator) if " " in whole else whole.split(separator)
    grouped = all(len(group) == GROUP for group in groups[1:]) and len(groups[0]) <= GROUP
    if len(groups) > 1 and not (grouped and groups[0]):
        raise NotANumber(whole)
    digits = "".join(groups)
    if not (digits + part).isdigit():
        raise NotANumber(whole)
    return Fraction(f"{digits or 0}.{part or 0}")


def _unit(text: str) -> tuple[str, str]:
    """The unit at the front of a text, and what follows it: everything up to the next digit."""
    end = UNIT_PART.match(text).end()  # type: ignore[union-attr] # matches the empty text too
    return text[:end].strip(), text[end:].strip()


def _convert(value: Fraction, typed: str, unit: str) -> Fraction:
    known = UNITS.get(unit, {})
    spelling = typed.casefold().replace(" ", "")
    if not spelling or spelling == unit.casefold().replace(" ", ""):
        return value
    worth = known.get(spelling) or known.get(spelling.removesuffix("."))
    if worth is None:
        raise NotANumber(typed)
    return (value + worth.shift) * worth.factor


def _pair(larger: str, smaller: str) -> bool:
    one, two = larger.casefold().rstrip("."), smaller.casefold().rstrip(".")
    return any(one in first and two in second for first, second in PAIRS)
