"""`person`: people and their passphrases from the keyboard of the machine itself."""

from __future__ import annotations

import getpass
import sys
from typing import TYPE_CHECKING

from siteapp.cli.edge import Refusal, prepare
from siteapp.config import Settings

if TYPE_CHECKING:
    import argparse

    from siteapp.store.db import Store

LONGEST_NAME = 200


def add(parser: argparse.ArgumentParser) -> None:
    """Arguments of `person`."""
    what = parser.add_subparsers(required=True, metavar="add|list|passphrase")
    adding = what.add_parser("add", help="add a person; asks for their passphrase, or reads it as one line")
    adding.add_argument("name")
    adding.add_argument("--role", choices=("maker", "fitter"), required=True)
    adding.set_defaults(run=add_person)
    what.add_parser("list", help="list people").set_defaults(run=list_people)
    setting = what.add_parser("passphrase", help="set a new passphrase and sign the person out everywhere")
    setting.add_argument("name")
    setting.set_defaults(run=new_passphrase)


def add_person(arguments: argparse.Namespace) -> int:
    """Add one person who can sign in."""
    name = arguments.name.strip()
    if not (name and name.isprintable() and len(name) <= LONGEST_NAME):
        message = f"Name: {arguments.name!r} cannot be one; give 1 to {LONGEST_NAME} printable characters."
        raise Refusal(message)
    store = _store()
    from siteapp.people import services
    from siteapp.store.entries import Writer

    passphrase = ask_passphrase()
    writer = Writer(laptop_id=store.begin_laptop())
    with store.write() as session:
        services.add_person(session, writer, name=name, role=arguments.role, passphrase=passphrase)
    print(f"{name} can sign in as {arguments.role}.")
    return 0


def list_people(_arguments: argparse.Namespace) -> int:
    """Print everybody, one line each."""
    store = _store()
    from siteapp.people.services import all_people

    with store.read() as session:
        everybody = all_people(session)
    for person in everybody:
        print(f"{person.name}  {person.role}{'' if person.active else '  may not sign in'}")
    if not everybody:
        print("Nobody yet.")
    return 0


def new_passphrase(arguments: argparse.Namespace) -> int:
    """Give one person a new passphrase."""
    store = _store()
    from siteapp.people import services

    with store.read() as session:
        wanted = arguments.name.strip().casefold()
        found = [person for person in services.all_people(session) if person.name.casefold() == wanted]
    if not found:
        message = f"Nobody here is called {arguments.name!r}; `person list` shows the names."
        raise Refusal(message)
    passphrase = ask_passphrase()
    with store.write() as session:
        services.set_passphrase(session, found[0].person_id, passphrase)
    print(f"{found[0].name} has a new passphrase and is signed out everywhere.")
    return 0


def ask_passphrase() -> str:
    """The passphrase, typed twice unseen; from a pipe, its first line."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    first = getpass.getpass("Passphrase: ")
    if getpass.getpass("The same again: ") != first:
        message = "The two passphrases were not the same; nothing was changed."
        raise Refusal(message)
    return first


def _store() -> Store:
    settings = Settings.from_env()
    prepare(settings)
    from siteapp.store.db import Store

    return Store(settings)
