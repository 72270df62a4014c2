"""Where the program is to be found: tells it to the person at the terminal, to the program, and to the record."""

from __future__ import annotations

import sys
from ipaddress import ip_address
from typing import TYPE_CHECKING

from siteapp.cli import addresses
from siteapp.cli.addresses import Address
from siteapp.cli.watching import Watcher

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from flask import Flask

    from siteapp.cli.server import Server
    from siteapp.config import Settings
    from siteapp.phones.services import Said

LOOPBACK = "127.0.0.1"
FOR_PHONES = "For phones, start with: --lan"
NO_NETWORK = (
    "For phones: this laptop is in no network that they could reach. Switch its hotspot on, or join the Wi-Fi that "
    "they are in; the address then appears here by itself."
)
KEPT_THERE = (
    "What phones kept under {gone} is still on them: they send it when this laptop has that address again, or it can "
    "be taken out as a file there, on the phone."
)


class Places:
    """The addresses of one serving process, kept up to date while it serves."""

    def __init__(
        self, server: Server, settings: Settings, own: Callable[[], Sequence[Address]] = addresses.own
    ) -> None:
        self.server = server
        self.settings = settings
        self.own = own
        self.watcher: Watcher | None = None

    def begin(self, app: Flask) -> None:
        """Serve `app`, print where, and go on looking for other addresses where the settings leave that open."""
        self.app = app
        found = self.find()
        gone = self.tell(found)
        self.server.wsgi_app = app
        self._print_all(found, gone)
        if self.settings.on_every_address:
            self.watcher = Watcher(self.find, self._changed, found)
            self.watcher.start()

    def find(self) -> list[Address]:
        """The addresses that phones can reach at the moment, the likeliest first."""
        host = self.settings.host
        if self.settings.on_every_address:
            # A public address is served only by who asked for every address in so many words.
            return addresses.for_phones(self.own(), public=not self.settings.lan)
        return [] if _is_loopback(host) else [Address("", host)]

    def tell(self, found: Sequence[Address]) -> list[str]:
        """Tell the program and the record; returns the addresses that were there and are gone."""
        from siteapp.people.services import utc_now
        from siteapp.phones import services
        from siteapp.web import current, security

        here = [_bracketed(one.address) for one in found]
        security.trust_hosts(self.app, dict.fromkeys((*self.settings.trusted_hosts, self._own_host(), *here)))
        if self.settings.lan:
            self.server.only_at = frozenset((LOOPBACK, *here))
        if not found and not self.settings.on_every_address:
            return []  # for this machine only: nothing about phones changes
        program = self.app.extensions[current.EXTENSION]
        return program.store.transact(
            lambda session: services.note_addresses(
                session, laptop_id=program.laptop_id, addresses=[one.address for one in found], now=utc_now()
            )
        )

    def _own_host(self) -> str:
        return LOOPBACK if self.settings.on_every_address else _bracketed(self.settings.host)

    def _changed(self, found: Sequence[Address]) -> None:
        self._print_change(found, self.tell(found))

    def _url(self, host: str) -> str:
        return f"http://{host}:{self.settings.port}/"

    def _print_all(self, found: Sequence[Address], gone: Sequence[str]) -> None:
        print(f"Open {self._url(self._own_host())}")
        if not self.settings.on_every_address:
            print_qr(self._url(self._own_host()))
            if not found:
                print(FOR_PHONES)
        else:
            self._print_for_phones(found)
        self._print_gone(gone, "Since the last start")

    def _print_change(self, found: Sequence[Address], gone: Sequence[str]) -> None:
        print("\nThe addresses have changed.")
        self._print_for_phones(found)
        self._print_gone(gone, "Now")
        sys.stdout.flush()

    def _print_for_phones(self, found: Sequence[Address]) -> None:
        for one in found:
            named = f", {one.interface}" if one.interface else ""
            print(f"Phones open {self._url(_bracketed(one.address))}  ({one.kind}{named})")
        if found:
            print_qr(self._url(_bracketed(found[0].address)))
        else:
            print(NO_NETWORK)

    def _print_gone(self, gone: Sequence[str], when: str) -> None:
        if not gone:
            return
        from siteapp.phones.services import last_heard_under
        from siteapp.web import current

        with self.app.extensions[current.EXTENSION].store.read() as session:
            heard = last_heard_under(session, gone)
        for address in gone:
            print(f"{when} {address} is gone. {KEPT_THERE.format(gone=address)}")
            for said in heard:
                if said.host == address:
                    print(f"  Last heard there: {said.name}'s phone, {_left_on(said)}.")


def print_qr(address: str) -> None:
    """The address as a QR code of half blocks, where the terminal can show them."""
    if "utf" not in (sys.stdout.encoding or "").lower():
        return
    from qrcode.main import QRCode

    code = QRCode(border=2)
    code.add_data(address)
    code.print_ascii(tty=sys.stdout.isatty(), invert=not sys.stdout.isatty())


def _left_on(said: Said) -> str:
    if not said.waiting and not said.look:
        return "all sent"
    return f"{said.waiting} waiting" + (f", {said.look} to be looked at" if said.look else "")


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host
