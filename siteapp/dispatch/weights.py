"""The gross weight of a crate held against the weight of the piece in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.pieces.models import WEIGHED
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.dispatch.models import Crate
    from siteapp.pieces.models import Particulars


@dataclass(frozen=True)
class Held:
    """What a gross weight comes to beside the piece's own: the crate alone in kg, the answer, and why."""

    alone_kg: float | None
    verdict: str
    why: str


def held(crate: Crate, said: Particulars) -> Held:
    """Whether the gross weight can be that of this piece in its crate: never below the piece's own weight.

    *Met* only when both were weighed. An estimate may say that it cannot be, never that it is.
    """
    if crate.gross_kg is None:
        return Held(None, CANNOT_TELL, _("the gross weight is not recorded"))
    if said.mass_kg is None:
        return Held(
            None, CANNOT_TELL, _("the piece has no weight in its particulars, so there is nothing to hold it to")
        )
    alone = crate.gross_kg - said.mass_kg
    if alone < 0:
        why = _(
            "the crate with the piece in it is lighter than the piece alone, %(mass)s kg",
            mass=written(said.mass_kg),
        )
        return Held(alone, NOT_MET, why)
    if crate.gross_origin == said.mass_origin == WEIGHED:
        return Held(alone, MET, "")
    return Held(alone, CANNOT_TELL, _("one of the two weights is an estimate"))


def below_piece(gross_kg: float | None, said: Particulars) -> str | None:
    """Words that refuse a gross weight below the piece's own; None when it may stand."""
    if gross_kg is None or said.mass_kg is None or gross_kg >= said.mass_kg:
        return None
    return _(
        "Gross weight: %(gross)s kg is less than the weight of the piece alone, %(mass)s kg (%(origin)s, in the "
        "particulars). Give at least that, or put the particulars right first.",
        gross=written(gross_kg),
        mass=written(said.mass_kg),
        origin=_(said.mass_origin or ""),
    )
