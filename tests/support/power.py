"""A disk that forgets what was not synced when the power goes, under the program's own engine.

SQLite is asked to use a virtual file system (through the library apsw) that passes everything on to the real one and
keeps, for each file, what is surely on the disk and what was only written. At chosen moments it tells what a power cut
would leave: the sure part, and any of the rest, whole, torn in a sector, or not at all; a file deleted without its
folder being synced may be there again. The program's engine runs on it unchanged: apsw is put in the place of the
SQLite driver by the small adaptor below, in the form of Python's database interface (PEP 249).
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import apsw

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

SECTOR = 512


@dataclass
class Disk:
    """One file: its content surely on disk, and what was written since."""

    sure: bytearray = field(default_factory=bytearray)
    unsure: list[tuple[int, bytes | None]] = field(default_factory=list)  # offset and data, or length and None
    named: bool = False  # whether its name is surely in its folder

    def after_a_cut(self, rng: random.Random, share: float) -> bytes:
        """What is there when the power comes back; `share` of the unsure writes made it."""
        content = bytearray(self.sure)
        for place, data in self.unsure:
            if rng.random() < share:
                torn = rng.randrange(0, len(data), SECTOR) if data and rng.random() < share / 4 else None
                apply(content, place, data if torn is None or data is None else data[:torn])
        return bytes(content)


def apply(content: bytearray, place: int, data: bytes | None) -> None:
    """Do one write or truncation."""
    if data is None:
        del content[place:]
        return
    if len(content) < place:
        content.extend(bytes(place - len(content)))
    content[place : place + len(data)] = data


@dataclass
class Cut:
    """What a power cut at one moment leaves, and what had been acknowledged by then."""

    files: dict[str, bytes]
    acknowledged: int


class Power(apsw.VFS):
    """The file system; `cuts` gathers what would be left at the moments it chose."""

    def __init__(self, name: str, seed: int, every: int) -> None:
        self.vfs_name = name
        self.rng = random.Random(seed)
        self.every = every
        self.disks: dict[str, Disk] = {}
        self.deleted: dict[str, Disk] = {}
        self.acknowledged = 0
        self.cuts: list[Cut] = []
        self.on = False
        super().__init__(name, "")

    def load(self, path: Path) -> None:
        """Take a file as it is, for sure on disk."""
        self.disks[str(path)] = Disk(bytearray(path.read_bytes()), named=True)

    def moment(self) -> None:
        """Something is about to be done to the disk; the power may go first."""
        if self.on and self.rng.randrange(self.every) == 0:
            self.cut()

    def cut(self) -> None:
        """Remember what a power cut now would leave."""
        share = self.rng.choice([0.0, 0.5, 1.0, self.rng.random()])
        files = {
            name: disk.after_a_cut(self.rng, share)
            for name, disk in self.disks.items()
            if disk.named or self.rng.random() < share
        }
        for name, disk in self.deleted.items():
            if name not in self.disks and self.rng.random() < max(share, 0.5):
                files[name] = disk.after_a_cut(self.rng, share)
        self.cuts.append(Cut(files, self.acknowledged))

    def xOpen(self, name: Any, flags: list[int]) -> apsw.VFSFile:  # noqa: N802 - SQLite's name
        return PowerFile(self, name, flags)

    def xDelete(self, filename: str, syncdir: bool) -> None:  # noqa: N802
        self.moment()
        super().xDelete(filename, syncdir)
        disk = self.disks.pop(filename, None)
        if syncdir:
            self.deleted.clear()
        elif disk:
            self.deleted[filename] = disk
        self.moment()


class PowerFile(apsw.VFSFile):
    """One open file."""

    def __init__(self, power: Power, name: Any, flags: list[int]) -> None:
        self.power = power
        path = name.filename() if isinstance(name, apsw.URIFilename) else name
        self.disk = power.disks.setdefault(path, Disk()) if path else Disk()
        super().__init__("", name, flags)

    def xWrite(self, data: bytes, offset: int) -> None:  # noqa: N802
        self.power.moment()
        super().xWrite(data, offset)
        self.disk.unsure.append((offset, bytes(data)))

    def xTruncate(self, newsize: int) -> None:  # noqa: N802
        self.power.moment()
        super().xTruncate(newsize)
        self.disk.unsure.append((newsize, None))

    def xSync(self, flags: int) -> None:  # noqa: N802
        self.power.moment()
        super().xSync(flags)
        for place, data in self.disk.unsure:
            apply(self.disk.sure, place, data)
        self.disk.unsure.clear()
        if not self.disk.named:
            # The real one syncs the folder too, the first time that it syncs a new journal.
            self.disk.named = True
            self.power.deleted.clear()
        self.power.moment()


class Cursor:
    """PEP 249's cursor over apsw's."""

    arraysize = 1

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.description: Any = None
        self.rowcount = -1
        self.lastrowid: int | None = None
        self._rows: list[Any] = []

    def execute(self, statement: str, values: Sequence[Any] = ()) -> Cursor:
        raw = self.connection.raw
        cursor = raw.cursor()
        described: list[Any] = []

        def describe(running: apsw.Cursor, _sql: str, _values: Any) -> bool:
            described.append(running.get_description())
            return True

        cursor.exec_trace = describe
        self._rows = list(cursor.execute(statement, tuple(values)))
        found = described[-1] if described else ()
        self.description = [(name, *[None] * 6) for name, _type in found] or None
        self.rowcount, self.lastrowid = raw.changes(), raw.last_insert_rowid()
        return self

    def executemany(self, statement: str, many: Sequence[Sequence[Any]]) -> Cursor:
        for values in many:
            self.execute(statement, values)
        return self

    def fetchone(self) -> Any:
        return self._rows.pop(0) if self._rows else None

    def fetchmany(self, size: int = 1) -> list[Any]:
        taken, self._rows = self._rows[:size], self._rows[size:]
        return taken

    def fetchall(self) -> list[Any]:
        return self.fetchmany(len(self._rows))

    def close(self) -> None:
        self._rows = []


class Connection:
    """PEP 249's connection over apsw's."""

    isolation_level = None

    def __init__(self, raw: apsw.Connection, busy_s: float) -> None:
        self.raw = raw
        raw.set_busy_timeout(int(busy_s * 1000))

    def cursor(self) -> Cursor:
        return Cursor(self)

    def execute(self, statement: str, values: Sequence[Any] = ()) -> Cursor:
        return self.cursor().execute(statement, values)

    def commit(self) -> None:
        if self.raw.in_transaction:
            self.raw.execute("COMMIT")

    def rollback(self) -> None:
        if self.raw.in_transaction:
            self.raw.execute("ROLLBACK")

    def create_function(self, *_args: Any, **_kwargs: Any) -> None:
        """SQLAlchemy offers a function for regular expressions, which nothing here uses."""

    def close(self) -> None:
        self.raw.close()


def driver(power: Power, version: tuple[int, ...], change: Callable[[str], str] = str) -> Any:
    """A database module on this file system. `change` may alter a PRAGMA, to see what the right one is good for."""

    class Changed(Cursor):
        def execute(self, statement: str, values: Sequence[Any] = ()) -> Cursor:
            return super().execute(change(statement), values)

    class Changing(Connection):
        def cursor(self) -> Cursor:
            return Changed(self)

    def connect(path: str, timeout: float = 5.0, **_kwargs: Any) -> Connection:
        return Changing(apsw.Connection(str(path), vfs=power.vfs_name), timeout)

    errors = ("Error", "DatabaseError", "OperationalError", "IntegrityError", "InterfaceError", "ProgrammingError")
    return SimpleNamespace(
        connect=connect,
        paramstyle="qmark",
        sqlite_version_info=version,
        sqlite_version=".".join(map(str, version)),
        **dict.fromkeys((*errors, "DataError", "InternalError", "NotSupportedError", "Warning"), apsw.Error),
    )


def written(cut: Cut, root: Path, target: Path) -> None:
    """Lay the files that a cut left into another folder."""
    target.mkdir(parents=True, exist_ok=True)
    for name, content in cut.files.items():
        if not name.endswith("-shm"):
            (target / Path(name).relative_to(root)).write_bytes(content)
