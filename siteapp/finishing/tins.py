"""What the tins say of the products that a session has used."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.finishing.names import plain

if TYPE_CHECKING:
    from siteapp.finishing.models import Product
    from siteapp.finishing.state import SessionState


@dataclass(frozen=True)
class Used:
    """A product that was used: its words on the coats, and its latest revision; None when it is not on the list."""

    words: str
    said: Product | None


def used(state: SessionState) -> tuple[Used, ...]:
    """The products of a session's coats, each once, in the order in which they came."""
    found: dict[str, Used] = {}
    for coat in state.coats:
        revisions = state.products.get(coat.said.product_id or "", ())
        said = next((one.said for one in reversed(revisions) if one.stands), None)
        found.setdefault(coat.said.product_id or plain(coat.said.product), Used(coat.said.product, said))
    return tuple(found.values())
