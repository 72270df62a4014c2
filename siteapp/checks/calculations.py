"""What this room works out itself from a piece's particulars. Other rooms push what they worked out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from siteapp.pieces.models import ESTIMATED, WEIGHED
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from siteapp.pieces.models import Particulars

VERSION = "1"


@dataclass(frozen=True)
class WorkedOut:
    """What a calculation came to: its verdict, what it was worked out from, what it gave."""

    verdict: str
    inputs: dict[str, Any]
    outcome: dict[str, Any]


def weighed(said: Particulars) -> WorkedOut:
    """Whether a piece was put on scales: met when its mass (kg) is weighed, not met when it is estimated, else unknown.

    Nothing is computed: it is taken from the particulars as they stand. An estimate may stop the work; only a
    measurement lets it go on.
    """
    verdict = {WEIGHED: MET, ESTIMATED: NOT_MET}.get(said.mass_origin or "", CANNOT_TELL)
    inputs = {"mass_kg": said.mass_kg, "mass_origin": said.mass_origin, "mass_note": said.mass_note}
    return WorkedOut(verdict, inputs, {"weighed": said.mass_origin == WEIGHED})
