"""A laptop and phones in networks of their own, so that a page has what it has on a hotspot and nothing more.

Each lives in a network namespace of Linux: the laptop at 192.168.44.1, phones at .2 and .3, and between them the air
(air.py), which stands at the laptop's address towards the phones. Nothing has a name in the system: this process holds
the namespaces by file descriptors, so that they are gone with it, however it ends.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from siteapp.native import chromium_path

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from siteapp.config import Settings

LAPTOP = "192.168.44.1"
PHONES = ("192.168.44.2", "192.168.44.3")
PORT = 8765
ADDRESS = f"http://{LAPTOP}:{PORT}"
# The way from the air to the laptop: link-local (RFC 3927), which nobody would choose to show to phones.
AIR, LAPTOP_FOR_AIR = "169.254.44.1", "169.254.44.2"
NEEDED = ("ip", "unshare", "nsenter", "setpriv")
START_S = 30
# As `python3 -m siteapp` does, but for its set-up: that is no test's business, and could remake what the test runs on.
COMMAND_LINE = "import sys; from siteapp.cli import main; sys.exit(main(sys.argv[1:]))"
ROOT = Path(__file__).resolve().parents[2]


class NoNetwork(Exception):
    """This machine does not let us make networks; the message says why."""


@dataclass(frozen=True)
class Namespace:
    """A network namespace, there as long as its descriptor is open or something runs in it."""

    handle: int

    @property
    def path(self) -> str:
        """The file under which other programs find it."""
        return f"/proc/{os.getpid()}/fd/{self.handle}"

    def command(self, words: Sequence[str]) -> list[str]:
        """The command line that runs a program in here, and kills it when whoever started it has ended."""
        return ["setpriv", "--pdeathsig", "KILL", "--", "nsenter", f"--net={self.path}", "--", *words]

    def run(self, *words: str) -> str:
        """Run a program in here to its end; returns what it printed. Raises NoNetwork with its complaint."""
        return complete(["nsenter", f"--net={self.path}", "--", *words])

    def link(self, name: str, *, up: bool) -> None:
        """Switch one of its network interfaces on or off."""
        self.run("ip", "link", "set", name, "up" if up else "down")


def complete(words: Sequence[str]) -> str:
    """Run a program of the system to its end; returns what it printed."""
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        message = f"{' '.join(words)}: {done.stderr.strip()}"
        raise NoNetwork(message)
    return done.stdout


@contextmanager
def namespace() -> Iterator[Namespace]:
    """A new network namespace with its loopback up."""
    pipes: dict[str, Any] = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    with subprocess.Popen(["unshare", "--net", "--", "cat"], **pipes) as holder:
        with contextlib.suppress(BrokenPipeError):
            holder.stdin.write(b"here\n")  # type: ignore[union-attr]
            holder.stdin.flush()  # type: ignore[union-attr]
        # What comes back shows that it has unshared.
        if not holder.stdout.readline():  # type: ignore[union-attr]
            raise NoNetwork(holder.stderr.read().decode().strip())  # type: ignore[union-attr]
        made = Namespace(os.open(f"/proc/{holder.pid}/ns/net", os.O_RDONLY))
    try:
        made.link("lo", up=True)
        yield made
    finally:
        os.close(made.handle)


class Lan:
    """The networks, joined: `laptop`, `air` and `phones` are namespaces."""

    def __init__(self, laptop: Namespace, between: Namespace, phones: Sequence[Namespace]) -> None:
        self.laptop = laptop
        self.between = between
        self.phones = phones
        _join(laptop, "lan0", between, "laptop0")
        laptop.run("ip", "address", "add", f"{LAPTOP}/24", "dev", "lan0")
        laptop.run("ip", "address", "add", f"{LAPTOP_FOR_AIR}/30", "dev", "lan0")
        between.run("ip", "address", "add", f"{AIR}/30", "dev", "laptop0")
        for number, phone in enumerate(phones):
            _join(phone, "wlan0", between, f"phone{number}")
            phone.run("ip", "address", "add", f"{PHONES[number]}/24", "dev", "wlan0")
            between.run("ip", "address", "add", LAPTOP, "peer", PHONES[number], "dev", f"phone{number}")
        words = [sys.executable, str(Path(__file__).with_name("air.py")), LAPTOP, LAPTOP_FOR_AIR, str(PORT)]
        self._air = subprocess.Popen(
            between.command(words), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
        )

    def air(self, **command: Any) -> dict[str, dict[str, float]]:
        """Tell the air something (see air.Weather); returns how things stand, by the phones' addresses."""
        assert self._air.stdin is not None
        assert self._air.stdout is not None
        self._air.stdin.write(json.dumps(command) + "\n")
        self._air.stdin.flush()
        return json.loads(self._air.stdout.readline())  # type: ignore[no-any-return]

    def stop(self) -> None:
        """End the air."""
        self._air.communicate(timeout=START_S)


def _join(one: Namespace, name: str, other: Namespace, its_name: str) -> None:
    ends = ["name", name, "netns", one.path, "type", "veth", "peer", "name", its_name, "netns", other.path]
    complete(["ip", "link", "add", *ends])
    one.link(name, up=True)
    other.link(its_name, up=True)


@contextmanager
def network(phones: int = len(PHONES)) -> Iterator[Lan]:
    """Laptop, air and phones. Raises NoNetwork where the machine refuses."""
    missing = [name for name in NEEDED if shutil.which(name) is None]
    if missing:
        message = f"not installed: {', '.join(missing)}"
        raise NoNetwork(message)
    with ExitStack() as stack:
        made = [stack.enter_context(namespace()) for _ in range(phones + 2)]
        lan = Lan(made[0], made[1], made[2:])
        stack.callback(lan.stop)
        yield lan


class Laptop:
    """The program, served by a process of its own on the laptop, as on site; it can be killed and put to sleep."""

    def __init__(self, lan: Lan, settings: Settings, words: Sequence[str] = ("--host", "0.0.0.0")) -> None:
        self.lan = lan
        self.settings = settings
        self.words = words
        self.log = settings.data.parent / "serve.log"
        self.starts = 0
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Serve the same data at the same address; returns when it does.

        To be called from the thread that stays to the end: the server is killed when the thread that started it ends.
        """
        assert self._process is None, "it is serving already"
        environment = {
            **{name: value for name, value in os.environ.items() if not name.startswith("SITEAPP_")},
            "SITEAPP_DATA": str(self.settings.data),
            "SITEAPP_TRUSTED_HOSTS": LAPTOP,
            "SITEAPP_SQLITE_DRIVER": self.settings.sqlite_driver,
            "PYTHONUNBUFFERED": "1",
        }
        command = [sys.executable, "-c", COMMAND_LINE, "serve", *self.words, "--port", str(PORT)]
        with self.log.open("ab") as log:
            begins = log.tell()
            self._process = subprocess.Popen(
                self.lan.laptop.command(command), cwd=ROOT, env=environment, stdout=log, stderr=log
            )
        self._wait(begins)
        self.lan.air(listen=True)
        self.starts += 1

    def _wait(self, begins: int) -> None:
        assert self._process is not None
        end = time.monotonic() + START_S
        while b"Ctrl-C stops." not in (said := self.log.read_bytes()[begins:]):
            if self._process.poll() is not None or time.monotonic() > end:
                message = f"the server did not start:\n{said.decode(errors='replace')}"
                raise RuntimeError(message)
            time.sleep(0.01)

    @property
    def serves(self) -> bool:
        """Whether its process is there."""
        return self._process is not None

    def kill(self) -> None:
        """SIGKILL: what had not reached the disk is gone, and connections end."""
        self.stop(signal.SIGKILL)

    def stop(self, how: signal.Signals = signal.SIGTERM) -> None:
        """End it; afterwards connections are refused."""
        process, self._process = self._process, None
        if process is None:
            return
        process.send_signal(signal.SIGCONT)
        process.send_signal(how)
        process.wait(START_S)
        self.lan.air(listen=False)

    def sleep(self) -> None:
        """The lid is closed: connections are made, and nobody answers."""
        assert self._process is not None
        self._process.send_signal(signal.SIGSTOP)

    def wake(self) -> None:
        """The lid is opened."""
        if self._process is not None:
            self._process.send_signal(signal.SIGCONT)

    def complaints(self) -> list[str]:
        """Lines of its log that tell of a fault in the program."""
        lines = self.log.read_text(errors="replace").splitlines()
        return [line for line in lines if "Traceback" in line or "Error" in line]


def browser_in(namespace: Namespace, folder: Path) -> Path:
    """A program that starts Chromium in a namespace, for Playwright, which talks to it through pipes."""
    browser = chromium_path()
    if browser is None:
        message = "no Chromium here"
        raise NoNetwork(message)
    script = folder / "chromium-in-namespace"
    note = folder / "chromium.pid"
    command = " ".join(f"'{word}'" for word in namespace.command([browser]))
    script.write_text(f"#!/bin/sh\necho $$ > '{note}'\nexec {command} \"$@\"\n")
    script.chmod(0o700)
    return script
