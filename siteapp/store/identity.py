"""Who this laptop is among the machines that write chains.

Two machines never write one chain: a database that finds itself without its own key (restored, copied, moved) begins a
new laptop, whose first entry names the heads it found.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.store import entries, heads, keys
from siteapp.store.models import ChainHead, LaptopFoundHead, LaptopStart, Setting

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.store.db import Store

LAPTOP = "laptop_id"


def ensure(store: Store) -> str:
    """Begin this laptop if it has not begun; returns its id."""
    with store.read() as session:
        known = session.get(Setting, LAPTOP)
        if known and keys.exists(store.settings) and keys.own_laptop(store.settings) == known.value:
            heads.shorten(store.settings, public_keys(session))
            return known.value
    return begin(store)


def begin(store: Store) -> str:
    """Begin a new laptop on this database: a new key, and an entry that names the heads it found."""
    laptop_id, public_key = keys.make(store.settings)
    with store.write() as session:
        found = session.scalars(select(ChainHead).order_by(ChainHead.chain)).all()
        session.merge(Setting(name=LAPTOP, value=laptop_id))
        session.flush()
        bodies = [LaptopStart(laptop_id=laptop_id, public_key=public_key)]
        rows = [
            LaptopFoundHead(position=number, chain=head.chain, seq=head.seq, digest=head.digest)
            for number, head in enumerate(found)
        ]
        writer = entries.Writer(laptop_id=laptop_id)
        entries.append(session, writer, kind="laptop_start", bodies=[*bodies, *rows])
    return laptop_id


def public_keys(session: Session) -> dict[str, str]:
    """Public keys of every laptop that has written here, by laptop id."""
    rows = session.execute(select(LaptopStart.laptop_id, LaptopStart.public_key))
    return {laptop_id: key for laptop_id, key in rows}
