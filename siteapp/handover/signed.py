"""The handover as it stands: what was signed, under which conditions, by whom. Reads only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from sqlalchemy import select

from siteapp.handover.models import Handover, HandoverCondition, HandoverSignature
from siteapp.heat.condition import NO_FIRE, untested
from siteapp.store.revisions import standing_bodies

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.base import BodyRow
    from siteapp.store.models import Entry

Row = TypeVar("Row", bound="BodyRow")


@dataclass(frozen=True)
class Signed:
    """A handover with its conditions in writing and its further signatures, in order."""

    entry: Entry
    said: Handover
    conditions: tuple[HandoverCondition, ...]
    signatures: tuple[HandoverSignature, ...]


def signed_now(session: Session, piece_id: str) -> Signed | None:
    """The handover of a piece as it stands, or None."""
    found = standing_bodies(session, Handover, piece_id=piece_id)
    if not found:
        return None
    entry, said = found[-1]
    return Signed(entry, said, _rows(session, HandoverCondition, entry.id), _rows(session, HandoverSignature, entry.id))


def conditions_to_offer(session: Session, piece: PieceNow) -> list[str]:
    """Conditions that a maker is offered: no fire until tested, where heat is close and no heat test is met."""
    return [str(NO_FIRE)] if untested(session, piece) else []


def says_no_fire(conditions: Iterable[str]) -> bool:
    """Whether one of some conditions is that no fire is lit before its test, in our words."""
    return any(" ".join(words.split()) == str(NO_FIRE) for words in conditions)


def _rows(session: Session, model: type[Row], entry_id: str) -> tuple[Row, ...]:
    return tuple(session.scalars(select(model).where(model.entry_id == entry_id).order_by(model.position)))
