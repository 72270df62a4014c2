"""Who this laptop is among the machines that write chains.

Two machines never write one chain: a database that finds itself without its own key (restored, copied, moved) begins a
new laptop, whose first entry names the heads it found.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.store import entries, heads, keys
from siteapp.store.locks import alone
from siteapp.store.models import ChainHead, LaptopFoundHead, LaptopStart, Setting

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.store.db import Store

LAPTOP = "laptop_id"


def ensure(store: Store) -> str:
    """Begin this laptop if it has not begun; returns its id. Of several processes that start at once, one does."""
    known = _begun(store)
    if known is None:
        with alone(store.settings, "beginning"):
            keys.forget()  # another process may have begun meanwhile
            known = _begun(store) or begin(store)
    return known


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
    query = select(LaptopStart.laptop_id, LaptopStart.public_key)
    return {row.laptop_id: row.public_key for row in session.execute(query)}


def _begun(store: Store) -> str | None:
    """The laptop that this database and this folder's key both say they belong to; its noted heads are put right."""
    with store.read() as session:
        known = session.get(Setting, LAPTOP)
        if known is None or not keys.exists(store.settings) or keys.own_laptop(store.settings) != known.value:
            return None
        found = [heads.Head(head.chain, head.seq, head.digest) for head in session.scalars(select(ChainHead))]
        heads.catch_up(store.settings, found, public_keys(session))
        return known.value
