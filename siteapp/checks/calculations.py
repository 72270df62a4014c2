"""What works checks out. Rooms that measure make their calculations known here; this room knows one of its own.

A line of a list names its calculation (`lists.CALCULATIONS`); how it is worked out stands in the room that measures,
which this one does not import.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from siteapp.checks.lists import WEIGHED
from siteapp.pieces.models import ESTIMATED
from siteapp.pieces.models import WEIGHED as BY_SCALES
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.web.i18n import Lazy


@dataclass(frozen=True)
class WorkedOut:
    """What a calculation came to: its verdict, what it was worked out from, what it gave, as plain JSON values."""

    verdict: str
    inputs: Mapping[str, Any]
    outcome: Mapping[str, Any]


@dataclass(frozen=True)
class Calculation:
    """A calculation that lines may ask for.

    `by` says what worked it out, `explained` when it is met; `endpoint` is the page, of a piece's number, where what it
    is worked out from is typed, and `to_page` what the link there says. `work_out` works it out from what is recorded
    now; None where the room pushes its answers itself. `figures` tells label and unit of the names in its values;
    `told` are those that stand beside the answer wherever it is printed, since a bare *met* says nothing to act on.
    """

    name: str
    version: str
    by: Lazy
    explained: Lazy
    endpoint: str
    to_page: Lazy
    work_out: Callable[[Session, PieceNow], WorkedOut] | None = None
    figures: Mapping[str, tuple[Lazy, str]] = field(default_factory=dict)
    told: tuple[str, ...] = ()

    @property
    def said(self) -> str:
        """Name and version, as answers keep them."""
        return f"{self.name} ({self.version})"


_known: dict[str, Calculation] = {}


def register(calculation: Calculation) -> Calculation:
    """Make a calculation known; the room that works it out calls this when it is imported."""
    _known[calculation.name] = calculation
    return calculation


def known(name: str | None) -> Calculation | None:
    """The calculation of this name, or None while no room that was imported works it out."""
    return _known.get(name or "")


def _weighed(_session: Session, piece: PieceNow) -> WorkedOut:
    """Whether a piece was put on scales: met when its mass (kg) is weighed, not met when it is estimated, else unknown.

    Nothing is computed: it is taken from the particulars as they stand. An estimate may stop the work; only a
    measurement lets it go on.
    """
    said = piece.particulars
    verdict = {BY_SCALES: MET, ESTIMATED: NOT_MET}.get(said.mass_origin or "", CANNOT_TELL)
    inputs = {"mass_kg": said.mass_kg, "mass_origin": said.mass_origin, "mass_note": said.mass_note}
    return WorkedOut(verdict, inputs, {"weighed": said.mass_origin == BY_SCALES})


register(
    Calculation(
        name=WEIGHED,
        version="1",
        by=_l("the weight of the particulars"),
        explained=_l(
            "Met when the particulars say that the weight was weighed, not met when it is estimated, cannot tell when "
            "there is none. It is taken from the particulars as they stand."
        ),
        endpoint="pieces.particulars",
        to_page=_l("The particulars"),
        work_out=_weighed,
        figures={
            "mass_kg": (_l("Weight"), "kg"),
            "mass_origin": (_l("Known from"), ""),
            "mass_note": (_l("How"), ""),
            "weighed": (_l("Weighed"), ""),
        },
        told=("mass_kg", "mass_note"),
    )
)
