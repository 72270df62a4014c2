"""The condition that stands until a heat test is met: no fire until tested."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from siteapp.heat.appliance.models import Appliance
from siteapp.heat.testing.state import fire_state
from siteapp.pieces.conditions import told_by
from siteapp.store.revisions import standing_bodies
from siteapp.trade.verdicts import MET
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.models import Particulars
    from siteapp.pieces.services import PieceNow

# The first four words stand on labels; the whole stands in the handover and on the certificate.
NO_FIRE = _l("No fire until tested: no fire is lit here until the heat test has been made and recorded.")
# Words by which particulars that do not say whether heat is close name an appliance all the same.
NAMES_APPLIANCE = re.compile(
    r"\b(?:stove|fireplace|open fire|hearth|overmantel|chimney|flue|burner|oven|heater|radiator|boiler)s?\b",
    re.IGNORECASE,
)


def near_fire(session: Session, piece: PieceNow) -> bool:
    """Whether heat is close: by the particulars, by words in them where they do not say, or by an appliance on record.

    A radiator counts: how warm the piece gets beside it is not known either before it was measured.
    """
    said = piece.particulars
    if said.near_heat is not None:
        return said.near_heat
    return _named(said) or bool(standing_bodies(session, Appliance, piece_id=piece.piece_id))


def untested(session: Session, piece: PieceNow) -> bool:
    """Whether heat is close and no heat test is met, so that no fire may be lit."""
    return near_fire(session, piece) and fire_state(session, piece).verdict != MET


@told_by
def on_the_label(session: Session, piece: PieceNow) -> str | None:
    """The condition in the few words that labels have room for."""
    return _("No fire until tested") if untested(session, piece) else None


def _named(said: Particulars) -> bool:
    told = (said.title, said.object_type, said.description, said.keep_away, said.fire_covers)
    return any(NAMES_APPLIANCE.search(words) for words in told if words)
