"""Where the program keeps things and how it serves, read once from the environment. Standard library only."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

MEGABYTE = 1024 * 1024
LARGEST_PORT = 65535
EVERY_ADDRESS = {"0.0.0.0", "::"}  # noqa: S104 - recognised, not bound


class SettingError(ValueError):
    """A setting that cannot be used; the message names it, its value and what is allowed."""


@dataclass(frozen=True)
class Settings:
    """What one running program needs to know about its machine.

    `data` is the folder of everything that must be kept; it is never inside the checkout. `lan` is whether phones
    nearby are served under whatever addresses this machine has at the moment.
    """

    data: Path
    database_url: str | None = None
    sqlite_driver: str = "auto"
    host: str = "127.0.0.1"
    port: int = 8765
    lan: bool = False
    trusted_hosts: tuple[str, ...] = ("127.0.0.1", "localhost", "[::1]")
    max_photo_bytes: int = 30 * MEGABYTE
    demo: bool = False

    @property
    def on_every_address(self) -> bool:
        """Whether it serves on whatever addresses this machine has and will have."""
        return self.host in EVERY_ADDRESS

    @property
    def sqlite_file(self) -> Path:
        """The database file when no other database is named."""
        return self.data / "siteapp.db"

    @property
    def photos(self) -> Path:
        """Folder of original photos, each under its SHA-256."""
        return self.data / "photos"

    @property
    def certificates(self) -> Path:
        """Folder of issued certificates, each signed file under its SHA-256."""
        return self.data / "certificates"

    @property
    def cache(self) -> Path:
        """Folder of what can be made again: smaller photos, finished documents."""
        return self.data / "cache"

    @property
    def keys(self) -> Path:
        """Folder of this laptop's private keys, for its owner's eyes only."""
        return self.data / "keys"

    @property
    def copies(self) -> Path:
        """Folder of the copies kept before each migration."""
        return self.data / "copies"

    @property
    def erasing(self) -> Path:
        """There while something erased may still lie in a file: what was begun is ended at the next start."""
        return self.data / "erasing"

    @property
    def heads_file(self) -> Path:
        """Signed file of chain heads, beside the database and not in it."""
        return self.data / "heads.jsonl"

    def with_(self, **changes: Any) -> Settings:
        """The same settings with some of them changed."""
        return replace(self, **changes)

    @classmethod
    def from_env(cls, environ: Mapping[str, str] = os.environ, **overrides: Any) -> Settings:
        """Settings from `SITEAPP_…` variables; `overrides` that are not None win.

        Raises SettingError naming the variable, its value and what is allowed.
        """
        demo = bool(overrides.get("demo"))
        folder = environ.get("SITEAPP_DEMO_DATA" if demo else "SITEAPP_DATA")
        values: dict[str, Any] = {
            "data": Path(folder).expanduser()
            if folder
            else Path.home() / ("siteapp-demo-data" if demo else "siteapp-data"),
            "database_url": environ.get("SITEAPP_DATABASE_URL") or None,
            "sqlite_driver": _one_of(environ, "SITEAPP_SQLITE_DRIVER", ("auto", "pysqlite3", "sqlite3")),
            "port": _port(environ),
        }
        if demo:
            # The demo fills whatever database it is given, so it never takes the one with real work in it.
            values["database_url"] = None
        extra = tuple(host.strip() for host in environ.get("SITEAPP_TRUSTED_HOSTS", "").split(",") if host.strip())
        values["trusted_hosts"] = cls.trusted_hosts + extra
        values.update({name: value for name, value in overrides.items() if value is not None})
        settings = cls(**values)
        checkout = Path(__file__).resolve().parent.parent
        if settings.data.resolve() == checkout or checkout in settings.data.resolve().parents:
            message = f"SITEAPP_DATA is {settings.data}, inside the program's own folder; choose a folder outside it"
            raise SettingError(message)
        return settings


def _one_of(environ: Mapping[str, str], name: str, allowed: tuple[str, ...]) -> str:
    value = environ.get(name) or allowed[0]
    if value not in allowed:
        message = f"{name} is {value!r}; allowed are {', '.join(allowed)}"
        raise SettingError(message)
    return value


def _port(environ: Mapping[str, str]) -> int:
    text = environ.get("SITEAPP_PORT") or "8765"
    if not text.isdecimal() or not 1 <= int(text) <= LARGEST_PORT:
        message = f"SITEAPP_PORT is {text!r}; allowed is a whole number from 1 to 65535"
        raise SettingError(message)
    return int(text)
