"""All that decides whether the piece can go on its wall, on one page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, render_template

from siteapp.hanging import overview
from siteapp.hanging.lifting.services import lift_now
from siteapp.hanging.template.services import template_now
from siteapp.pieces.views import piece_or_404
from siteapp.trade.verdicts import MET
from siteapp.web import current
from siteapp.web.access import FITTER, Access, access

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.hanging.overview import Part

room = Blueprint("hanging", __name__)


@room.get("/p/<number>/hanging")
@access(FITTER)
def page(number: str) -> str:
    """Every part in working order with how it stands, the papers to take, and what is to be done next."""
    piece = piece_or_404(number)
    session = current.reading()
    hangs = overview.hangs(piece)
    parts = overview.parts(session, piece) if hangs else ()
    person = current.who()
    maker = person is not None and person.level >= Access.MAKER
    return render_template(
        "hanging/overview.html",
        piece=piece,
        hangs=hangs,
        parts=parts,
        met=sum(1 for part in parts if part.verdict == MET),
        template=template_now(session, piece) if hangs else None,
        lift=lift_now(session, piece) if hangs else None,
        following=_following(parts, maker=maker),
        maker=maker,
    )


def _following(parts: Sequence[Part], *, maker: bool) -> Part | None:
    """The first part that is not met and whose page this person may open."""
    return next((part for part in parts if part.verdict != MET and (maker or not part.kind.maker)), None)
