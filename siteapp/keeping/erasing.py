"""A client's data let go at their wish: taken out of every entry of their job, their photos and papers removed.

What happened stays: each entry's header keeps the digest of the body as it was, and what is left of the body has a
digest of its own, so chains still walk. What goes is gone for good, from the database, its journal, the photos, the
kept papers and the copies that migrations made. What left this laptop before (backups, job files, printed or given
certificates, phones that still wait to send) is not reached; the page says so.
"""

from __future__ import annotations

import contextlib
import json
import shutil
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import rfc8785
from sqlalchemy import CheckConstraint, select, union

from siteapp.aftercare.models import Keeper, Moved
from siteapp.finishing.colour.models import ColourAnswer
from siteapp.finishing.models import FinishingClose
from siteapp.handover.models import Handover, HandoverSignature
from siteapp.jobs import redaction
from siteapp.keeping.certificates import certificate_files
from siteapp.store import entries
from siteapp.store.columns import WordsType
from siteapp.store.engine import make_engine
from siteapp.store.errors import StoreError
from siteapp.store.hashed import HashedFolder, sync_folder
from siteapp.store.models import Entry, EntryPhoto, ErasedPhoto
from siteapp.store.photos import PhotoFolder
from siteapp.store.triggers import NEVER_ERASED_KINDS
from siteapp.visits.models import SiteContact
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sqlalchemy import Engine, Table
    from sqlalchemy.orm import Session

    from siteapp.config import Settings
    from siteapp.store.entries import Row, Writer

# Columns of words that rows are found by: identifiers, places in a list, days. None of them is a person's.
KEYS = {"slot", "chain", "unit", "calculation", "kind", "label", "a", "b", "day", "number", "film_verdict", "mix_by"}
KEY_ENDINGS = ("_key", "_on", "_verdict", "_how")
WAIT_S = 10.0


@dataclass(frozen=True)
class Place:
    """An entry that holds some of the words: its kind, and how many of its texts do."""

    entry_id: str
    kind: str
    texts: int


@dataclass(frozen=True)
class Done:
    """How much was let go."""

    entries: int
    photos: int


def words_to_offer(session: Session, job_id: str) -> list[str]:
    """Names, addresses and ways to reach people that the job holds, longest first, for a person to look through."""
    found: set[str] = set(redaction.secrets_of(session, job_id))
    for column in (
        Handover.signed_name,
        HandoverSignature.name,
        Keeper.name,
        Keeper.contact,
        Moved.address,
        SiteContact.name,
        SiteContact.phone,
        FinishingClose.client_name,
        ColourAnswer.client_name,
    ):
        query = select(column).join(Entry, Entry.id == column.class_.entry_id).where(Entry.job_id == job_id)
        for text in session.scalars(query):
            found.update(" ".join(line.split()) for line in (text or "").splitlines())
    found = {one for one in found if len(one) >= redaction.SHORTEST and one != redaction.LEFT_OUT}
    return sorted(found, key=lambda one: (-len(one), one))


def photos_to_offer(session: Session, job_id: str) -> list[str]:
    """The photos that entries of the job show, signatures among them, those erased before left out."""
    shown = select(EntryPhoto.sha256).join(Entry, Entry.id == EntryPhoto.entry_id).where(Entry.job_id == job_id)
    gone = set(session.scalars(select(ErasedPhoto.sha256)))
    found = session.scalars(shown.distinct().order_by(EntryPhoto.sha256))
    return [sha for sha in dict.fromkeys([*_signatures(session, job_id), *found]) if sha not in gone]


def places(session: Session, job_id: str, words: Sequence[str]) -> list[Place]:
    """The entries of the job in which any of the words stands, in the order in which they were recorded."""
    kinds = {entry.id: entry.kind for entry in _entries(session, job_id)}
    texts: dict[str, int] = {}
    for table in entries.body_tables():
        query = select(*table.columns).join(Entry, Entry.id == table.c.entry_id).where(Entry.job_id == job_id)
        for row in session.execute(query).mappings():
            count = sum(1 for name, value in _cleaned(table, dict(row), words).items() if value != row[name])
            if count and row["entry_id"] in kinds:
                texts[row["entry_id"]] = texts.get(row["entry_id"], 0) + count
    return [Place(entry_id, kind, texts[entry_id]) for entry_id, kind in kinds.items() if entry_id in texts]


def erase(
    session: Session, writer: Writer, *, job_id: str, words: Sequence[str], photos: Iterable[str], reason: str
) -> Done:
    """Take these words out of every entry of a job, and let these photos go, with every drawn signature.

    The files go when `finish` is called, after the commit. Raises StoreError when there is nothing to let go.
    """
    entries.keep_others_out(session, writer, job_id)
    offered = set(photos_to_offer(session, job_id))
    gone = sorted({sha for sha in photos if sha in offered} | (set(_signatures(session, job_id)) & offered))
    found = places(session, job_id, words)
    if not found and not gone:
        message = _("None of these words stands in this job, and no photo was chosen: there is nothing to erase.")
        raise StoreError(message)
    for place in found:
        entries.erase(
            session, writer, place.entry_id, reason=reason, keep=lambda table, row: _cleaned(table, row, words)
        )
    if gone:
        entries.erase_photos(session, writer, gone, reason=reason, job_id=job_id)
    return Done(len(found), len(gone))


def begin(settings: Settings) -> None:
    """Note, before anything is erased, that files may have to follow; `finish` is run again until it has ended."""
    settings.erasing.touch(mode=0o600)
    sync_folder(settings.data)


def finish(settings: Settings) -> None:
    """Take away what erased entries leave in files; does nothing when nothing was begun.

    Raises StoreError when the database is too busy to be written anew; the next start tries again.
    """
    if not settings.erasing.exists():
        return
    engine = make_engine(settings)
    try:
        _remove_files(settings, engine)
        _write_anew(engine)
    finally:
        engine.dispose()
    settings.erasing.unlink(missing_ok=True)
    sync_folder(settings.data)


def _remove_files(settings: Settings, engine: Engine) -> None:
    with engine.connect() as connection:
        gone = connection.scalars(select(ErasedPhoto.sha256)).all()
        kept = set(connection.scalars(certificate_files()))
    photos = PhotoFolder(settings.photos, settings.cache)
    for sha in gone:
        photos.remove(sha)
    # Those of erased certificates, and those that were made and never issued.
    issued = HashedFolder(settings.certificates)
    for sha in list(issued.hashes()):
        if sha not in kept:
            issued.remove(sha)
    shutil.rmtree(settings.cache / "documents", ignore_errors=True)
    shutil.rmtree(settings.copies, ignore_errors=True)


def _write_anew(engine: Engine) -> None:
    """Have the database written anew without what was deleted, and its journal emptied."""
    if engine.dialect.name == "postgresql":
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("VACUUM FULL")
        return
    until = time.monotonic() + WAIT_S
    raw = engine.raw_connection()
    try:
        cursor = raw.cursor()
        while True:
            with contextlib.suppress(Exception):  # busy: the driver's own class, of whichever driver it is
                cursor.execute("VACUUM")
                busy = cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
                if not busy:
                    return
            if time.monotonic() > until:
                message = _(
                    "Erased, but the database is too busy to be written anew. The next start of the program does it."
                )
                raise StoreError(message)
            time.sleep(0.2)
    finally:
        raw.close()


def _entries(session: Session, job_id: str) -> list[Entry]:
    query = select(Entry).where(Entry.job_id == job_id, Entry.kind.not_in(NEVER_ERASED_KINDS))
    return list(session.scalars(query.order_by(Entry.recorded_at, Entry.id)))


def _signatures(session: Session, job_id: str) -> list[str]:
    drawn = union(
        select(Handover.signature_sha256).join(Entry, Entry.id == Handover.entry_id).where(Entry.job_id == job_id),
        select(HandoverSignature.signature_sha256)
        .join(Entry, Entry.id == HandoverSignature.entry_id)
        .where(Entry.job_id == job_id),
    )
    return sorted(sha for sha in session.scalars(drawn) if sha)


def _cleaned(table: Table, row: Row, words: Sequence[str]) -> Row:
    """The row with the words taken out of its texts."""
    wanted = _texts_of(table)
    return {name: _clean(value, words) if name in wanted and value else value for name, value in row.items()}


def _texts_of(table: Table) -> set[str]:
    """Names of the columns that hold what a person wrote."""
    checked = " ".join(str(one.sqltext) for one in table.constraints if isinstance(one, CheckConstraint))
    return {
        column.name
        for column in table.columns
        if isinstance(column.type, WordsType)
        and column.name not in KEYS
        and not column.name.endswith(KEY_ENDINGS)
        and f"{column.name} IN (" not in checked
    }


def _clean(text: str, words: Sequence[str]) -> str:
    if text[:1] in "{[":
        with contextlib.suppress(ValueError):
            plain = json.loads(text)
            clean = _clean_plain(plain, words)
            return text if clean == plain else rfc8785.dumps(clean).decode("utf-8")
    return redaction.redact_words(text, words)


def _clean_plain(value: Any, words: Sequence[str]) -> Any:
    if isinstance(value, str):
        return redaction.redact_words(value, words)
    if isinstance(value, list):
        return [_clean_plain(one, words) for one in value]
    if isinstance(value, dict):
        return {name: _clean_plain(one, words) for name, one in value.items()}
    return value
