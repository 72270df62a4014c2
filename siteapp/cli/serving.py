"""`serve`: the application on a socket, with its address where a person and a phone can read it."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import sys
import threading
from typing import TYPE_CHECKING, Any

from siteapp.cli.edge import Refusal, prepare
from siteapp.cli.places import Places
from siteapp.config import Settings

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterable, Iterator

    from siteapp.cli.server import Server

EVERY = "0.0.0.0"  # noqa: S104 - what --lan asks for; which addresses are answered is decided address by address
HIGHEST_PORT = 65535


def add(parser: argparse.ArgumentParser) -> None:
    """Arguments of `serve`."""
    add_address(parser)
    parser.set_defaults(run=serve)


def add_address(parser: argparse.ArgumentParser) -> None:
    """The arguments that say where to serve."""
    parser.add_argument("--port", type=port, help="TCP port, 0 for any that is free (SITEAPP_PORT, else 8765)")
    parser.add_argument("--lan", action="store_true", help="serve the crew's phones too, over this laptop's hotspot")
    parser.add_argument("--host", help="the one address to serve on (else 127.0.0.1, this machine only)")


def where(arguments: argparse.Namespace) -> dict[str, Any]:
    """The settings that the arguments of `add_address` make. Raises Refusal when they exclude each other."""
    if arguments.lan and arguments.host is not None:
        message = (
            "--lan and --host exclude each other: --lan serves phones under every address they can reach this "
            f"machine by, --host {arguments.host} under that one only. Leave one of them out."
        )
        raise Refusal(message)
    # Bound to every address, so that one that comes later is served without a new start.
    return {"port": arguments.port, "lan": arguments.lan, "host": EVERY if arguments.lan else arguments.host}


def port(text: str) -> int:
    """A TCP port from the command line; 0 means any that is free."""
    if not (text.isascii() and text.isdecimal() and int(text) <= HIGHEST_PORT):
        from argparse import ArgumentTypeError

        message = f"port: {text!r} is not one; give a whole number from 0 to {HIGHEST_PORT}"
        raise ArgumentTypeError(message)
    return int(text)


def serve(arguments: argparse.Namespace) -> int:
    """Serve the workshop's own data until Ctrl-C."""
    settings = Settings.from_env(**where(arguments))
    with bound(settings) as server:
        prepare(settings)
        return run(server, settings, ())


@contextlib.contextmanager
def bound(settings: Settings) -> Iterator[Server]:
    """A server that holds its port already but has no application yet; stopped at the end, whatever happens.

    Raises Refusal in a sentence when the port cannot be had.
    """
    _try_port(settings)
    from siteapp.cli.server import Server

    server = Server(settings)
    server.prepare()
    try:
        yield server
    finally:
        server.stop()


def run(server: Server, settings: Settings, more: Iterable[str]) -> int:
    """Put the application on a bound server, say where it is, and serve until Ctrl-C or SIGTERM."""
    settings = settings.with_(port=server.bind_addr[1])
    places = Places(server, settings)
    try:
        from siteapp.app import create_app
        from siteapp.keeping.erasing import finish

        finish(settings)  # where an erasure was cut off before its files were cleared
        places.begin(create_app(settings))
        for line in more:
            print(line)
        if _nobody_yet(settings):
            print("Nobody can sign in yet: the first page makes the first person.")
        print("Ctrl-C stops.", flush=True)
        threading.Thread(target=_look_quickly, args=(settings,), daemon=True).start()
        server.serve()
    except KeyboardInterrupt:
        server.stop()
    print("\nStopped.", flush=True)
    _leave_if_something_hangs()
    return 0


def _look_quickly(settings: Settings) -> None:
    """Say beside the running server what is not as it was written, if a quick look finds anything."""
    from siteapp.keeping.check import run as check

    findings = check(settings, full=False).findings
    if findings:
        print(f"Not as it was written: {findings[0]}", flush=True)
        print(f"{len(findings)} found by a quick look; “python3 -m siteapp check” reads everything.", flush=True)


def _try_port(settings: Settings) -> None:
    """Bind the port once on our own, since the server hides why it could not."""
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        if os.name == "posix":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((settings.host, settings.port))
            probe.listen(1)
        except OSError as error:
            raise Refusal(_why_no_port(error, settings)) from error


def _why_no_port(error: OSError, settings: Settings) -> str:
    place = f"{settings.host}, port {settings.port}"
    if error.errno == errno.EADDRINUSE:
        return f"Something else already serves on {place}: stop it, or choose another port with --port."
    if error.errno in {errno.EACCES, errno.EPERM}:
        return f"This account may not serve on {place}: choose a port from 1024 with --port."
    return f"This machine cannot serve on {place}: {(error.strerror or str(error)).lower()}."


def _nobody_yet(settings: Settings) -> bool:
    from siteapp.people.services import nobody_yet
    from siteapp.store.db import Store

    store = Store(settings)
    try:
        with store.read() as session:
            return nobody_yet(session)
    finally:
        store.close()


def _leave_if_something_hangs() -> None:
    """Python would wait for every thread; what is still at work now was never acknowledged and rolls back."""
    others = [thread for thread in threading.enumerate() if thread is not threading.current_thread()]
    if any(not thread.daemon for thread in others):
        sys.stderr.flush()
        os._exit(0)
