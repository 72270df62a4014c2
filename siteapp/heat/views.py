"""A piece near a fire: everything about it on one page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import Blueprint, render_template, url_for

from siteapp.heat import condition
from siteapp.heat.appliance import services as appliances
from siteapp.heat.evidence import services as evidences
from siteapp.heat.testing.state import fire_state
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, access
from siteapp.web.i18n import _, ngettext

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

room = Blueprint("heat", __name__)


@dataclass(frozen=True)
class Line:
    """One thing that decides about fire: its name, page, answer (None where it is none) and a few words."""

    name: str
    href: str
    verdict: str | None
    told: str


@room.get("/p/<number>/heat")
@access(FITTER)
def page(number: str) -> str:
    """What decides whether a fire may be lit, in the order of the work."""
    piece = piece_or_404(number)
    session = current.reading()
    return render_template(
        "heat/page.html",
        piece=piece,
        lines=list(_lines(session, piece)),
        untested=condition.untested(session, piece),
        near=condition.near_fire(session, piece),
    )


def _lines(session: Session, piece: PieceNow) -> Iterator[Line]:
    number = piece.number
    described = appliances.appliance_now(session, piece.piece_id)
    paper = described is not None and described.said.commissioned == "paper seen"
    told = (described.said.model or _("described")) if described else _("Nobody has described it.")
    said = told if paper or described is None else f"{told}; {_('no commissioning paper was seen')}"
    yield Line(_("The appliance"), url_for("appliance.page", number=number), "met" if paper else "cannot tell", said)
    distances = appliances.distances_now(session, piece)
    spare = distances.worked.outcome["spare_mm"]
    words = _("least room beyond: %(mm)s mm", mm=f"{spare:.0f}") if spare is not None else _("Nothing to tell yet.")
    yield Line(
        _("Distances from the fire"), url_for("appliance.distances", number=number), distances.worked.verdict, words
    )
    reports = evidences.evidence(session, piece.piece_id)
    count = ngettext("one report", "%(num)s reports", len(reports)) if reports else _("No report is recorded.")
    yield Line(_("Fire evidence"), url_for("evidence.page", number=number), None, count)
    limits = evidences.limits_now(session, piece.piece_id)
    known = [value for value in limits.known.values() if value is not None]
    weakest = _("the weakest: %(limit)s °C", limit=f"{min(known):.0f}") if known else _("Nobody has said.")
    missing = [part for part, value in limits.known.items() if value is None]
    verdict = "met" if known and not missing and not limits.estimated else "cannot tell"
    yield Line(_("How warm its parts may get"), url_for("evidence.limits", number=number), verdict, weakest)
    state = fire_state(session, piece)
    reason = state.reasons[0] if state.reasons else _("A fire was lit and measured.")
    yield Line(_("Heat test"), url_for("heat_test.page", number=number), state.verdict, reason)
