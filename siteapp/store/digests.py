"""Digests of bodies and of entries: SHA-256 over canonical JSON (RFC 8785, JSON Canonicalization Scheme).

A null is left out rather than written, so that a column added later leaves every earlier digest as it was.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

import rfc8785
from sqlalchemy import Table, inspect

from siteapp.store.columns import instant_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from siteapp.store.base import Base
    from siteapp.store.models import Entry

NO_DIGEST = "0" * 64
BODY_VERSION = 1
# Nothing secret is left of an erased body, so nothing has to be kept from being guessed: the same rest digests alike.
LEFT_SALT = "left"
_HEADER = (
    "id",
    "kind",
    "job_id",
    "piece_id",
    "chain",
    "seq",
    "by_id",
    "device",
    "body_digest",
    "previous_digest",
)


def sha256_of(value: Any) -> str:
    """SHA-256 of a JSON value in canonical form, as lower-case hexadecimal."""
    return hashlib.sha256(rfc8785.dumps(value)).hexdigest()


def row_values(table: Table, values: Mapping[str, Any]) -> dict[str, Any]:
    """What a body row says, as JSON values: its columns but the entry's id, nulls left out."""
    said: dict[str, Any] = {}
    for column in table.columns:
        value = values.get(column.key)
        if column.key == "entry_id" or value is None:
            continue
        # The same conversion that the driver will be given, so that what is hashed is what is kept.
        said[column.key] = column.type.process_bind_param(value, None)  # type: ignore[attr-defined]
    return said


def model_row(row: Base) -> tuple[str, dict[str, Any]]:
    """Table name and values of a body row object."""
    mapper = inspect(type(row))
    table = mapper.local_table
    if not isinstance(table, Table):
        message = f"{type(row).__name__} is not kept in a table of its own"
        raise TypeError(message)
    values = {column.key: getattr(row, mapper.get_property_by_column(column).key) for column in table.columns}
    return table.name, row_values(table, values)


def body_digest(version: int, salt: str, rows: Iterable[tuple[str, Mapping[str, Any]]]) -> str:
    """Digest of a body: its rows by table, each table's rows by position.

    `rows` are pairs of table name and the row's values as `row_values` gives them, in any order.
    """
    by_table: dict[str, list[Mapping[str, Any]]] = {}
    for table, values in rows:
        by_table.setdefault(table, []).append(values)
    for table_rows in by_table.values():
        table_rows.sort(key=lambda values: values.get("position", 0))
    return sha256_of({"version": version, "salt": salt, "rows": by_table})


def entry_digest(entry: Entry, corrects: Sequence[str]) -> str:
    """Digest of an entry's header, which carries the digest of its body and of the entry before it."""
    header: dict[str, Any] = {name: getattr(entry, name) for name in _HEADER}
    header["recorded_at"] = instant_text(entry.recorded_at)
    header["at"] = None if entry.at is None else instant_text(entry.at)
    return header_digest(header, corrects)


def header_digest(header: Mapping[str, Any], corrects: Sequence[str]) -> str:
    """Digest of a header as the database holds it: instants as text, other columns than a header's left out."""
    said: dict[str, Any] = {name: header[name] for name in (*_HEADER, "recorded_at", "at") if header[name] is not None}
    if corrects:
        said["corrects"] = sorted(corrects)
    return sha256_of(said)
