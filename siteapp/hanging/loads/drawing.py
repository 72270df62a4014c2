"""The plan with what hangs on each point: arrows for what the anchors get along the wall, figures beside the points."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from siteapp.drawing.plan import PlanArrow, PlanPad, plan_svg
from siteapp.pieces.points.reading import plan_of, said_of
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.hanging.loads.services import LoadsNow
    from siteapp.hanging.loads.working import CaseFound
    from siteapp.pieces.services import PieceNow

LONGEST = 0.25  # of the larger side of the field, for the largest arrow


def drawn(piece: PieceNow, now: LoadsNow) -> str:
    """The plan as an SVG: points, pads, balance point, and the forces of the weight alone where it holds."""
    plan = plan_of(piece)
    weight = now.known.weight
    across = [point.x_mm for point in plan.points] + [0.0, plan.width_mm or 0.0]
    up = [point.y_mm for point in plan.points] + [0.0, plan.height_mm or 0.0]
    field_mm = max(max(across) - min(across), max(up) - min(up), 1.0)
    case = now.found.cases[0] if now.found else None
    notes = {}
    if case:
        notes = {
            label: f"{written(force.pull_n, 0)} / {written(force.shear_n, 0)} N" for label, force in case.forces.items()
        }
    plan = replace(
        plan,
        points=tuple(replace(point, note=notes.get(point.label, point.note)) for point in plan.points),
        pads=tuple(PlanPad(pad.x_mm, pad.y_mm) for pad in now.known.pads),
        centre=(weight.x.mm, weight.y.mm) if weight.x.mm is not None and weight.y.mm is not None else None,
        arrows=_arrows(piece, case, LONGEST * field_mm) if case else (),
    )
    return plan_svg(plan, title=_("What hangs on each point"), said=_said(said_of(plan), case))


def _arrows(piece: PieceNow, case: CaseFound, longest_mm: float) -> tuple[PlanArrow, ...]:
    largest = max((force.shear_n for force in case.forces.values()), default=0.0)
    if not largest:
        return ()
    scale = longest_mm / largest
    places = {point.label: (point.x_mm, point.y_mm) for point in piece.hanging_points}
    # The anchor gets what the support does to the piece, the other way round.
    return tuple(
        PlanArrow(*places[label], -force.across_n * scale, -force.up_n * scale)
        for label, force in case.forces.items()
        if force.shear_n > 0.01 * largest  # shorter than its own head
    )


def _said(points: str, case: CaseFound | None) -> str:
    if case is None or not case.forces:
        return points
    told = [
        _(
            "%(label)s: pull %(pull)s N, shear %(shear)s N.",
            label=label,
            pull=written(force.pull_n, 0),
            shear=written(force.shear_n, 0),
        )
        for label, force in case.forces.items()
    ]
    return " ".join([points, _("Weight alone:"), *told])
