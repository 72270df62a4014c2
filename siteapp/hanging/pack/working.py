"""What the wall must be, worked out for the checks: the wall as found against what the fixing template asks for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.checks import calculations
from siteapp.checks.lists import WALL
from siteapp.hanging.template.models import FixingTemplate
from siteapp.hanging.wall import services as wall
from siteapp.hanging.wall.wording import FIGURES
from siteapp.store.revisions import versions
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.checks.calculations import WorkedOut
    from siteapp.pieces.services import PieceNow


def wall_worked_out(session: Session, piece: PieceNow) -> WorkedOut:
    """The wall as found held against the wall that the latest fixing template asks for."""
    templates = versions(session, FixingTemplate, piece_id=piece.piece_id)
    asked = templates[0].said.wall_asked if templates else None
    return wall.judge_all([one.said for one in wall.walls(session, piece.piece_id)], asked)


# Made known here and not in the room of the wall, which does not import the template that asks.
calculations.register(
    calculations.Calculation(
        name=WALL,
        version="1",
        by=_l("the wall as found"),
        explained=_l(
            "Met when the wall is the one that the fixing template asks for, proved by a trial hole, sound, with no "
            "cable or pipe near on either side, the owner's consent in writing and asbestos cleared."
        ),
        endpoint="wall.page",
        to_page=_l("The wall as found"),
        work_out=wall_worked_out,
        figures=FIGURES,
    )
)
