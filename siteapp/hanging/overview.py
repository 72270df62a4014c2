"""The parts that decide whether a piece can go on its wall, in working order, each as it stands now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.checks import calculations, lists
from siteapp.hanging.template.services import template_now
from siteapp.pieces.models import ON_POINTS, ON_RAILS
from siteapp.pieces.points.reading import unsaid
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.i18n import _, _l, ngettext

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.trade.verdicts import Verdict
    from siteapp.web.i18n import Lazy


@dataclass(frozen=True)
class Kind:
    """A part: what it is called, its page, what there is to do there, and the calculation that says how it stands.

    Each stands after what it is worked out from, so that the first one that is not met can be worked on.
    """

    key: str
    name: Lazy
    endpoint: str
    action: Lazy
    calculation: str | None = None
    maker: bool = False  # its page is for makers only


@dataclass(frozen=True)
class Part:
    """A part as it stands now; `why` in one line, `more` reasons beside it."""

    kind: Kind
    verdict: Verdict | str
    why: str
    more: int = 0


POINTS, TEMPLATE = "points", "template"
KINDS = (
    Kind(lists.WEIGHED, _l("Weight"), "weighing.page", _l("Weigh it"), lists.WEIGHED),
    Kind(POINTS, _l("Hanging points"), "points.page", _l("Say where it hangs"), maker=True),
    Kind(TEMPLATE, _l("Fixing template"), "template.page", _l("Set the fixing template")),
    Kind(lists.WALL, _l("The wall as found"), "wall.page", _l("Record the wall as found"), lists.WALL),
    Kind(lists.LOADS, _l("Loads"), "loads.page", _l("Work the loads out"), lists.LOADS),
    Kind(lists.STRENGTH, _l("The piece's own strength"), "strength.page", _l("Prove its points"), lists.STRENGTH),
    Kind(lists.ROUTE, _l("The way in"), "route.page", _l("Measure the way in"), lists.ROUTE),
    Kind(lists.LIFT, _l("The lift"), "lifting.page", _l("Plan the lift"), lists.LIFT),
    Kind(lists.HOLES, _l("Drilled holes"), "holes.page", _l("Measure the holes"), lists.HOLES),
    Kind(lists.ANCHORS_SET, _l("Anchors as set"), "anchors.page", _l("Record the anchors"), lists.ANCHORS_SET),
    Kind(lists.FORM_BACK, _l("The form that comes back"), "pack.page", _l("Type the form in"), lists.FORM_BACK),
    Kind(lists.ANCHORS_PROVED, _l("Anchors proved"), "anchors.page", _l("Prove the anchors"), lists.ANCHORS_PROVED),
)


def hangs(piece: PieceNow) -> bool:
    """Whether a piece hangs on points or rails; one of which nobody said how it stands is taken to hang on points."""
    return piece.particulars.stands in (None, ON_POINTS, ON_RAILS)


def parts(session: Session, piece: PieceNow) -> tuple[Part, ...]:
    """Every part, in working order, worked out from what is recorded now."""
    return tuple(_part(session, piece, kind) for kind in KINDS)


def _part(session: Session, piece: PieceNow, kind: Kind) -> Part:
    if kind.key == POINTS:
        return _points(piece, kind)
    if kind.key == TEMPLATE:
        return _template(session, piece, kind)
    if kind.key == lists.WEIGHED:
        return _weight(session, piece, kind)
    calculation = calculations.known(kind.calculation)
    if calculation is None or calculation.work_out is None:
        return Part(kind, CANNOT_TELL, _("not worked out here"))
    found = calculation.work_out(session, piece)
    reasons = [str(one) for one in found.outcome.get("why", ())]
    if found.verdict == MET:
        return Part(kind, MET, "")
    first = reasons[0].rstrip(".") if reasons else ""
    return Part(kind, found.verdict, first, max(0, len(reasons) - 1))


def _weight(session: Session, piece: PieceNow, kind: Kind) -> Part:
    calculation = calculations.known(lists.WEIGHED)
    assert calculation is not None  # noqa: S101 - the checks register it themselves
    assert calculation.work_out is not None  # noqa: S101
    verdict = calculation.work_out(session, piece).verdict
    words = {MET: _("weighed"), NOT_MET: _("estimated only: it has to be put on scales")}
    return Part(kind, verdict, words.get(verdict, _("nobody has said what it weighs")))


def _points(piece: PieceNow, kind: Kind) -> Part:
    labels = [point.label for point in piece.hanging_points]
    if not labels:
        return Part(kind, CANNOT_TELL, _("the particulars have no hanging points"))
    missing = unsaid(piece)
    if missing:
        return Part(kind, CANNOT_TELL, _("how these hold is not said: %(labels)s", labels=", ".join(missing)))
    return Part(kind, MET, ngettext("%(num)s point", "%(num)s points", len(labels)))


def _template(session: Session, piece: PieceNow, kind: Kind) -> Part:
    now = template_now(session, piece)
    if now is None:
        return Part(kind, CANNOT_TELL, _("where the piece goes on the wall, and what is asked there, is not set"))
    if now.stale:
        return Part(kind, CANNOT_TELL, _("the points or the outline changed since it was set; look it over again"))
    return Part(kind, MET, _("from the datum: %(datum)s", datum=now.version.said.datum))
