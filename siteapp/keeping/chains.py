"""Walks the chains: every number there, every digest as its rows give it, every head where it was noted.

Values are read as the database holds them and not through the models, so that a value no model would take is named
instead of stopping the walk. Each chunk is a short transaction of its own: a check keeps nobody from saving.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import Table, Text, func, select, tuple_, type_coerce
from sqlalchemy.types import NullType

from siteapp.keeping.findings import Finding
from siteapp.keeping.tables import Base, body_tables
from siteapp.store import digests
from siteapp.store.columns import FigureType, FlagType
from siteapp.store.models import BodyHead, ChainHead, Entry, EntryCorrects, Erasure, ErasureLeft
from siteapp.store.triggers import NEVER_ERASED_KINDS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from contextlib import AbstractContextManager

    from sqlalchemy import Connection

    from siteapp.keeping.findings import Report
    from siteapp.store.heads import Head

    Reading = Callable[[], AbstractContextManager[Connection]]

CHUNK = 500
ENTRY = Base.metadata.tables["entry"]
HEAD = Base.metadata.tables["chain_head"]
Row = dict[str, Any]


class Walk:
    """One walk along every chain, oldest entry first."""

    def __init__(self, reading: Reading, report: Report, noted: Mapping[str, Head]) -> None:
        """`noted` are the heads that were noted outside the database, read before this walk begins."""
        self._reading = reading
        self._report = report
        self._noted = dict(noted)
        self._last: Row | None = None

    def run(self) -> Iterator[int]:
        """Walk; yields how many entries have been walked so far."""
        walked = 0
        while True:
            with self._reading() as connection:
                rows = self._chunk(connection)
                chains = {row["chain"] for row in (*rows, *([self._last] if self._last else []))}
                heads = _heads(connection, chains)
                findings = [*self._links(rows, heads), *examined(connection, rows, self._report)]
                self._report.add(named(connection, findings))
            walked += len(rows)
            yield walked
            if not rows:
                break
        with self._reading() as connection:
            self._report.add(_headless(connection))
        for head in self._noted.values():
            self._report.add([Finding("a chain that was noted is gone", chain=head.chain, seq=head.seq)])

    def _chunk(self, connection: Connection) -> list[Row]:
        query = select(*raw(ENTRY)).order_by(Entry.chain, Entry.seq).limit(CHUNK)
        if self._last is not None:
            place = (self._last["chain"], self._last["seq"])
            query = query.where(tuple_(Entry.chain, Entry.seq) > place)
        return _rows(connection, query)

    def _links(self, rows: Iterable[Row], heads: Mapping[str, Row]) -> Iterator[Finding]:
        for row in rows:
            last = self._last
            if last is not None and last["chain"] != row["chain"]:
                yield from self._end(last, heads)
                last = None
            yield from _link(last, row)
            noted = self._noted.get(row["chain"])
            if noted and noted.seq == row["seq"] and noted.digest != row["digest"]:
                yield at(row, "this is not the entry that was noted under its number")
            self._last = row
        if not rows and self._last is not None:
            yield from self._end(self._last, heads)

    def _end(self, last: Row, heads: Mapping[str, Row]) -> Iterator[Finding]:
        """Whether a chain ends where its head says."""
        self._report.count("chains")
        head = heads.get(last["chain"])
        if head is None or (head["seq"], head["digest"]) != (last["seq"], last["digest"]):
            said = "is not kept" if head is None else f"says {head['seq']}"
            yield Finding(f"the chain ends at {last['seq']}, its head {said}", chain=last["chain"])
        noted = self._noted.pop(last["chain"], None)
        if noted and noted.seq > last["seq"]:
            message = f"the chain ends at {last['seq']}, but {noted.seq} was noted: its end was cut"
            yield Finding(message, chain=last["chain"], seq=noted.seq)


def quick(reading: Reading, report: Report, noted: Mapping[str, Head], newest: int) -> None:
    """Numbers of every chain, its head, and the newest entries with their bodies."""
    numbers = select(Entry.chain, func.count(), func.min(Entry.seq), func.max(Entry.seq)).group_by(Entry.chain)
    rest = dict(noted)
    with reading() as connection:
        for chain, count, low, high in connection.execute(numbers):
            report.count("chains")
            if (low, high) != (1, count):
                report.add([Finding(f"{count} entries are numbered {low} to {high}", chain=chain)])
        heads = select(HEAD.c.chain, HEAD.c.seq, HEAD.c.digest, Entry.digest.label("found"), Entry.id)
        heads = heads.outerjoin(Entry, (Entry.chain == HEAD.c.chain) & (Entry.seq == HEAD.c.seq))
        for head in connection.execute(heads).mappings():
            if head["digest"] != head["found"]:
                report.add([Finding("the chain does not end at its head", chain=head["chain"], seq=head["seq"])])
            there = rest.pop(head["chain"], None)
            if there and there.seq > head["seq"]:
                message = f"the chain ends at {head['seq']}, but {there.seq} was noted: its end was cut"
                report.add([Finding(message, chain=head["chain"], seq=there.seq)])
        report.add(Finding("a chain that was noted is gone", chain=chain, seq=rest[chain].seq) for chain in rest)
        rows = _rows(connection, select(*raw(ENTRY)).order_by(Entry.recorded_at.desc(), Entry.id).limit(newest))
        report.add(named(connection, list(examined(connection, rows, report))))


def examined(connection: Connection, rows: Sequence[Row], report: Report) -> Iterator[Finding]:
    """Digests of entries and of their bodies, worked out again from their rows."""
    ids = [row["id"] for row in rows]
    if not ids:
        return
    report.count("entries", len(ids))
    erased = set(connection.scalars(_raw_query("erasure", "erased_id", ids, Erasure.erased_id)))
    left = _left(connection, erased)
    corrects = defaultdict(list)
    for entry_id, other in connection.execute(
        select(*raw(Base.metadata.tables["entry_corrects"])).where(among(EntryCorrects.entry_id, ids))
    ):
        corrects[entry_id].append(other)
    bodies = _bodies(connection, ids)
    for row in rows:
        if _digest(digests.header_digest, row, corrects[row["id"]]) != row["digest"]:
            yield at(row, "the entry is not as it was written: its digest does not fit")
        if row["id"] in erased:
            report.count("erased")
            yield from _erased(row, bodies[row["id"]], left.get(row["id"]))
        else:
            yield from _body(row, bodies[row["id"]])


def at(row: Mapping[str, Any], what: str) -> Finding:
    """A finding about one entry; the piece's id stands where its number will."""
    return Finding(what, row["chain"], row["seq"], row["id"], row["kind"], row["piece_id"])


def named(connection: Connection, findings: Sequence[Finding]) -> list[Finding]:
    """Put the number of the piece in the place of its id."""
    ids = {finding.piece_number for finding in findings if finding.piece_number}
    piece = Base.metadata.tables["piece"]
    query = _raw_query("piece", "piece_id", ids, piece.c.piece_id, piece.c.number)
    numbers = dict(map(tuple, connection.execute(query))) if ids else {}
    return [replace(one, piece_number=numbers.get(one.piece_number, one.piece_number)) for one in findings]


def raw(table: Table) -> list[Any]:
    """Columns of a table, to be read as the database holds them."""
    return [type_coerce(column, NullType()).label(column.key) for column in table.columns]


def among(column: Any, values: Iterable[str]) -> Any:
    """Condition: the column holds one of these, whether or not they are values it should hold."""
    return type_coerce(column, Text()).in_([value for value in values if value.isprintable()])


def _raw_query(table: str, column: str, values: Iterable[str], *columns: Any) -> Any:
    where = Base.metadata.tables[table].c[column]
    return select(*[type_coerce(one, NullType()) for one in columns]).where(among(where, values))


def _rows(connection: Connection, query: Any) -> list[Row]:
    return [dict(row) for row in connection.execute(query).mappings()]


def _heads(connection: Connection, chains: Iterable[str]) -> dict[str, Row]:
    query = select(*raw(HEAD)).where(among(ChainHead.chain, chains))
    return {row["chain"]: row for row in _rows(connection, query)}


def _headless(connection: Connection) -> list[Finding]:
    query = select(HEAD.c.chain, HEAD.c.seq).where(HEAD.c.chain.not_in(select(Entry.chain)))
    return [
        Finding("a chain has a head and no entries", chain=chain, seq=seq) for chain, seq in connection.execute(query)
    ]


def _link(last: Row | None, row: Row) -> Iterator[Finding]:
    expected = last["seq"] + 1 if last else 1
    if row["seq"] != expected:
        gap = str(expected) if row["seq"] == expected + 1 else f"{expected} to {row['seq'] - 1}"
        yield at(row, f"entries are missing before this one: {gap}")
    elif row["previous_digest"] != (last["digest"] if last else digests.NO_DIGEST):
        yield at(row, "the entry does not follow the one before it in its chain")


def _bodies(connection: Connection, ids: Sequence[str]) -> dict[str, list[tuple[str, Row]]]:
    bodies: dict[str, list[tuple[str, Row]]] = defaultdict(list)
    for table in body_tables():
        for row in _rows(connection, select(*raw(table)).where(among(table.c.entry_id, ids))):
            bodies[row["entry_id"]].append((table.name, _values(table, row)))
    return bodies


def _values(table: Table, row: Mapping[str, Any]) -> Row:
    """A body row as the values that its digest covers."""
    said: Row = {}
    for column in table.columns:
        value = row[column.key]
        if column.key == "entry_id" or value is None:
            continue
        if isinstance(column.type, FlagType) and value in {0, 1}:
            value = bool(value)
        elif isinstance(column.type, FigureType) and isinstance(value, int | float):
            value = float(value) + 0.0
        said[column.key] = value
    return said


def _body(row: Row, body: list[tuple[str, Row]]) -> Iterator[Finding]:
    head = next((values for table, values in body if table == BodyHead.__tablename__), None)
    if head is None:
        yield at(row, "what the entry says is gone, and it was not erased")
        return
    rest = [(table, values) for table, values in body if table != BodyHead.__tablename__]
    if _digest(digests.body_digest, head["version"], head["salt"], rest) != row["body_digest"]:
        yield at(row, "what the entry says is not as it was written: its digest does not fit")


def _left(connection: Connection, erased: Iterable[str]) -> dict[str, str | None]:
    """The digest of what was left of each entry by the last erasure that left anything or nothing of it."""
    query = select(ErasureLeft.left_id, ErasureLeft.left_digest).join(Entry, Entry.id == ErasureLeft.entry_id)
    query = query.where(among(ErasureLeft.left_id, erased)).order_by(Entry.recorded_at, Entry.seq)
    return dict(map(tuple, connection.execute(query)))


def _erased(row: Row, body: list[tuple[str, Row]], left: str | None) -> Iterator[Finding]:
    if row["kind"] in NEVER_ERASED_KINDS:
        yield at(row, "an entry of this kind may not be erased")
    elif left is not None:
        if not _fits(left, body):
            yield at(row, "what was left of the entry when it was erased is not as it was left")
    elif body:
        yield at(
            row, f"the entry was erased, but rows of it are there: {', '.join(sorted({name for name, _ in body}))}"
        )


def _fits(digest: str, body: list[tuple[str, Row]]) -> bool:
    head = next((values for table, values in body if table == BodyHead.__tablename__), None)
    rest = [(table, values) for table, values in body if table != BodyHead.__tablename__]
    return head is not None and _digest(digests.body_digest, head["version"], head["salt"], rest) == digest


def _digest(work: Callable[..., str], *values: Any) -> str | None:
    try:
        return work(*values)
    except (ValueError, TypeError, KeyError):
        return None  # a value that canonical JSON cannot hold is not one that was written here
