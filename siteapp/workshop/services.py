"""Settings of this laptop that documents print. Ordinary rows that never travel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.store.models import Setting

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

NAME = "workshop_name"
LINK_BASE = "label_link_base"


@dataclass(frozen=True)
class Workshop:
    """The workshop's name, and the lasting address that labels lead to (`https://example.org`), if it has one."""

    name: str | None = None
    link_base: str | None = None

    def link(self, number: str) -> str | None:
        """The lasting address of a piece's page."""
        return f"{self.link_base}/p/{number}" if self.link_base else None


def workshop(session: Session) -> Workshop:
    """What is set."""
    values = [session.get(Setting, name) for name in (NAME, LINK_BASE)]
    return Workshop(*(row.value if row else None for row in values))


def set_workshop(session: Session, said: Workshop) -> None:
    """Set it."""
    for name, value in ((NAME, said.name), (LINK_BASE, said.link_base)):
        row = session.get(Setting, name)
        if value:
            session.merge(Setting(name=name, value=value))
        elif row is not None:
            session.delete(row)
