"""Walks through everything that is kept and names what is not as it was written. Changes nothing.

What it shows: accidents, careless hands, disks that forget. Whoever owns the machine can write rows, digests, triggers
and the heads file anew and sign them with this laptop's key; against that only heads that left the machine help, those
in backups and certificates.
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from sqlalchemy import event, func, select, text
from sqlalchemy.exc import DBAPIError

from siteapp.keeping import certificates, chains, photos, schema
from siteapp.keeping.findings import Finding, Report, silent
from siteapp.store import heads
from siteapp.store.engine import make_engine
from siteapp.store.models import Entry, LaptopStart, Photo

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from contextlib import AbstractContextManager

    from sqlalchemy import Connection, Engine

    from siteapp.config import Settings
    from siteapp.keeping.findings import Progress

NEWEST = 200


def run(settings: Settings, *, full: bool = True, progress: Progress | None = None) -> Report:
    """Check everything, or (not `full`) what is quick: triggers, heads, the newest entries, that photos are there."""
    report = Report()
    if not settings.database_url and not settings.sqlite_file.exists():
        report.add([Finding(f"there is no database at {settings.sqlite_file}")])
        return report
    engine = make_engine(settings)
    _read_only(engine)
    try:
        _Check(settings, engine, report, progress or silent).run(full=full)
    finally:
        engine.dispose()
    return report


class _Check:
    def __init__(self, settings: Settings, engine: Engine, report: Report, progress: Progress) -> None:
        self.settings = settings
        self.report = report
        self.progress = progress
        self.reading = _reader(engine)

    def run(self, *, full: bool) -> None:
        # A file damaged in one place is still read in the others, so each part fails for itself.
        self._part(lambda: self._look(schema.revision, schema.guards))
        if full:
            self._part(lambda: self._look(schema.integrity))
        self._part(lambda: self._look(schema.references))
        self._part(lambda: self._chains(full=full))
        self._part(lambda: self._look(certificates.records, certificates.keys))
        self._part(lambda: self._certificates(full=full))
        self._part(lambda: self._photos(full=full))

    def _part(self, part: Callable[[], None]) -> None:
        try:
            part()
        except Exception as error:  # noqa: BLE001 - a damaged file makes drivers and decoders fail in many ways
            said = str(error.orig if isinstance(error, DBAPIError) else error)
            finding = Finding(
                f"the database cannot be read: {said.strip().splitlines()[0] if said.strip() else error!r}"
            )
            if finding not in self.report.findings:
                self.report.add([finding])

    def _look(self, *questions: Callable[[Connection], Iterator[Finding]]) -> None:
        with self.reading() as connection:
            for question in questions:
                self.report.add(chains.named(connection, list(question(connection))))

    def _chains(self, *, full: bool) -> None:
        # The file first: a head is noted after its commit, so the database can only be further than the file.
        noted = self._noted()
        if not full:
            chains.quick(self.reading, self.report, noted, NEWEST)
            return
        with self.reading() as connection:
            total = connection.scalar(select(func.count()).select_from(Entry)) or 0
        for walked in chains.Walk(self.reading, self.report, noted).run():
            self.progress(min(walked, total), total, "entries")

    def _noted(self) -> dict[str, heads.Head]:
        file = self.settings.heads_file
        with self.reading() as connection:
            starts = connection.execute(select(LaptopStart.laptop_id, LaptopStart.public_key)).all()
            empty = connection.scalar(select(Entry.id).limit(1)) is None
        said = heads.read(file, dict(starts))
        self.report.add(Finding(fault) for fault in said.faults)
        if not file.exists() and not empty:
            self.report.add([Finding("the file of noted heads is gone, so nobody could tell if a chain's end was cut")])
        self.report.count("noted heads", len(said.heads))
        return dict(said.heads)

    def _certificates(self, *, full: bool) -> None:
        for looked in certificates.files(self.reading, self.settings, self.report, full=full):
            self.progress(looked, looked, "certificates")

    def _photos(self, *, full: bool) -> None:
        with self.reading() as connection:
            total = connection.scalar(select(func.count()).select_from(Photo)) or 0
        for looked in photos.walk(self.reading, self.settings, self.report, full=full):
            self.progress(min(looked, total), total, "photos")


def _read_only(engine: Engine) -> None:
    """Hold the connections of a check to reading, and have them hand over text that is no text."""
    if engine.dialect.name != "sqlite":
        return

    @event.listens_for(engine, "connect")
    def _set(connection: Any, _record: Any) -> None:
        connection.text_factory = lambda raw: raw.decode("utf-8", "surrogateescape")
        connection.execute("PRAGMA query_only = 1")


def _reader(engine: Engine) -> Callable[[], AbstractContextManager[Connection]]:
    @contextmanager
    def reading() -> Iterator[Connection]:
        with engine.connect() as connection, connection.begin():
            if engine.dialect.name == "postgresql":
                connection.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY"))
            yield connection

    return reading
