"""What a person can mend themselves, as one sentence instead of a traceback; and the ground a command stands on."""

from __future__ import annotations

import errno
import os
import shutil
import sys
import tempfile
from typing import TYPE_CHECKING

from siteapp.config import MEGABYTE, SettingError

if TYPE_CHECKING:
    from siteapp.config import Settings

LEAST_FREE_BYTES = 20 * MEGABYTE
FULL = {errno.ENOSPC, errno.EDQUOT}
CLOSED = {errno.EROFS, errno.EACCES, errno.EPERM, errno.ENOTDIR}
NO_SPACE = "There is no space left on the disk; nothing was half saved. Make room and start again."
# https://www.sqlite.org/rescode.html, the primary result codes
SQLITE = {
    8: "The database cannot be written: its file or folder is read-only.",
    11: "The database file is damaged. Keep it as it is, and restore the last backup into another folder.",
    13: NO_SPACE,
    14: "The database file cannot be opened or made in the data folder.",
    26: "The database file is not a SQLite database. Keep it as it is, and restore the last backup.",
}


class Refusal(Exception):
    """The command cannot do this; the message is a sentence for the person at the keyboard."""


def sentence_for(error: Exception) -> str | None:
    """One sentence for an error that lies in the machine or in what was typed; None for a fault of the program."""
    if isinstance(error, Refusal | SettingError):
        return str(error)
    if isinstance(error, OSError):
        return _for_the_machine(error)
    return _for_the_store(error)


def prepare(settings: Settings) -> None:
    """Make sure the data folder can be written, and bring the database up to date."""
    claim_folder(settings)
    from siteapp.store.migrate import upgrade

    upgrade(settings)


def claim_folder(settings: Settings) -> None:
    """Make the data folder, for its owner's eyes only, and see that something can be written to it.

    Raises Refusal naming the folder when it cannot be used.
    """
    where = "SITEAPP_DEMO_DATA" if settings.demo else "SITEAPP_DATA"
    try:
        settings.data.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=settings.data) as probe:
            probe.write(b"written and gone")
            probe.flush()
            os.fsync(probe.fileno())
        free = shutil.disk_usage(settings.data).free
    except OSError as error:
        if error.errno in FULL:
            raise Refusal(NO_SPACE) from error
        reason = (error.strerror or str(error)).lower()
        message = f"The data folder {settings.data} cannot be written ({reason}); choose another with {where}."
        raise Refusal(message) from error
    if free < LEAST_FREE_BYTES:
        raise Refusal(NO_SPACE)


def _for_the_machine(error: OSError) -> str | None:
    if error.errno in FULL:
        return NO_SPACE
    if error.errno in CLOSED and error.filename is not None:
        return f"{error.filename} cannot be used: {(error.strerror or '').lower()}."
    return None


def _for_the_store(error: Exception) -> str | None:
    """Errors of rooms that are imported late: looked up only when the room is there to raise them."""
    store = sys.modules.get("siteapp.store.errors")
    if store is not None and isinstance(error, store.StoreError):
        return _as_sentence(error)
    saving = sys.modules.get("siteapp.web.saving")
    if saving is not None and isinstance(error, saving.FieldProblem):
        return _as_sentence(error)
    database = sys.modules.get("sqlalchemy.exc")
    if database is not None and isinstance(error, database.DBAPIError):
        return _for_the_database(error.orig)
    return None


def _for_the_database(error: BaseException | None) -> str | None:
    code = getattr(error, "sqlite_errorcode", None)
    if code is not None:
        return SQLITE.get(code & 0xFF)
    if type(error).__name__ == "OperationalError" and getattr(error, "sqlstate", "") is None:
        # An operation that failed without a state: there never was a server to give one.
        reason = str(error).strip().splitlines()[0]
        return f"The database that SITEAPP_DATABASE_URL names cannot be reached: {reason}."
    return None


def _as_sentence(error: Exception) -> str:
    text = str(error)
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")
