"""People and their signing in. The only code that writes their rows."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from hashlib import sha256
from typing import TYPE_CHECKING

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError
from argon2.profiles import RFC_9106_LOW_MEMORY
from sqlalchemy import delete, func, select

from siteapp.people.models import ROLES, Credential, Person, SignIn, SignInDelay
from siteapp.store import entries
from siteapp.store.models import Entry
from siteapp.web.current import Who
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.store.entries import Writer

AWAY_AFTER = timedelta(minutes=30)
SEEN_EVERY = timedelta(minutes=5)
SIGNED_IN_FOR = timedelta(hours=16)  # a long day on site; the next morning asks for the passphrase again
FREE_TRIES = 3
LONGEST_DELAY_S = 60
PASSPHRASE_LENGTH = (10, 200)
PIN_LENGTH = (4, 8)


class TooSoon(Exception):
    """Another try at signing in came before its time."""

    def __init__(self, seconds: int) -> None:
        super().__init__(f"wait {seconds} s")
        self.seconds = seconds


@dataclass(frozen=True)
class Listed:
    """A person as lists show them."""

    person_id: str
    entry_id: str
    name: str
    role: str
    active: bool


def all_people(session: Session) -> list[Listed]:
    """Everybody, by name, as their latest revision has them."""
    query = (
        select(Person.person_id, Entry.id, Person.name, Person.role, Person.active)
        .join(Entry, Entry.id == Person.entry_id)
        .where(entries.standing())
        .order_by(func.lower(Person.name), Person.person_id)
    )
    return [Listed(*row) for row in session.execute(query)]


def names(session: Session, person_ids: Sequence[str | None]) -> dict[str, str]:
    """Names by person id, for showing who did something."""
    wanted = {person_id for person_id in person_ids if person_id}
    return {person.person_id: person.name for person in all_people(session) if person.person_id in wanted}


def nobody_yet(session: Session) -> bool:
    """Whether no person has been made on this laptop."""
    return session.execute(select(Person.person_id).limit(1)).first() is None


def add_person(session: Session, writer: Writer, *, name: str, role: str, passphrase: str) -> str:
    """Make a person who can sign in; returns their id. Two people of one name could not be told apart: refused."""
    _check_name(session, name, but=None)
    _check_role(role)
    person_id = writer.new_id("person")
    body = Person(person_id=person_id, name=name, role=role, active=True)
    writer.by_id = writer.by_id or person_id  # the first person makes themself
    entries.append(session, writer, kind="person", bodies=[body])
    set_passphrase(session, person_id, passphrase)
    return person_id


def revise_person(
    session: Session,
    writer: Writer,
    *,
    revises: str,
    name: str,
    role: str,
    active: bool,
) -> None:
    """Change a person's name or role, or let them sign in no longer."""
    before = session.get_one(Person, revises)
    _check_name(session, name, but=before.person_id)
    _check_role(role)
    losing = before.role == "maker" and before.active and not (role == "maker" and active)
    if losing and not _other_makers(session, before.person_id):
        raise FieldProblem("role", _("This is the only maker. Make somebody else a maker first."))
    body = Person(person_id=before.person_id, name=name, role=role, active=active)
    entries.append(session, writer, kind="person", bodies=[body], corrects=[revises])
    if not active:
        session.execute(delete(SignIn).where(SignIn.person_id == before.person_id))


def set_passphrase(session: Session, person_id: str, passphrase: str) -> None:
    """Give a person a new passphrase; every device they are signed in on is signed out."""
    low, high = PASSPHRASE_LENGTH
    if not low <= len(passphrase) <= high:
        message = _(
            "Passphrase: give %(low)s to %(high)s characters; several words are best.",
            low=low,
            high=high,
        )
        raise FieldProblem("passphrase", message)
    session.merge(Credential(person_id=person_id, passphrase_hash=_hasher().hash(passphrase)))
    session.execute(delete(SignIn).where(SignIn.person_id == person_id))


def wait_s(session: Session, name: str, device: str, now: datetime) -> int:
    """Seconds until this account and this device may try again; nobody is ever locked out for good."""
    waits = [0.0]
    for row in session.scalars(select(SignInDelay).where(SignInDelay.about.in_(_abouts(name, device)))):
        if row.failures >= FREE_TRIES:
            delay = min(2.0 ** (row.failures - FREE_TRIES), LONGEST_DELAY_S)
            waits.append((row.last_at + timedelta(seconds=delay) - now).total_seconds())
    return max(0, round(max(waits) + 0.49))


def passphrase_fits(session: Session, name: str, passphrase: str) -> str | None:
    """The id of the active person with this name and passphrase, else None; takes as long either way."""
    person = next(
        (one for one in all_people(session) if one.active and _same(one.name, name)),
        None,
    )
    credential = session.get(Credential, person.person_id) if person else None
    fits = _fits(credential.passphrase_hash if credential else _dummy_hash(), passphrase)
    return person.person_id if person and credential and fits else None


def note_failure(session: Session, name: str, device: str, now: datetime) -> None:
    """Make the next try of this account and this device wait longer."""
    for about in _abouts(name, device):
        row = session.get(SignInDelay, about) or SignInDelay(about=about, failures=0, last_at=now)
        row.failures, row.last_at = row.failures + 1, now
        session.add(row)


def start_sign_in(session: Session, *, person_id: str, name: str, device: str, now: datetime) -> str:
    """Sign a person in on a device; returns the token that only the device keeps."""
    session.execute(delete(SignInDelay).where(SignInDelay.about.in_(_abouts(name, device))))
    session.execute(delete(SignIn).where(SignIn.started_at < now - SIGNED_IN_FOR))
    token = secrets.token_urlsafe(32)
    row = SignIn(
        token_hash=_token_hash(token),
        person_id=person_id,
        device=device,
        started_at=now,
        seen_at=now,
    )
    session.add(row)
    return token


def who_is(session: Session, token: str, device: str, now: datetime) -> tuple[Who | None, bool]:
    """Who a token belongs to, and whether it should be noted that they were seen (not at every request)."""
    row = session.get(SignIn, _token_hash(token))
    if row is None or row.device != device or now - row.started_at > SIGNED_IN_FOR:
        return None, False
    query = select(Person.name, Person.role).join(Entry, Entry.id == Person.entry_id)
    query = query.where(Person.person_id == row.person_id, Person.active, entries.standing())
    found = session.execute(query).first()
    if found is None:
        return None, False
    away = now - row.seen_at
    person = Who(
        person_id=row.person_id,
        name=found.name,
        role=found.role,
        token_hash=row.token_hash,
        locked=away > AWAY_AFTER,
        has_pin=row.pin_hash is not None and row.pin_until is not None and now < row.pin_until,
    )
    return person, not person.locked and away > SEEN_EVERY


def note_seen(session: Session, token_hash: str, now: datetime) -> None:
    """Note that a signed-in device was just used."""
    row = session.get(SignIn, token_hash)
    if row is not None:
        row.seen_at = now


def set_pin(session: Session, token_hash: str, pin: str, until: datetime) -> None:
    """Set the PIN that brings this device back after a pause, until the end of the day."""
    low, high = PIN_LENGTH
    if not (pin.isascii() and pin.isdecimal() and low <= len(pin) <= high):
        raise FieldProblem("pin", _("Day PIN: give %(low)s to %(high)s digits.", low=low, high=high))
    row = session.get_one(SignIn, token_hash)
    row.pin_hash, row.pin_until = _hasher().hash(pin), until


def pin_fits(session: Session, token_hash: str, pin: str, now: datetime) -> bool:
    """Whether this is the device's PIN and the day is not over."""
    row = session.get(SignIn, token_hash)
    if row is None or row.pin_hash is None or row.pin_until is None or now >= row.pin_until:
        return False
    return _fits(row.pin_hash, pin)


def end_sign_in(session: Session, token_hash: str) -> None:
    """Sign a device out."""
    session.execute(delete(SignIn).where(SignIn.token_hash == token_hash))


def utc_now() -> datetime:
    """Now."""
    return datetime.now(UTC)


def _check_name(session: Session, name: str, but: str | None) -> None:
    if any(_same(one.name, name) and one.person_id != but for one in all_people(session)):
        raise FieldProblem(
            "name",
            _(
                "Name: somebody is called “%(name)s” already. Add an initial.",
                name=name,
            ),
        )


def _check_role(role: str) -> None:
    if role not in ROLES:
        raise FieldProblem("role", _("Role: “%(role)s” is not one. Choose maker or fitter.", role=role))


def _other_makers(session: Session, person_id: str) -> bool:
    return any(one.role == "maker" and one.active and one.person_id != person_id for one in all_people(session))


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


def _abouts(name: str, device: str) -> tuple[str, str]:
    return f"account:{name.strip().casefold()[:200]}", f"device:{device}"


def _token_hash(token: str) -> str:
    return sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def _fits(known: str, typed: str) -> bool:
    try:
        return _hasher().verify(known, typed)
    except (VerifyMismatchError, InvalidHashError):
        return False


@lru_cache(maxsize=1)
def _hasher() -> PasswordHasher:
    # argon2id, RFC 9106's second recommended option: for machines with little memory to spare.
    return PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)


@lru_cache(maxsize=1)
def _dummy_hash() -> str:
    return _hasher().hash("nobody has this passphrase")
