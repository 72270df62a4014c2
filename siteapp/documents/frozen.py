"""Frozen records to plain JSON and back, field by field and strictly.

A certificate's record is kept for the life of the piece, so what is read back must be what was written: an unknown
field, a missing one or a value of the wrong kind is an error that names its place.
"""

from __future__ import annotations

import math
import types
import typing
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from typing import Any, Self, TypeVar

T = TypeVar("T")
KINDS = {str: "text", float: "a number", int: "a whole number", bool: "true or false"}


class RecordError(ValueError):
    """A record that cannot be read; the message names the field, its value and what is allowed."""


def to_json(record: Any) -> dict[str, Any]:
    """Give a frozen dataclass as a dict of text, numbers, booleans, lists and dicts; None and empty parts left out."""
    plain = {}
    for field in fields(record):
        value = _plain(getattr(record, field.name))
        if value not in (None, [], {}):
            plain[field.name] = value
    return plain


def from_json(kind: type[T], plain: Any, where: str = "record") -> T:
    """Make a frozen dataclass from what `to_json` gave. Raises RecordError."""
    if not isinstance(plain, dict):
        message = f"{where}: is {_shown(plain)}; allowed is a group of fields"
        raise RecordError(message)
    hints = _hints(kind)
    unknown = sorted(set(plain) - set(hints))
    if unknown:
        message = f"{where}: has a field {unknown[0]!r}, which this version does not know"
        raise RecordError(message)
    values = {name: _value(hints[name], plain[name], f"{where}.{name}") for name in plain}
    for field in fields(kind):  # type: ignore[arg-type] # checked by the caller's types
        if field.name not in values and field.default is MISSING and field.default_factory is MISSING:
            message = f"{where}.{field.name}: is missing"
            raise RecordError(message)
    return kind(**values)


@cache
def _hints(kind: type) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _plain(value: Any) -> Any:
    if is_dataclass(value):
        return to_json(value)
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return value


def _value(hint: Any, value: Any, where: str) -> Any:
    origin = typing.get_origin(hint)
    if origin in {types.UnionType, typing.Union}:
        if value is None:
            return None
        hint = next(one for one in typing.get_args(hint) if one is not type(None))
        return _value(hint, value, where)
    if origin is tuple:
        if not isinstance(value, list | tuple):
            message = f"{where}: is {_shown(value)}; allowed is a list"
            raise RecordError(message)
        inner = typing.get_args(hint)[0]
        return tuple(_value(inner, one, f"{where}[{place}]") for place, one in enumerate(value))
    if is_dataclass(hint):
        return from_json(typing.cast("type[Any]", hint), value, where)
    return _single(hint, value, where)


def _single(hint: Any, value: Any, where: str) -> Any:
    whole = isinstance(value, int) and not isinstance(value, bool)
    if hint is float and (whole or isinstance(value, float)) and math.isfinite(value):
        return float(value)
    if (hint is int and whole) or (hint in {str, bool} and isinstance(value, hint)):
        return value
    message = f"{where}: is {_shown(value)}; allowed is {KINDS[hint]}"
    raise RecordError(message)


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "…"  # noqa: PLR2004 - enough to recognise it


class Record:
    """Mixin of a frozen dataclass that is kept as plain JSON values and comes back the same."""

    def to_json(self) -> dict[str, Any]:
        """Give the record as plain JSON values."""
        return to_json(self)

    @classmethod
    def from_json(cls, plain: dict[str, Any]) -> Self:
        """Make a record from plain JSON values. Raises RecordError, which names the field."""
        return from_json(cls, plain)
