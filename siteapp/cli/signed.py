"""`verify` and `key`: is a file a certificate as it was issued, and the key that certificates are signed with."""

from __future__ import annotations

import getpass
import sys
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from siteapp.cli.edge import Refusal, prepare
from siteapp.config import MEGABYTE, Settings

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

LARGEST = 30 * MEGABYTE
FINGERPRINT_DIGITS = 64
ALTERED, UNKNOWN = 1, 3


def add_verify(parser: argparse.ArgumentParser) -> None:
    """Arguments of `verify`."""
    parser.add_argument("file", type=Path, help="the certificate's PDF, its record (JSON), or a photo of the paper")
    parser.add_argument(
        "--fingerprint", type=fingerprint, help="believe a key with this fingerprint too, as from paper"
    )
    parser.epilog = (
        "Exit code 0: as issued, and it stands. 1: altered, not from this workshop, withdrawn or superseded. "
        "3: cannot tell."
    )
    parser.set_defaults(run=verify)


def add_key(parser: argparse.ArgumentParser) -> None:
    """Arguments of `key`."""
    ways = parser.add_subparsers(required=True, metavar="WHAT")
    ways.add_parser("show", help="print its fingerprint").set_defaults(run=show)
    saving = ways.add_parser("save", help="write it to a file, locked with a passphrase, for another laptop")
    saving.add_argument("file", type=Path)
    saving.set_defaults(run=save)
    taking = ways.add_parser("take", help="sign with a key from such a file from now on")
    taking.add_argument("file", type=Path)
    taking.set_defaults(run=take)


def fingerprint(text: str) -> str:
    """A fingerprint however it is spaced: 64 hexadecimal digits."""
    plain = "".join(text.replace(":", " ").split()).lower()
    if len(plain) != FINGERPRINT_DIGITS or any(sign not in "0123456789abcdef" for sign in plain):
        from argparse import ArgumentTypeError

        message = f"fingerprint: {text!r} is not one; give 64 hexadecimal digits, spaces do not matter"
        raise ArgumentTypeError(message)
    return plain


def verify(arguments: argparse.Namespace) -> int:
    """Say whether a file is a certificate as it was issued, and whether it stands."""
    from siteapp.handover import verifying

    data = _read(arguments.file)
    settings = Settings.from_env()
    keys = (arguments.fingerprint,) if arguments.fingerprint else ()
    with _known_here(settings) as session:
        outcome = verifying.verify(data, verifying.Workshop(session, settings, keys))
    print(f"{arguments.file.name}: {outcome.state}")
    for line in outcome.why:
        print(f"  {line}")
    for name, value in (
        ("certificate", outcome.number),
        ("superseded by", outcome.newer),
        ("signed with the key of", outcome.signed_by),
        ("fingerprint", outcome.fingerprint),
        ("signed, by that laptop's clock", outcome.at),
    ):
        if value:
            print(f"  {name}: {value}")
    print(
        "  A signature that holds shows that the file is the one that was signed with that key. It does not show that\n"
        "  what it says is true, who owns the piece, or that nobody else had the key."
    )
    if outcome.state == verifying.STANDS:
        return 0
    return UNKNOWN if outcome.state == verifying.CANNOT_TELL else ALTERED


def show(_arguments: argparse.Namespace) -> int:
    """Print the fingerprint of the signing key."""
    from siteapp.store import signing

    key = signing.load(Settings.from_env())
    print(f"{key.name}\n{' '.join(key.fingerprint[at : at + 8] for at in range(0, FINGERPRINT_DIGITS, 8))}")
    return 0


def save(arguments: argparse.Namespace) -> int:
    """Write the signing key to a file."""
    from siteapp.store import signing

    signing.save(Settings.from_env(), arguments.file, _passphrase("A passphrase for the file: "))
    print(f"Written: {arguments.file}. Whoever has it and the passphrase can sign in the workshop's name.")
    return 0


def take(arguments: argparse.Namespace) -> int:
    """Sign with a key from a file from now on."""
    from siteapp.store import signing

    settings = Settings.from_env()
    prepare(settings)
    key = signing.take(settings, arguments.file, _passphrase("The passphrase of the file: "))
    print(f"Certificates are signed with the key of {key.name} from now on:\n{key.fingerprint}")
    return 0


def _passphrase(ask: str) -> str:
    # Piped in by a script it is a line; at a keyboard it is not shown.
    return getpass.getpass(ask) if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")


def _read(file: Path) -> bytes:
    try:
        if file.stat().st_size > LARGEST:
            message = f"{file} is larger than {LARGEST // MEGABYTE} MB, the most that is looked at."
            raise Refusal(message)
        return file.read_bytes()
    except OSError as error:
        message = f"{file} cannot be read: {(error.strerror or str(error)).lower()}."
        raise Refusal(message) from error


@contextmanager
def _known_here(settings: Settings) -> Iterator[Session | None]:
    """A session on what is known on this machine; None where nothing is, or it is of another version."""
    if not settings.database_url and not settings.sqlite_file.exists():
        yield None
        return
    from siteapp.store import migrate
    from siteapp.store.db import Store

    store = Store(settings)
    try:
        with store.engine.connect() as connection:
            fits = migrate.current(connection) == migrate.newest()
        if not fits:
            print("The database here is of another version of the program: only keys given with --fingerprint count.")
        with store.read() as session:
            yield session if fits else None
    finally:
        store.close()
