"""Copies of a PostgreSQL database by PostgreSQL's own programs, in its custom format."""

from __future__ import annotations

import os
import shutil
import subprocess
from typing import TYPE_CHECKING

from siteapp.store.errors import UnsoundDatabase

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy import URL


def write(url: URL, target: Path) -> None:
    """Write one consistent state of the database to a file, also while others write. Raises UnsoundDatabase."""
    _run(url, "pg_dump", ["--format=custom", f"--file={target}"], "--dbname={}")


def load(url: URL, source: Path) -> None:
    """Fill an empty database from such a file, wholly or not at all. Raises UnsoundDatabase."""
    options = ["--single-transaction", "--exit-on-error", "--no-owner", "--no-privileges"]
    _run(url, "pg_restore", options, "--dbname={}", str(source))


def _run(url: URL, program: str, options: list[str], database: str, *rest: str) -> None:
    found = shutil.which(program)
    if found is None:
        message = f"{program} is not on this machine, so the database cannot be copied; install PostgreSQL's client"
        raise UnsoundDatabase(message)
    # A command line can be read by everybody on the machine, so the password goes another way.
    address = url.set(drivername="postgresql", password=None).render_as_string(hide_password=False)
    secret = {"PGPASSWORD": str(url.password)} if url.password is not None else {}
    command = [found, *options, database.format(address), *rest]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env={**os.environ, **secret})
    if done.returncode:
        message = f"{program} could not copy the database: {done.stderr.strip()}"
        raise UnsoundDatabase(message)
