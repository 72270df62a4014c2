"""What belongs to the request at hand: who asks, from which device, and a session to read with."""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import ip_address
from typing import TYPE_CHECKING, cast

from flask import current_app, g, request

from siteapp.web.access import Access

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

    from siteapp.config import Settings
    from siteapp.store.db import Store
    from siteapp.store.photos import PhotoFolder

EXTENSION = "siteapp"


@dataclass(frozen=True)
class Who:
    """A person signed in on this device. `locked` means: away for a while, a PIN or passphrase is asked first."""

    person_id: str
    name: str
    role: str
    token_hash: str
    locked: bool = False
    has_pin: bool = False

    @property
    def level(self) -> Access:
        """The access this person has."""
        return Access.MAKER if self.role == "maker" else Access.FITTER


@dataclass(frozen=True)
class Program:
    """What the running program holds: no state but its connections and folders."""

    settings: Settings
    store: Store
    photos: PhotoFolder
    laptop_id: str
    secret: bytes
    who_is: Callable[[str, str], Who | None]  # sign-in token and device -> person


def program() -> Program:
    """The running program."""
    return cast("Program", current_app.extensions[EXTENSION])


def reading() -> Session:
    """A session to read with, the same one for the whole request."""
    if "reading" not in g:
        g.reading_context = program().store.read()
        g.reading = g.reading_context.__enter__()
    return cast("Session", g.reading)


def stop_reading(_error: BaseException | None = None) -> None:
    """Let go of what was read. In rollback-journal mode an open read would keep this very request from writing."""
    context = g.pop("reading_context", None)
    g.pop("reading", None)
    if context is not None:
        context.__exit__(None, None, None)


def who() -> Who | None:
    """The person who asks; None for a stranger, and for somebody whose sign-in is locked."""
    person: Who | None = g.get("who")
    return None if person is None or person.locked else person


def device() -> str:
    """The id of the device that asks, kept in a cookie; for the record and for slowing down guesses."""
    return cast("str", g.device)


def on_the_laptop() -> bool:
    """Whether the request comes from this machine itself, by the address of its other end."""
    try:
        return ip_address(request.remote_addr or "").is_loopback
    except ValueError:
        return False
