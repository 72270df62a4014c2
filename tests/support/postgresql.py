"""A PostgreSQL server of the tests' own: in a temporary folder, on a Unix socket only, gone at the end."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.parse import quote

import psycopg
from psycopg import sql

OWNER = "postgres"
# Waits for the tests' process to end in whatever way, even killed; then stops the server and takes its folder away.
WATCH = """
import os, shutil, signal, sys
sys.stdin.read()
os.kill(int(sys.argv[1]), signal.SIGQUIT)
shutil.rmtree(sys.argv[2], ignore_errors=True)
"""
START_S = 30


def programs() -> Path | None:
    """The folder of the newest PostgreSQL server programs on this machine, or None."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    if found:
        return found[-1].parent
    initdb = shutil.which("initdb")
    return Path(initdb).resolve().parent if initdb else None


class Server:
    """A running server; `url(name)` names one of its databases."""

    def __init__(self, bin_folder: Path) -> None:
        # Short, since a Unix socket's path must fit in about 100 bytes.
        self.folder = Path(tempfile.mkdtemp(prefix="pg-"))
        # The server refuses to run as root.
        self._user = OWNER if os.name == "posix" and os.geteuid() == 0 else None
        if self._user:
            shutil.chown(self.folder, self._user)
        data = self.folder / "data"
        self._run(
            [bin_folder / "initdb", "-N", "-A", "trust", "-U", OWNER, "-E", "UTF8", "--locale=C.UTF-8", "-D", data]
        )
        settings = [f"{name}={value}" for name, value in self._settings().items()]
        command = [bin_folder / "postgres", "-D", data, *(part for setting in settings for part in ("-c", setting))]
        with (self.folder / "log").open("wb") as log:
            self._process = subprocess.Popen(
                command, stdout=log, stderr=log, stdin=subprocess.DEVNULL, user=self._user, cwd=self.folder
            )
        watch = [sys.executable, "-c", WATCH, str(self._process.pid), str(self.folder)]
        self._watch = subprocess.Popen(watch, stdin=subprocess.PIPE, start_new_session=True)
        self._wait()

    def _settings(self) -> dict[str, str]:
        return {
            "listen_addresses": "",
            "unix_socket_directories": str(self.folder),
            "fsync": "off",
            "synchronous_commit": "off",
            "full_page_writes": "off",
            "max_connections": "60",
            "shared_buffers": "32MB",
            "autovacuum": "off",
            "deadlock_timeout": "30ms",  # a second otherwise, which is long for a test
        }

    def _run(self, command: list[object]) -> None:
        subprocess.run(
            [str(part) for part in command], check=True, capture_output=True, user=self._user, cwd=self.folder
        )

    def _wait(self) -> None:
        end = time.monotonic() + START_S
        while True:
            try:
                psycopg.connect(self.address("postgres")).close()
            except psycopg.OperationalError:
                if time.monotonic() > end or self._process.poll() is not None:
                    self.stop()
                    raise
                time.sleep(0.02)
            else:
                return

    def address(self, name: str) -> str:
        """A libpq address of a database."""
        return f"postgresql:///{name}?host={quote(str(self.folder), safe='')}&user={OWNER}"

    def make(self, name: str, template: str = "template1") -> str:
        """Make a database as a copy of another; returns its address."""
        self._ask(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(name), sql.Identifier(template)))
        return self.address(name)

    def drop(self, name: str) -> None:
        """Drop a database, whoever is still connected to it."""
        self._ask(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))

    def _ask(self, statement: sql.Composed) -> None:
        with psycopg.connect(self.address("postgres"), autocommit=True) as connection:
            connection.execute(statement)

    def stop(self) -> None:
        """Stop at once and leave nothing behind."""
        self._watch.kill()
        self._watch.communicate()
        if self._process.poll() is None:
            self._process.send_signal(signal.SIGQUIT)  # PostgreSQL's immediate shutdown
            self._process.wait(START_S)
        shutil.rmtree(self.folder, ignore_errors=True)
