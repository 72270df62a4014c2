"""What one revision of a piece's particulars says differently from the one before it, in words for people."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from siteapp.pieces.forms import FIELDS, NO, YES, WholeForm, data_of
from siteapp.web.fields import Choice, Figure
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from siteapp.pieces.services import PieceNow

ADDED, TAKEN_OUT, CHANGED = "added", "taken out", "changed"
PLACES = 6
# What a line is known by when it is looked for among the lines of before.
KNOWN_BY = {"build_up": "material", "hanging_points": "label"}


@dataclass(frozen=True)
class Said:
    """Everything that a revision says: its fields, its lines and the SHA-256 of its photos, in order."""

    fields: Mapping[str, Any]
    build_up: Sequence[Mapping[str, Any]]
    hanging_points: Sequence[Mapping[str, Any]]
    photos: Sequence[str]


@dataclass(frozen=True)
class Field:
    """A field that says something else; None where nothing was, or is, said."""

    words: str
    before: str | None
    after: str | None


@dataclass(frozen=True)
class Line:
    """A line that was added, taken out or changed: what it is known by, and its fields."""

    how: str
    name: str
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class Lines:
    """What happened to the build-up or the hanging points; `reordered` when lines that stayed change places."""

    words: str
    lines: tuple[Line, ...]
    reordered: bool


@dataclass(frozen=True)
class Changes:
    """What one revision changed."""

    fields: tuple[Field, ...] = ()
    lines: tuple[Lines, ...] = ()
    photos_added: tuple[str, ...] = ()
    photos_taken_out: tuple[str, ...] = ()
    photos_reordered: bool = False

    @property
    def nothing(self) -> bool:
        """Whether the two say the same."""
        return self == Changes()


def between(before: Said, after: Said) -> Changes:
    """What `after` says differently."""
    told = [
        Field(label(name), spoken(name, before.fields.get(name)), spoken(name, after.fields.get(name)))
        for name in (*FIELDS, "points_from")
        if before.fields.get(name) != after.fields.get(name)
    ]
    pairs = {
        "build_up": (before.build_up, after.build_up),
        "hanging_points": (before.hanging_points, after.hanging_points),
    }
    lines = [_lines(name, *pair) for name, pair in pairs.items() if list(pair[0]) != list(pair[1])]
    stayed = [sha for sha in before.photos if sha in after.photos]
    return Changes(
        tuple(told),
        tuple(lines),
        photos_added=tuple(sha for sha in after.photos if sha not in before.photos),
        photos_taken_out=tuple(sha for sha in before.photos if sha not in after.photos),
        photos_reordered=stayed != [sha for sha in after.photos if sha in before.photos],
    )


def label(name: str, rows: str | None = None) -> str:
    """What a field is called on the form; `rows` names the list whose field it is."""
    return str(field_of(name, rows).label.text)


def spoken(name: str, value: Any, rows: str | None = None) -> str | None:
    """A value as the form shows it: a figure with its unit, a choice by its words."""
    if value is None or value == "":
        return None
    field = field_of(name, rows)
    if isinstance(field, Figure):
        return f"{written(value, PLACES)} {field.unit}".strip()
    if isinstance(field, Choice):
        if isinstance(value, bool):
            value = YES if value else NO
        return next((str(words) for one, words in field.choices if one == value), str(value))
    return str(value)


def typed_again(piece: PieceNow, leave_out: Collection[str] = ()) -> dict[str, str]:
    """What a piece's latest particulars say, as its form would send it; without the lists named in `leave_out`."""
    data = data_of(piece)
    typed = {name: field_of(name).write(data[name]) for name in FIELDS}
    for rows in KNOWN_BY:
        parts = [part.short_name for part in field_of(rows).entries[0].form]
        for number, row in enumerate(() if rows in leave_out else data[rows]):
            typed |= {f"{rows}-{number}-{name}": field_of(name, rows).write(row[name]) for name in parts}
    return typed


def _lines(name: str, before: Sequence[Mapping[str, Any]], after: Sequence[Mapping[str, Any]]) -> Lines:
    pairs = _paired(KNOWN_BY[name], before, after)
    told: list[Line] = []
    for old, new in pairs:
        if old is not None and new is not None:
            fields = _row_fields(name, before[old], after[new])
            if fields:
                told.append(Line(CHANGED, _name(name, before[old]), fields))
        elif new is not None:
            told.append(Line(ADDED, _name(name, after[new]), _row_fields(name, {}, after[new])))
        elif old is not None:
            told.append(Line(TAKEN_OUT, _name(name, before[old]), _row_fields(name, before[old], {})))
    stayed = [old for old, new in pairs if old is not None and new is not None]  # in the order of now
    return Lines(label(name), tuple(told), reordered=stayed != sorted(stayed))


def _paired(
    known_by: str, before: Sequence[Mapping[str, Any]], after: Sequence[Mapping[str, Any]]
) -> list[tuple[int | None, int | None]]:
    """Which line of before is which line of now, by place; None for one that was added or taken out.

    First the lines that say the very same, then those of the same name, then what is left at the same place: that
    one was given another name.
    """
    left, free = list(range(len(before))), list(range(len(after)))
    pairs: dict[int, int] = {}

    def pair(same: Any) -> None:
        for new in list(free):
            old = next((one for one in left if same(one, new)), None)
            if old is not None:
                pairs[new] = old
                left.remove(old)
                free.remove(new)

    pair(lambda old, new: before[old] == after[new])
    pair(lambda old, new: before[old].get(known_by) == after[new].get(known_by))
    pair(lambda old, new: old == new)
    here: list[tuple[int | None, int | None]] = [(pairs.get(new), new) for new in range(len(after))]
    return here + [(old, None) for old in left]


def _row_fields(name: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[Field, ...]:
    keys = dict.fromkeys([*before, *after])
    return tuple(
        Field(label(key, name), spoken(key, before.get(key), name), spoken(key, after.get(key), name))
        for key in keys
        if before.get(key) != after.get(key) and not (key == KNOWN_BY[name] and not (before and after))
    )


def _name(name: str, row: Mapping[str, Any]) -> str:
    return str(row.get(KNOWN_BY[name]) or _("without a name"))


def field_of(name: str, rows: str | None = None) -> Any:
    """A field of the form, for its words, unit and choices; `rows` names the list whose field it is."""
    form = _form()
    return form[name] if rows is None else form[rows].entries[0].form[name]


@cache
def _form() -> WholeForm:
    """One form for its labels, units and words; nothing is read from it."""
    return WholeForm()
