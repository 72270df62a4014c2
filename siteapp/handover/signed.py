"""The handover as it stands: what was signed, under which conditions, by whom. Reads only."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from sqlalchemy import select

from siteapp.handover.models import Handover, HandoverCondition, HandoverSignature
from siteapp.store.revisions import standing_bodies
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.models import Particulars
    from siteapp.store.base import BodyRow
    from siteapp.store.models import Entry

Row = TypeVar("Row", bound="BodyRow")

NO_FIRE = _l("No fire is lit until the heat test has been made and recorded.")
# Words by which particulars that do not say whether heat is close name an appliance all the same.
APPLIANCE = re.compile(
    r"\b(?:stove|fireplace|open fire|hearth|overmantel|chimney|flue|burner|oven|heater|radiator|boiler)s?\b",
    re.IGNORECASE,
)


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


def conditions_to_offer(said: Particulars) -> list[str]:
    """Conditions that a maker is offered: no fire before its test, where heat is close or an appliance is named."""
    named = (said.title, said.object_type, said.description, said.keep_away, said.fire_covers)
    near = said.near_heat
    if near is None:
        near = any(APPLIANCE.search(words) for words in named if words)
    return [str(NO_FIRE)] if near else []


def _rows(session: Session, model: type[Row], entry_id: str) -> tuple[Row, ...]:
    return tuple(session.scalars(select(model).where(model.entry_id == entry_id).order_by(model.position)))
