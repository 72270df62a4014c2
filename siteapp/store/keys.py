"""This laptop's signing key: Ed25519 (RFC 8032), owner-only, outside the database."""

from __future__ import annotations

import json
import os
from functools import lru_cache
from typing import TYPE_CHECKING
from uuid import uuid4

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import (
    Ed25519PrivateKey,
    Ed25519PublicKey,
)

if TYPE_CHECKING:
    from pathlib import Path

    from siteapp.config import Settings

OWNER_ONLY = 0o600


def _key_file(folder: Path) -> Path:
    return folder / "laptop.json"


def exists(settings: Settings) -> bool:
    """Whether this laptop has a key."""
    return _key_file(settings.keys).exists()


def make(settings: Settings) -> tuple[str, str]:
    """Make a new key for a new laptop id; returns the id and the public key. An earlier key is kept aside."""
    settings.keys.mkdir(parents=True, exist_ok=True, mode=0o700)
    file = _key_file(settings.keys)
    private = Ed25519PrivateKey.generate()
    laptop_id = str(uuid4())
    text = json.dumps({"laptop": laptop_id, "ed25519_private": private.private_bytes_raw().hex()})
    temporary = file.with_suffix(".new")
    temporary.unlink(missing_ok=True)
    handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
    try:
        os.write(handle, text.encode())
        os.fsync(handle)
    finally:
        os.close(handle)
    if file.exists():
        file.replace(file.with_name(f"{own_laptop(settings)}.json"))
    temporary.replace(file)
    forget()
    return laptop_id, private.public_key().public_bytes_raw().hex()


def own_laptop(settings: Settings) -> str:
    """The id of the laptop whose key this is."""
    return _load(settings.keys)[0]


def own_public(settings: Settings) -> str:
    """This laptop's public key, in hexadecimal."""
    return _load(settings.keys)[1].public_key().public_bytes_raw().hex()


def sign(settings: Settings, message: bytes) -> str:
    """Sign a message with this laptop's key; returns the signature in hexadecimal."""
    return _load(settings.keys)[1].sign(message).hex()


def verify(public_key: str, signature: str, message: bytes) -> bool:
    """Whether a signature of a message was made by the key whose public half is given in hexadecimal."""
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(public_key)).verify(bytes.fromhex(signature), message)
    except (InvalidSignature, ValueError):
        return False
    return True


def forget() -> None:
    """Read the key again next time: another process may have made one."""
    _load.cache_clear()


@lru_cache(maxsize=8)
def _load(folder: Path) -> tuple[str, Ed25519PrivateKey]:
    said = json.loads(_key_file(folder).read_text("utf-8"))
    return said["laptop"], Ed25519PrivateKey.from_private_bytes(bytes.fromhex(said["ed25519_private"]))
