"""Set-up itself: the environment, the locked packages, and one line of progress. Standard library only.

Pip keeps the machine's own configuration; nothing here names where packages come from.
"""

import collections
import contextlib
import errno
import hashlib
import os
import queue
import re
import shutil
import subprocess
import sys
import tempfile
import threading

from siteapp import bootstrap, native
from siteapp.bootstrap import Stopped

NO_NETWORK = (
    "Cannot reach the package sources: the first set-up needs the internet once. "
    "Connect and start again; it goes on where it stopped."
)
NO_TRUST = (
    "The package source's certificate is not trusted on this machine (a proxy may stand between): "
    "give pip your network's certificate, for example with PIP_CERT, and start again; it goes on where it stopped."
)
NO_SPACE = "There is no space left on the disk; make room and start again, it goes on where it stopped."
# Published as source only. Pure Python, for tests only, and built with the setuptools that the lock names.
FROM_SOURCE = ("psychrolib",)
# Pip and apt say these in English under LC_ALL=C; there is no exit code that tells a dead network from the rest.
NETWORK_WORDS = re.compile(
    "NewConnectionError|NameResolutionError|ConnectTimeout|ConnectionError|ReadTimeout|ProxyError"
    "|Failed to establish|Temporary failure|Could not resolve|Could not connect|Unable to connect"
    "|Network is unreachable|No route to host|Connection (refused|timed out)"
)


def sentence_for(error, folder):
    """One sentence for an OSError met while setting up in `folder`."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return NO_SPACE
    reason = error.strerror or str(error)
    return "Cannot set up in %s: %s (%s)." % (folder, reason[:1].lower() + reason[1:], error.filename or folder)


@contextlib.contextmanager
def only_one(checkout):
    """Hold the set-up of this checkout; a second one waits. Gives the file descriptor that holds it.

    Programs started meanwhile inherit the descriptor: if this process is killed, the lock lasts as long as they do.
    """
    if os.name == "nt":
        with open(os.path.join(tempfile.gettempdir(), "siteapp-%s.lock" % _short(checkout)), "w") as lock:
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


def install(checkout, tests, held):
    """Bring `.venv` from whatever state it is in to ready."""
    venv = bootstrap.venv_of(checkout)
    extent = "tests" if tests else "runtime"
    wanted = bootstrap.fingerprint(checkout)
    progress = Progress(sys.stdout)
    native.see_to(native.missing(tests), progress, held)
    make_venv(venv, wanted, progress, held)
    install_lock(venv, os.path.join(checkout, bootstrap.LOCKS[extent]), progress, held)
    if tests:
        native.see_to_browser(bootstrap.python_of(venv), progress, held)
    write_state(venv, "ready", wanted, extent)


def write_state(venv, state, wanted, extent):
    """Replace the word on how far set-up has come, in one step that survives a power cut."""
    python = os.path.realpath(bootstrap.python_of(venv))
    name = os.path.join(venv, "siteapp-setup")
    with open(name + ".new", "w") as note:
        note.write("%s %s %s %s\n" % (state, wanted, extent, python))
        note.flush()
        os.fsync(note.fileno())
    os.replace(name + ".new", name)


def make_venv(venv, wanted, progress, held):
    """Make the environment unless one for these locks and this Python is already there."""
    state = bootstrap.read_state(venv)
    python = os.path.realpath(bootstrap.python_of(venv))
    if state and state[0] != "making" and state[1] == wanted and state[3] == python and os.path.exists(python):
        write_state(venv, "installing", wanted, state[2])
        return
    if state is None and os.path.isdir(venv) and os.listdir(venv):
        raise Stopped("%s was made by something else; move or delete it, then start again." % venv)
    if os.path.isdir(venv):
        shutil.rmtree(venv)
    progress.show("Making .venv")
    os.makedirs(venv)
    write_state(venv, "making", wanted, "runtime")
    run([sys.executable, "-m", "venv", venv], held, "Python could not make its environment")
    write_state(venv, "installing", wanted, "runtime")


def mend(venv):
    """Forget packages whose installation was cut short, so that pip puts them in again; returns the packages' folder.

    Pip writes a package's RECORD anew as its last act, then naming INSTALLER; one that does not name it is half there.
    """
    middle = "Lib" if os.name == "nt" else "lib/python%d.%d" % sys.version_info[:2]
    packages = os.path.join(venv, middle, "site-packages")
    for name in os.listdir(packages):
        folder = os.path.join(packages, name)
        if name.startswith("~") and os.path.isdir(folder):
            shutil.rmtree(folder)
        if name.endswith(".dist-info") and not _whole(os.path.join(folder, "RECORD")):
            shutil.rmtree(folder)
    return packages


def _whole(record):
    try:
        with open(record, encoding="utf-8") as lines:
            return any("/INSTALLER," in line for line in lines)
    except OSError:
        return False


def install_lock(venv, lock, progress, held):
    """Install all that one lock names, saying which package is next."""
    with open(lock, encoding="utf-8") as text:
        blocks = [block for block in re.split(r"(?m)^(?=[A-Za-z0-9])", text.read()) if "==" in block]
    source = [block for block in blocks if block.split("==")[0] in FROM_SOURCE]
    wheels = [block for block in blocks if block not in source]
    # The lock is complete, so pip has nothing to work out; bytecode is made on first use, for what is used.
    words = ["--require-hashes", "--no-deps", "--no-compile", "--no-input", "--progress-bar", "off"]
    pip = [bootstrap.python_of(venv), "-m", "pip", "install", "--disable-pip-version-check"] + words
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


def install_part(command, total, packages, progress, held):
    """Run one pip over `total` requirements, following what it prints and what appears in `packages`."""
    fetched = 0
    last = collections.deque(maxlen=60)
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
            elif line.startswith(("Collecting ", "Requirement already satisfied: ")):
                fetched += 1
                name = re.sub("^(Collecting|Requirement already satisfied:) ", "", line).split("==")[0]
                progress.show("Fetching %d of %d: %s" % (fetched, total, name), fetched % 20 == 0 or fetched == total)
            elif line.startswith("Installing collected packages"):
                putting_in = True
    if process.returncode != 0:
        explain("\n".join(last), "pip could not install the locked packages")
    progress.show("Installed %d of %d packages" % (total, total))
    progress.end()


def _show_installed(packages, total, progress):
    done = [entry for entry in os.scandir(packages) if entry.name.endswith(".dist-info")]
    newest = max(done, key=lambda entry: entry.stat().st_mtime)
    # Pip and what came with it are there as well, so the count may run past the lock's.
    count = min(len(done), total)
    progress.show("Installing %d of %d: %s" % (count, total, newest.name.split("-")[0]), count % 20 == 0)


def explain(text, what):
    """Raise Stopped with the sentence that fits what a program printed before it failed."""
    if "No space left on device" in text or "not enough free space" in text.lower():
        raise Stopped(NO_SPACE)
    if NETWORK_WORDS.search(text):
        raise Stopped(NO_NETWORK)
    if "CERTIFICATE_VERIFY_FAILED" in text:
        raise Stopped(NO_TRUST)
    raise Stopped("%s\n%s. The lines above are its last words." % (text.strip()[-2000:], what))


@contextlib.contextmanager
def running(command, held, **options):
    """Run a program and give (process, its lines as they come); None between them when a moment passes without one."""
    environment = dict(os.environ, LC_ALL="C.UTF-8", LANGUAGE="C", PYTHONUNBUFFERED="1")
    environment.update(options.pop("environment", {}))
    kept = tuple(options.pop("pass_fds", ())) + ((held,) if held is not None else ())
    process = subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=environment,
        pass_fds=kept,
        **options,
    )
    try:
        yield process, _lines(process.stdout)
        process.wait()
    finally:
        if process.poll() is None:
            process.terminate()
            process.wait()
        process.stdout.close()


def _lines(stream):
    waiting = queue.Queue()

    def read():
        for line in stream:
            waiting.put(line.decode("utf-8", "replace").strip())
        waiting.put(StopIteration)

    threading.Thread(target=read, daemon=True).start()
    while True:
        try:
            line = waiting.get(timeout=0.3)
        except queue.Empty:
            yield None
            continue
        if line is StopIteration:
            return
        yield line


def run(command, held, what, **options):
    """Run a program to its end; Stopped with what it printed when it fails. Returns its text."""
    with running(command, held, **options) as (process, lines):
        text = "\n".join(line for line in lines if line is not None)
    if process.returncode != 0:
        explain(text, what)
    return text


class Progress:
    """One line that is written over on a terminal; in a log, a plain line where one is worth keeping."""

    def __init__(self, stream):
        self.stream = stream
        self.live = stream.isatty()
        self.last = None

    def show(self, text, keep=True):
        """Say where we are; `keep` is whether a log shall hold this one too."""
        if text == self.last or not (self.live or keep):
            return
        self.last = text
        if self.live:
            self.stream.write("\r\033[K" + text[: shutil.get_terminal_size().columns - 1])
        else:
            self.stream.write(text + "\n")
        self.stream.flush()

    def end(self):
        """Leave the line standing."""
        if self.live and self.last is not None:
            self.stream.write("\n")
            self.stream.flush()
        self.last = None


def _short(text):
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]
