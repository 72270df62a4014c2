"""`serve`: the application on a socket, with its address where a person and a phone can read it."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import struct
import sys
import threading
from typing import TYPE_CHECKING

from siteapp.cli.edge import Refusal, prepare
from siteapp.config import Settings

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterable, Iterator

    from siteapp.cli.server import Server

ANY = {"0.0.0.0", "::"}  # noqa: S104 - recognised, not bound
HIGHEST_PORT = 65535
# SIOCGIFADDR of each system's <sys/ioctl.h>, from memory: asks for the address of one interface.
INTERFACE_ADDRESS = {"linux": 0x8915, "darwin": 0xC0206921}


def add(parser: argparse.ArgumentParser) -> None:
    """Arguments of `serve`."""
    add_address(parser)
    parser.set_defaults(run=serve)


def add_address(parser: argparse.ArgumentParser) -> None:
    """The arguments that say where to serve."""
    parser.add_argument("--port", type=port, help="TCP port, 0 for any that is free (SITEAPP_PORT, else 8765)")
    parser.add_argument("--host", help="address to serve on; 0.0.0.0 for phones on this network (else 127.0.0.1)")


def port(text: str) -> int:
    """A TCP port from the command line; 0 means any that is free."""
    if not (text.isascii() and text.isdecimal() and int(text) <= HIGHEST_PORT):
        from argparse import ArgumentTypeError

        message = f"port: {text!r} is not one; give a whole number from 0 to {HIGHEST_PORT}"
        raise ArgumentTypeError(message)
    return int(text)


def serve(arguments: argparse.Namespace) -> int:
    """Serve the workshop's own data until Ctrl-C."""
    settings = Settings.from_env(port=arguments.port, host=arguments.host)
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
    chosen = server.bind_addr[1]
    addresses = [f"http://{_bracketed(host)}:{chosen}/" for host in reachable_at(settings.host)]
    hosts = tuple(dict.fromkeys((*settings.trusted_hosts, *map(_bracketed, reachable_at(settings.host)))))
    try:
        from siteapp.app import create_app

        server.wsgi_app = create_app(settings.with_(port=chosen, trusted_hosts=hosts))
        show(addresses, more)
        if _nobody_yet(settings):
            print("Nobody can sign in yet: the first page makes the first person.", flush=True)
        server.serve()
    except KeyboardInterrupt:
        server.stop()
    print("\nStopped.", flush=True)
    _leave_if_something_hangs()
    return 0


def show(addresses: list[str], more: Iterable[str]) -> None:
    """Print the addresses, the last one also as a QR code that a phone can read off the screen."""
    for address in addresses:
        print(f"Open {address}")
    print_qr(addresses[-1])
    if all("//127." in address for address in addresses):
        print("For phones on this network, start with: --host 0.0.0.0")
    for line in more:
        print(line)
    print("Ctrl-C stops.", flush=True)


def print_qr(address: str) -> None:
    """The address as a QR code of half blocks, where the terminal can show them."""
    if "utf" not in (sys.stdout.encoding or "").lower():
        return
    from qrcode.main import QRCode

    code = QRCode(border=2)
    code.add_data(address)
    code.print_ascii(tty=sys.stdout.isatty(), invert=not sys.stdout.isatty())


def reachable_at(host: str) -> list[str]:
    """The addresses under which a server on `host` can be opened: this machine's own, then those in its networks."""
    if host not in ANY:
        return [host]
    others = [address for address in interface_addresses() if not address.startswith("127.")]
    return ["127.0.0.1", *dict.fromkeys(others)]


def interface_addresses() -> list[str]:
    """The IPv4 address of every network interface that is up and has one; asks the system only, sends nothing."""
    code = INTERFACE_ADDRESS.get(sys.platform)
    if code is None:
        return socket.gethostbyname_ex(socket.gethostname())[2]
    import fcntl

    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        for _number, name in socket.if_nameindex():
            # OSError: an interface without an IPv4 address.
            with contextlib.suppress(OSError):
                answer = fcntl.ioctl(asking, code, struct.pack("16s16x", name.encode()[:15]))
                found.append(socket.inet_ntoa(answer[20:24]))
    return found


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


def _bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def _leave_if_something_hangs() -> None:
    """Python would wait for every thread; what is still at work now was never acknowledged and rolls back."""
    others = [thread for thread in threading.enumerate() if thread is not threading.current_thread()]
    if any(not thread.daemon for thread in others):
        sys.stderr.flush()
        os._exit(0)
