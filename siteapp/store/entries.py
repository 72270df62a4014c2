"""Appending to the chains. The only way in which anything recorded is written."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any
from uuid import UUID, uuid4, uuid5

from sqlalchemy import exists, insert, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import aliased

from siteapp.store import digests, heads
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.models import (
    BodyHead,
    ChainHead,
    Entry,
    EntryCorrects,
    EntryPhoto,
    ErasedPhoto,
    Erasure,
    ErasureLeft,
)
from siteapp.store.triggers import NEVER_ERASED_KINDS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from sqlalchemy import ColumnElement, Table
    from sqlalchemy.orm import Session

    from siteapp.store.base import Base

    Row = dict[str, Any]

WORKSHOP = "workshop"


@dataclass
class Writer:
    """Who writes, on which laptop and device, and for which form; mints the ids of what the form makes.

    Ids come from the form's id, so that a form that is sent twice would make the same rows, not new ones.
    """

    laptop_id: str
    by_id: str | None = None
    device: str | None = None
    at: datetime | None = None
    form_id: str = field(default_factory=lambda: str(uuid4()))
    _made: dict[str, int] = field(default_factory=dict)

    def new_id(self, path: str) -> str:
        """The next id for a thing of this name made by this form (UUID version 5, RFC 9562)."""
        count = self._made[path] = self._made.get(path, 0) + 1
        return str(uuid5(UUID(self.form_id), f"{path}/{count}"))


@dataclass(frozen=True)
class PhotoUse:
    """A photo as an entry uses it: which one, in which slot, with which words."""

    sha256: str
    slot: str = "photo"
    caption: str | None = None


def keep_others_out(session: Session, writer: Writer, job_id: str | None) -> None:
    """Lock the chain that `writer` writes to for this job, until the transaction ends.

    What is read from now on no other writer of this laptop changes; `append` does the same, but only as it writes.
    """
    _lock_head(session, f"{writer.laptop_id}:{job_id or WORKSHOP}")


def append(
    session: Session,
    writer: Writer,
    *,
    kind: str,
    job_id: str | None = None,
    piece_id: str | None = None,
    bodies: Iterable[Base] = (),
    photos: Iterable[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> Entry:
    """Write one entry with its body at the end of its chain and return it.

    `bodies` are rows of recorded tables without their entry id; `photos` are kept in the order given; `corrects` are
    ids of the entries that this one corrects or revises. Raises Superseded when one of those has been corrected by
    an entry not named too, and StoreError when one does not exist.
    """
    chain = f"{writer.laptop_id}:{job_id or WORKSHOP}"
    head = _lock_head(session, chain)
    corrects = sorted(set(corrects))
    _refuse_superseded(session, corrects)
    entry = Entry(
        id=writer.new_id(f"entry/{kind}"),
        kind=kind,
        job_id=job_id,
        piece_id=piece_id,
        chain=chain,
        seq=head.seq + 1,
        at=writer.at,
        recorded_at=datetime.now(UTC),
        by_id=writer.by_id,
        device=writer.device,
        previous_digest=head.digest,
    )
    rows = [
        *bodies,
        *(_photo_row(number, photo) for number, photo in enumerate(photos)),
    ]
    salt = secrets.token_hex(16)
    entry.body_digest = digests.body_digest(digests.BODY_VERSION, salt, [digests.model_row(row) for row in rows])
    entry.digest = digests.entry_digest(entry, corrects)
    session.add(entry)
    session.flush()
    for row in (BodyHead(version=digests.BODY_VERSION, salt=salt), *rows):
        row.entry_id = entry.id  # type: ignore[attr-defined]
        session.add(row)
    if corrects:
        session.execute(
            insert(EntryCorrects),
            [{"entry_id": entry.id, "corrects_id": other} for other in corrects],
        )
    head.seq, head.digest = entry.seq, entry.digest
    session.flush()
    heads.remember(session, chain, entry.seq, entry.digest)
    return entry


def erase(
    session: Session,
    writer: Writer,
    entry_id: str,
    *,
    reason: str,
    keep: Callable[[Table, Row], Row | None] | None = None,
) -> Entry:
    """Let the body of an entry go for good, or the part of it that `keep` does not keep; returns the erasure's entry.

    The header stays in its chain with the digest of the body as it was. `keep` is given each row of the body and
    returns what stays of it (None: nothing). An entry can be erased again, when more of it is to go. Raises StoreError
    for an entry whose body may not be erased.
    """
    entry = session.get(Entry, entry_id)
    if entry is None or entry.kind in NEVER_ERASED_KINDS:
        message = "there is no such entry whose body could be erased"
        raise StoreError(message)
    rest = _rest(session, entry_id, keep) if keep else []
    values = [(table.name, digests.row_values(table, row)) for table, row in rest]
    digest = digests.body_digest(digests.BODY_VERSION, digests.LEFT_SALT, values) if rest else None
    again = session.scalar(select(Erasure.entry_id).where(Erasure.erased_id == entry_id)) is not None
    bodies: list[Base] = [] if again else [Erasure(erased_id=entry_id, reason=reason)]
    if again or rest:
        bodies.append(ErasureLeft(left_id=entry_id, left_digest=digest, reason=reason))
    erasure = append(
        session,
        writer,
        kind="erasure",
        job_id=entry.job_id,
        piece_id=entry.piece_id,
        bodies=bodies,
    )
    for table in reversed(body_tables()):
        session.execute(table.delete().where(table.c.entry_id == entry_id))
    if rest:
        session.add(BodyHead(entry_id=entry_id, version=digests.BODY_VERSION, salt=digests.LEFT_SALT))
        session.flush()
        for table, row in rest:
            session.execute(insert(table).values({**row, "entry_id": entry_id}))
    session.expire_all()
    return erasure


def erase_photos(
    session: Session,
    writer: Writer,
    hashes: Sequence[str],
    *,
    reason: str,
    job_id: str | None = None,
    piece_id: str | None = None,
) -> Entry:
    """Say that the files of these photos are let go for good; whoever calls takes the files away after the commit."""
    rows = [ErasedPhoto(position=place, sha256=sha, reason=reason) for place, sha in enumerate(hashes)]
    return append(session, writer, kind="photo_erasure", job_id=job_id, piece_id=piece_id, bodies=rows)


def body_rows(session: Session, entry_id: str) -> list[tuple[Table, Row]]:
    """The rows of an entry's body with their tables, but for its version and salt."""
    found: list[tuple[Table, Row]] = []
    for table in body_tables():
        if table.name != BodyHead.__tablename__:
            rows = session.execute(select(*table.columns).where(table.c.entry_id == entry_id)).mappings()
            found.extend((table, dict(row)) for row in rows)
    return found


def _rest(session: Session, entry_id: str, keep: Callable[[Table, Row], Row | None]) -> list[tuple[Table, Row]]:
    kept = ((table, keep(table, row)) for table, row in body_rows(session, entry_id))
    return [(table, row) for table, row in kept if row is not None]


def body_tables() -> tuple[Table, ...]:
    """The recorded tables that hold bodies, in the order in which they can be made."""
    from siteapp.store.base import recorded_tables

    heads_of_things = {Entry.__tablename__, EntryCorrects.__tablename__}
    return tuple(table for table in recorded_tables() if table.name not in heads_of_things)


def standing() -> ColumnElement[bool]:
    """Condition: the entry is corrected by none, so what it says stands."""
    other = aliased(EntryCorrects)
    return ~exists().where(other.corrects_id == Entry.id)


def correctors(session: Session, entry_ids: Iterable[str]) -> tuple[str, ...]:
    """Ids of the entries that correct any of these."""
    query = select(EntryCorrects.entry_id).where(EntryCorrects.corrects_id.in_(tuple(entry_ids)))
    return tuple(session.scalars(query.distinct().order_by(EntryCorrects.entry_id)))


def erased(session: Session, entry_ids: Iterable[str]) -> set[str]:
    """Those of these entries whose body was let go, wholly or in part."""
    return set(session.scalars(select(Erasure.erased_id).where(Erasure.erased_id.in_(tuple(entry_ids)))))


def _refuse_superseded(session: Session, corrects: Sequence[str]) -> None:
    for entry_id in corrects:
        if session.get(Entry, entry_id) is None:
            message = f"entry {entry_id}, which this corrects, is not here"
            raise StoreError(message)
        newer = tuple(other for other in correctors(session, [entry_id]) if other not in corrects)
        if newer:
            raise Superseded(entry_id, newer)


def _photo_row(number: int, photo: PhotoUse) -> EntryPhoto:
    return EntryPhoto(position=number, sha256=photo.sha256, slot=photo.slot, caption=photo.caption)


def _lock_head(session: Session, chain: str) -> ChainHead:
    # max(seq)+1 loses races on PostgreSQL; the head row is made if need be, then locked, and only then read.
    make = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    first = make(ChainHead).values(chain=chain, seq=0, digest=digests.NO_DIGEST)
    session.execute(first.on_conflict_do_nothing())
    query = select(ChainHead).where(ChainHead.chain == chain).with_for_update()
    return session.scalars(query.execution_options(populate_existing=True)).one()
