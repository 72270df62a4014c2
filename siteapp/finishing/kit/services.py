"""The recipe and the kit for touching up: put together from what was recorded, kept as a person left them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, TypedDict

from sqlalchemy import select

from siteapp.finishing.colour.state import colours
from siteapp.finishing.kit.models import KitItem, TouchUp
from siteapp.finishing.names import plain
from siteapp.finishing.products import batch_now, keeps_until, product_now
from siteapp.finishing.state import sessions
from siteapp.finishing.touch_up import recipe
from siteapp.pieces.writing import take_place
from siteapp.store.revisions import Version, versions
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

KIT = "kit"
MOST_ITEMS = 30


class ItemFacts(TypedDict):
    """One thing in the kit; the day as ISO 8601, with how it is known."""

    what: str
    amount: str | None
    product_id: str | None
    batch_id: str | None
    batch: str | None
    keeps_until: str | None
    why: str | None


@dataclass(frozen=True)
class KitNow:
    """The kit as it stands. `coats_since` are zones that got a coat after it was put together."""

    version: Version[TouchUp]
    items: tuple[KitItem, ...]
    coats_since: tuple[str, ...]

    @property
    def ends(self) -> date | None:
        """The day up to which the first thing in it keeps."""
        days = [date.fromisoformat(item.keeps_until) for item in self.items if item.keeps_until]
        return min(days, default=None)


def keep(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    recipe: str,
    assembled: str | None,
    items: Sequence[ItemFacts],
    kept: str | None,
    note: str | None,
    photos: Sequence[PhotoUse] = (),
    revises: str | None = None,
) -> str:
    """Keep recipe and kit as they are now; returns the entry's id. `assembled` is what the recipe was made out of.

    Raises Superseded when another stands, StoreError when `revises` is none of this piece's.
    """
    days = [(item["keeps_until"], item["what"]) for item in items if item["keeps_until"]]
    first = min(days, default=None)
    body = TouchUp(
        recipe=recipe,
        assembled=assembled,
        kept=kept,
        keeps_until=first[0] if first else None,
        keeps_why=_("%(what)s ends first", what=first[1]) if first else None,
        note=note,
    )
    rows = [KitItem(position=place, **item) for place, item in enumerate(items)]
    words = _("What this revises is no kit of this piece. Open the page again.")
    return take_place(
        session, writer, piece, "touch_up", [body, *rows], revises=revises, not_of_it=words, photos=photos
    )


def kit_now(session: Session, piece_id: str) -> KitNow | None:
    """The kit as it stands; None where none was put together."""
    stand = versions(session, TouchUp, piece_id=piece_id)
    if not stand:
        return None
    query = select(KitItem).where(KitItem.entry_id == stand[0].entry.id).order_by(KitItem.position)
    made = stand[0].entry.recorded_at
    later = {
        plain(coat.said.zone): coat.said.zone
        for state in sessions(session, piece_id)
        for coat in state.coats
        if coat.entry.recorded_at > made
    }
    return KitNow(stand[0], tuple(session.scalars(query)), tuple(later.values()))


def assemble(session: Session, piece_id: str) -> str | None:
    """The recipe in words, from coats, mixes, films and colours as recorded; None before anything was."""
    told = [recipe(session, piece_id), *_colours(session, piece_id)]
    return "\n\n".join(part for part in told if part) or None


def offered(session: Session, piece_id: str) -> list[ItemFacts]:
    """A jar of each product and batch that is on the piece, with how long it keeps and why."""
    found: dict[tuple[str, str], ItemFacts] = {}
    for state in sessions(session, piece_id):
        for coat in state.coats:
            said = coat.said
            key = (said.product_id or plain(said.product), said.batch_id or plain(said.batch or ""))
            if key in found:
                continue
            product = product_now(session, said.product_id) if said.product_id else None
            batch = batch_now(session, said.product_id, said.batch_id) if said.product_id and said.batch_id else None
            until, why = keeps_until(product, batch) if product and batch else (None, None)
            found[key] = {
                "what": said.product,
                "amount": None,
                "product_id": said.product_id,
                "batch_id": said.batch_id,
                "batch": said.batch,
                "keeps_until": until.isoformat() if until else None,
                "why": why,
            }
    return list(found.values())


def _colours(session: Session, piece_id: str) -> list[str]:
    """Each sample's figures, so that a later tint is mixed to them."""
    told = []
    for now in colours(session, piece_id):
        said = now.sample
        lines = [_("Colour %(name)s:", name=said.name)]
        lines += [said.made_of] if said.made_of else []
        if said.l is not None and said.a is not None and said.b is not None:
            eyes = ", ".join(part for part in (said.instrument, said.illuminant, said.observer) if part)
            figures: Any = " / ".join(written(value) for value in (said.l, said.a, said.b))
            lines.append(_("L* a* b* %(figures)s (%(eyes)s)", figures=figures, eyes=eyes or _("read with: not said")))
        if said.gloss is not None:
            lines.append(
                _("sheen %(units)s gloss units at %(angle)s°", units=written(said.gloss), angle=said.gloss_deg)
            )
        told.append("\n".join(lines))
    return told
