"""What phones said, and this laptop's addresses over time. The only code that writes their rows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import delete, or_, select, update
from sqlalchemy.dialects import postgresql, sqlite

from siteapp.people.services import names
from siteapp.phones.models import LanAddress, Phone

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

LAPTOP = {"127.0.0.1", "localhost", "::1"}  # hosts under which only this laptop's own browser comes
FORGOTTEN_AFTER = timedelta(days=30)
SAME_AGAIN_AFTER = timedelta(minutes=1)
SHOWN_FOR = timedelta(hours=16)  # a long day on site
MOST_SHOWN = 12
STRETCHES_KEPT = 50


@dataclass(frozen=True)
class Said:
    """What one phone last said: whose it is, under which address it came, how much waits on it."""

    name: str
    host: str
    waiting: int
    look: int
    seen_at: datetime

    @property
    def here(self) -> bool:
        """Whether it is this laptop's own browser."""
        return self.host in LAPTOP


@dataclass(frozen=True)
class Change:
    """An address that this laptop no longer has, when that was noticed, and the phones last heard under it."""

    gone: str
    at: datetime
    said: tuple[Said, ...] = ()


@dataclass(frozen=True)
class Sheet:
    """The crew's phones at a glance: addresses now (likeliest first), the last change, what other phones said."""

    addresses: tuple[str, ...]
    change: Change | None
    phones: tuple[Said, ...]


@dataclass(frozen=True)
class Report:
    """What a device says: the address it came by, how much waits on it, how much of that needs a look.

    `person_id` is who is signed in on it, None for nobody.
    """

    device: str
    person_id: str | None
    host: str
    waiting: int
    look: int


def is_news(session: Session, said: Report, now: datetime) -> bool:
    """Whether a report is worth a transaction: the same words again within a minute are not."""
    row = session.get(Phone, said.device)
    if row is None:
        return said.person_id is not None
    same = (row.host, row.waiting, row.look) == (said.host, said.waiting, said.look)
    return not same or said.person_id not in {None, row.person_id} or now - row.seen_at > SAME_AGAIN_AFTER


def keep_report(session: Session, said: Report, now: datetime) -> bool:
    """Keep what a device says; returns whether it was kept.

    A device on which nobody signed in is kept only if somebody had before. Devices not heard of for 30 days go.
    """
    words = {"host": said.host, "waiting": said.waiting, "look": said.look, "seen_at": now}
    if said.person_id is None:
        kept = session.execute(update(Phone).where(Phone.device == said.device).values(words).returning(Phone.device))
        return kept.first() is not None
    session.execute(delete(Phone).where(Phone.seen_at < now - FORGOTTEN_AFTER))
    words["person_id"] = said.person_id
    make = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    row = make(Phone).values(device=said.device, **words)
    session.execute(row.on_conflict_do_update(index_elements=["device"], set_=words))
    return True


def note_addresses(session: Session, *, laptop_id: str, addresses: Sequence[str], now: datetime) -> list[str]:
    """Keep which addresses phones can reach this laptop by, the likeliest first; returns those that are gone."""
    open_rows = {row.address: row for row in session.scalars(_of(laptop_id).where(LanAddress.gone_at.is_(None)))}
    for rank, address in enumerate(addresses):
        row = open_rows.pop(address, None)
        if row is None:
            session.add(LanAddress(laptop_id=laptop_id, address=address, since_at=now, rank=rank, gone_at=None))
        elif row.rank != rank:
            row.rank = rank
    for row in open_rows.values():
        row.gone_at = now
    _forget_stretches(session, laptop_id)
    return list(open_rows)


def addresses_now(session: Session, laptop_id: str) -> tuple[str, ...]:
    """The addresses that this laptop had when it last looked, the likeliest first."""
    query = _of(laptop_id).where(LanAddress.gone_at.is_(None)).order_by(LanAddress.rank, LanAddress.address)
    return tuple(row.address for row in session.scalars(query))


def last_heard_under(session: Session, hosts: Sequence[str]) -> tuple[Said, ...]:
    """What phones last said under these addresses, those with something waiting first."""
    query = select(Phone).where(Phone.host.in_(hosts)).order_by(Phone.waiting.desc(), Phone.seen_at.desc())
    return _said(session, list(session.scalars(query.limit(MOST_SHOWN))))


def sheet(session: Session, *, laptop_id: str, now: datetime) -> Sheet:
    """All that the start page tells about phones, in three queries."""
    stretches = list(session.scalars(_of(laptop_id).order_by(LanAddress.rank, LanAddress.address)))
    present = tuple(row.address for row in stretches if row.gone_at is None)
    query = select(Phone).where(or_(Phone.waiting > 0, Phone.look > 0, Phone.seen_at > now - SHOWN_FOR))
    query = query.order_by(Phone.seen_at.desc()).limit(MOST_SHOWN)
    phones = _said(session, list(session.scalars(query)))
    change = _last_change(stretches, present, phones, now)
    # Those under the address that is gone are told with the change; the laptop's own browser only if it has something.
    others = (one for one in phones if not (change and one.host == change.gone))
    return Sheet(present, change, tuple(one for one in others if not one.here or one.waiting or one.look))


def _last_change(
    stretches: Sequence[LanAddress], present: Sequence[str], phones: Sequence[Said], now: datetime
) -> Change | None:
    """The address lost last that is still lost: told for a day's work, and for as long as something waits under it."""
    lost = [(row.gone_at, row.address) for row in stretches if row.gone_at and row.address not in present]
    if not lost:
        return None
    at, gone = max(lost)
    under = tuple(one for one in phones if one.host == gone)
    if now - at > SHOWN_FOR and not any(one.waiting or one.look for one in under):
        return None
    return Change(gone, at, under)


def _said(session: Session, rows: Sequence[Phone]) -> tuple[Said, ...]:
    people = names(session, [row.person_id for row in rows]) if rows else {}
    return tuple(Said(people.get(row.person_id, ""), row.host, row.waiting, row.look, row.seen_at) for row in rows)


def _of(laptop_id: str):  # noqa: ANN202 - a select of SQLAlchemy's, whose type says no more than its words
    return select(LanAddress).where(LanAddress.laptop_id == laptop_id)


def _forget_stretches(session: Session, laptop_id: str) -> None:
    """Keep the last stretches only, so that a Wi-Fi that comes and goes all day fills nothing."""
    past = _of(laptop_id).where(LanAddress.gone_at.is_not(None)).order_by(LanAddress.gone_at.desc())
    for row in session.scalars(past.offset(STRETCHES_KEPT)):
        session.delete(row)
