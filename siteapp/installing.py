"""Set-up itself: the environment, the locked packages, and one line of progress. Standard library only.

Pip keeps the machine's own configuration; nothing here names where packages come from.
"""

from __future__ import annotations

import collections
import contextlib
import errno
import hashlib
import os
import re
import shutil
import sys
import tempfile
from typing import TYPE_CHECKING

from siteapp import bootstrap, native
from siteapp.bootstrap import Stopped
from siteapp.running import NO_SPACE, Progress, explain, run, running

if TYPE_CHECKING:
    from collections.abc import Iterator

# How pip begins with a requirement: from an index, not again, or from a folder of files.
TAKEN_UP = r"(?:Collecting|Requirement already satisfied:) (?P<name>[^=\s]+)|Processing (?P<file>\S+)"
# Published as source only. Pure Python, for tests only, and built with the setuptools that the lock names.
FROM_SOURCE = ("psychrolib",)


def sentence_for(error: OSError, folder: str) -> str:
    """One sentence for an OSError met while setting up in `folder`."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return NO_SPACE
    reason = error.strerror or str(error)
    return f"Cannot set up in {folder}: {reason[:1].lower() + reason[1:]} ({error.filename or folder})."


@contextlib.contextmanager
def only_one(checkout: str) -> Iterator[int | None]:
    """Hold the set-up of this checkout; a second one waits. Gives the file descriptor that holds it.

    Programs started meanwhile inherit the descriptor: if this process is killed, the lock lasts as long as they do.
    """
    if os.name == "nt":
        with open(os.path.join(tempfile.gettempdir(), f"siteapp-{_short(checkout)}.lock"), "w") as lock:
            import msvcrt

            msvcrt.locking(lock.fileno(), msvcrt.LK_LOCK, 1)
            yield None
        return
    import fcntl

    held = os.open(checkout, os.O_RDONLY)
    try:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            sys.stdout.write("Another set-up is running here; waiting for it.\n")
            sys.stdout.flush()
            fcntl.flock(held, fcntl.LOCK_EX)
        yield held
    finally:
        os.close(held)


def install(checkout: str, held: int | None, *, tests: bool) -> None:
    """Bring `.venv` from whatever state it is in to ready."""
    venv = bootstrap.venv_of(checkout)
    extent = "tests" if tests else "runtime"
    wanted = bootstrap.fingerprint(checkout)
    progress = Progress(sys.stdout)
    native.see_to(native.missing(tests=tests), progress, held)
    make_venv(venv, wanted, progress, held)
    install_lock(venv, os.path.join(checkout, bootstrap.LOCKS[extent]), progress, held)
    if tests:
        native.see_to_browser(bootstrap.python_of(venv), progress, held)
    write_state(venv, "ready", wanted, extent)


def write_state(venv: str, state: str, wanted: str, extent: str) -> None:
    """Replace the word on how far set-up has come, in one step that survives a power cut."""
    python = os.path.realpath(bootstrap.python_of(venv))
    name = os.path.join(venv, "siteapp-setup")
    with open(name + ".new", "w") as note:
        note.write(f"{state} {wanted} {extent} {python}\n")
        note.flush()
        os.fsync(note.fileno())
    os.replace(name + ".new", name)


def make_venv(venv: str, wanted: str, progress: Progress, held: int | None) -> None:
    """Make the environment unless one for these locks and this Python is already there."""
    state = bootstrap.read_state(venv)
    python = os.path.realpath(bootstrap.python_of(venv))
    if state and state[0] != "making" and state[1] == wanted and state[3] == python and os.path.exists(python):
        write_state(venv, "installing", wanted, state[2])
        return
    if state is None and os.path.isdir(venv) and os.listdir(venv):
        msg = f"{venv} was made by something else; move or delete it, then start again."
        raise Stopped(msg)
    # Asked for before the folder goes: this very process may be running from it.
    maker = getattr(sys, "_base_executable", "") or sys.executable
    if os.path.isdir(venv):
        shutil.rmtree(venv)
    progress.show("Making .venv")
    os.makedirs(venv)
    write_state(venv, "making", wanted, "runtime")
    run([maker, "-m", "venv", venv], held, "Python could not make its environment")
    write_state(venv, "installing", wanted, "runtime")


def mend(venv: str) -> str:
    """Forget packages whose installation was cut short, so that pip puts them in again; returns the packages' folder.

    Pip writes a package's RECORD anew as its last act, then naming INSTALLER; one that does not name it is half there.
    """
    middle = "Lib" if os.name == "nt" else f"lib/python{sys.version_info.major}.{sys.version_info.minor}"
    packages = os.path.join(venv, middle, "site-packages")
    for name in os.listdir(packages):
        folder = os.path.join(packages, name)
        if name.startswith("~") and os.path.isdir(folder):
            shutil.rmtree(folder)
        if name.endswith(".dist-info") and not _whole(os.path.join(folder, "RECORD")):
            shutil.rmtree(folder)
    return packages


def _whole(record: str) -> bool:
    try:
        with open(record, encoding="utf-8") as lines:
            return any("/INSTALLER," in line for line in lines)
    except OSError:
        return False


def install_lock(venv: str, lock: str, progress: Progress, held: int | None) -> None:
    """Install all that one lock names, saying which package is next."""
    with open(lock, encoding="utf-8") as text:
        blocks = [block for block in re.split(r"(?m)^(?=[A-Za-z0-9])", text.read()) if "==" in block]
    source = [block for block in blocks if block.split("==")[0] in FROM_SOURCE]
    wheels = [block for block in blocks if block not in source]
    # The lock is complete, so pip has nothing to work out; bytecode is made on first use, for what is used.
    words = ["--require-hashes", "--no-deps", "--no-compile", "--no-input", "--progress-bar", "off"]
    pip = [bootstrap.python_of(venv), "-m", "pip", "install", "--disable-pip-version-check", *words]
    with tempfile.TemporaryDirectory() as folder:
        for name, part, how in (
            ("wheels.txt", wheels, ["--only-binary", ":all:"]),
            ("source.txt", source, ["--no-build-isolation", "--no-binary", ",".join(FROM_SOURCE)]),
        ):
            if not part:
                continue
            with open(os.path.join(folder, name), "w", encoding="utf-8") as text:
                text.writelines(part)
            command = pip + how + ["-r", text.name]
            install_part(command, len(part), mend(venv), progress, held)


def install_part(command: list[str], total: int, packages: str, progress: Progress, held: int | None) -> None:
    """Run one pip over `total` requirements, following what it prints and what appears in `packages`."""
    fetched = 0
    last: collections.deque[str] = collections.deque(maxlen=60)
    putting_in = False
    with running(command, held) as (process, lines):
        for line in lines:
            if line is None:
                if putting_in:
                    _show_installed(packages, total, progress)
                continue
            last.append(line)
            if line.startswith("Ignoring "):
                total -= 1
            elif taken := re.match(TAKEN_UP, line):
                fetched += 1
                name = taken["name"] or os.path.basename(taken["file"]).split("-")[0]
                progress.show(f"Fetching {fetched} of {total}: {name}", keep=fetched % 20 == 0 or fetched == total)
            elif line.startswith("Installing collected packages"):
                putting_in = True
    if process.returncode != 0:
        explain("\n".join(last), "pip could not install the locked packages")
    progress.show(f"Installed {total} of {total} packages")
    progress.end()


def _show_installed(packages: str, total: int, progress: Progress) -> None:
    done = [entry for entry in os.scandir(packages) if entry.name.endswith(".dist-info")]
    newest = max(done, key=lambda entry: entry.stat().st_mtime)
    # Pip and what came with it are there as well, so the count may run past the lock's.
    count = min(len(done), total)
    progress.show(f"Installing {count} of {total}: {newest.name.split('-')[0]}", keep=count % 20 == 0)


def _short(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]
