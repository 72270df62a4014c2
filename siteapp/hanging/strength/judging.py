"""How each hanging point's own strength is judged: what was recorded of it, held against the loads that stand now."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from siteapp.checks.calculations import WorkedOut
from siteapp.pieces.models import HOOK, RAIL, SLOT
from siteapp.trade.strength import COUPON, NOT_PROVED, PointStrength, point_strength
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from siteapp.hanging.loads.working import Demand
    from siteapp.hanging.strength.models import StrengthPoint
    from siteapp.pieces.models import HangingPoint
    from siteapp.pieces.services import PieceNow

NO_HOLE = (HOOK, RAIL)  # ways of holding without a hole whose distance to an edge counts


@dataclass(frozen=True)
class PointJudged:
    """One hanging point: what is recorded of its strength, what it must carry, and what that comes to."""

    point: HangingPoint
    said: StrengthPoint | None
    demand: Demand | None
    found: PointStrength

    @property
    def label(self) -> str:
        """What the point is called."""
        return self.point.label


def judge_points(
    piece: PieceNow, said: Mapping[str, StrengthPoint], demands: Mapping[str, Demand]
) -> tuple[PointJudged, ...]:
    """Every hanging point of the piece, in its order, judged from what is recorded of it and the load on it."""
    return tuple(
        _judged(piece, point, said.get(point.label), demands.get(point.label)) for point in piece.hanging_points
    )


def judge(piece: PieceNow, points: Sequence[PointJudged]) -> WorkedOut:
    """The worst of the points decides; without a point there is nothing to be told."""
    verdicts = [one.found.verdict for one in points]
    verdict = next((worst for worst in (NOT_MET, CANNOT_TELL) if worst in verdicts), MET if verdicts else CANNOT_TELL)
    inputs: dict[str, Any] = {
        "loads": [_("%(label)s: %(load)s", label=one.label, load=load_words(one.found.demand_n)) for one in points],
        "proofs": [_("%(label)s: %(proof)s", label=one.label, proof=proof_words(one.said)) for one in points],
        "near_heat": piece.particulars.near_heat,
        "heat_limit_c": piece.particulars.heat_limit_c,
    }
    why = _reasons(points) if points else [_("the particulars have no hanging points")]
    shares = {one.label: one.found.share for one in points if one.found.share is not None}
    told = [_("%(label)s: %(share)s %%", label=label, share=written(100 * share, 0)) for label, share in shares.items()]
    return WorkedOut(verdict, inputs, {"shares": told, "why": why})


def _reasons(points: Sequence[PointJudged]) -> list[str]:
    """Each reason once, with the points that it is of."""
    of: dict[str, list[str]] = {}
    for one in points:
        for reason in one.found.reasons:
            of.setdefault(reason, []).append(one.label)
    every = len(points) if len(points) > 1 else None
    return [
        _("every point: %(reason)s", reason=reason) if len(labels) == every else f"{', '.join(labels)}: {reason}"
        for reason, labels in of.items()
    ]


def load_words(force_n: float | None) -> str:
    """A load in words."""
    return _("not worked out") if force_n is None else f"{written(force_n, 0)} N"


def proof_words(said: StrengthPoint | None) -> str:
    """How a point was proved, with its figures."""
    if said is None or said.proof == NOT_PROVED:
        return _("not proved")
    force = _("force not written down") if said.proof_n is None else f"{written(said.proof_n, 0)} N"
    if said.proof != COUPON:
        return _("proof load, %(force)s held", force=force)
    return _(
        "coupon pull, failed at %(force)s; coupon %(coupon)s, bond %(bond)s, factor %(factor)s",
        force=force,
        coupon=_area(said.coupon_area_mm2),
        bond=_area(said.bond_area_mm2),
        factor=_("not given") if said.factor is None else written(said.factor, 2),
    )


def _judged(piece: PieceNow, point: HangingPoint, said: StrengthPoint | None, demand: Demand | None) -> PointJudged:
    heat = piece.particulars
    found = point_strength(
        pull_n=demand.pull_n if demand else None,
        shear_n=demand.shear_n if demand else None,
        proof=said.proof if said else None,
        proof_n=said.proof_n if said else None,
        bond_area_mm2=said.bond_area_mm2 if said else None,
        coupon_area_mm2=said.coupon_area_mm2 if said else None,
        factor=said.factor if said else None,
        near_heat=heat.near_heat,
        hottest_c=heat.heat_limit_c,
        bond_service_c=said.bond_service_c if said else None,
        has_hole=point.holds not in NO_HOLE,
        slotted=point.holds == SLOT,
        hole_mm=point.hole_mm,
        slot_mm=point.slot_mm,
        edge_mm=point.edge_mm,
        plate_mm=said.plate_mm if said else None,
    )
    return PointJudged(point, said, demand, _witnessed(found, said))


def _witnessed(found: PointStrength, said: StrengthPoint | None) -> PointStrength:
    """A proof of which nobody knows who made it and when is no proof that work could go on by."""
    if said is None or said.proof == NOT_PROVED or (said.proved_by and said.proved_on):
        return found
    verdict = CANNOT_TELL if found.verdict == MET else found.verdict
    return replace(found, verdict=verdict, reasons=(*found.reasons, _("who proved it and when is not written down")))


def _area(area_mm2: float | None) -> str:
    return _("not given") if area_mm2 is None else f"{written(area_mm2, 0)} mm²"
