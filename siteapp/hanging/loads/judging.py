"""What the loads come to: met, not met or cannot tell, with the reasons, from what is recorded now."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from siteapp.checks.calculations import WorkedOut
from siteapp.hanging.loads import models
from siteapp.hanging.loads.working import MOST_LOST, Inputs, worst
from siteapp.hanging.wall import models as walls
from siteapp.pieces.models import RAIL
from siteapp.pieces.points.reading import groups, supports, unsaid
from siteapp.trade.loads import Pad, Resistance
from siteapp.trade.loads.losing import SUDDEN
from siteapp.trade.loads.resistance import CONCRETE, MASONRY, STEEL, TESTED, TIMBER
from siteapp.trade.verdicts import CANNOT_TELL, NOT_MET
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.hanging.loads.models import LoadPad, LoadResistance, LoadSheet
    from siteapp.hanging.loads.working import CaseFound, LoadsFound
    from siteapp.hanging.wall.models import WallFound
    from siteapp.pieces.services import PieceNow
    from siteapp.pieces.weighing.services import WeightNow
    from siteapp.trade.loads import Support
    from siteapp.trade.loads.resistance import Kind
    from siteapp.trade.loads.supports import Place

KINDS: dict[str, tuple[Kind, bool]] = {
    models.STEEL: (STEEL, False),
    models.CONCRETE: (CONCRETE, False),
    models.MASONRY_SOLID: (MASONRY, True),
    models.MASONRY_HOLLOW: (MASONRY, False),
    models.TIMBER: (TIMBER, False),
    models.TESTED: (TESTED, False),
}
# The wall as found in which values of a kind may be meant; steel and tests on site are not about the wall's material.
FITS = {
    models.CONCRETE: {walls.CONCRETE},
    models.MASONRY_SOLID: {walls.SOLID_MASONRY},
    models.MASONRY_HOLLOW: {walls.HOLLOW_MASONRY, walls.SOLID_MASONRY},
    models.TIMBER: {walls.TIMBER, walls.STUD_WALL},
}
MOST_WHY = 12


class Known(NamedTuple):
    """What is recorded that the loads rest on; None for what nobody has recorded."""

    piece: PieceNow
    weight: WeightNow
    wall: WallFound | None
    sheet: LoadSheet | None
    pads: Sequence[LoadPad]
    resistances: Sequence[LoadResistance]


def inputs_of(known: Known) -> Inputs | None:
    """What the loads are worked out from; None while the weight, its place, a support or the sheet is missing."""
    weight, sheet, held = known.weight, known.sheet, supports_of(known.piece)
    if sheet is None or not held or weight.mass_kg is None:
        return None
    if weight.x.mm is None or weight.y.mm is None or weight.z.mm is None:
        return None
    depth_mm = known.piece.particulars.depth_mm or 0.0
    return Inputs(
        supports=held,
        pads=tuple(Pad(pad.x_mm, pad.y_mm) for pad in known.pads),
        groups=tuple(groups(known.piece).items()),
        mass_kg=weight.mass_kg,
        centre=(weight.x.mm, weight.y.mm, weight.z.mm),
        lean_n=sheet.lean_n,
        lean_at=lean_places(known.piece, sheet, max(depth_mm, weight.z.mm)),
        resistances=tuple((one.label, resistance_of(one, known.wall)) for one in known.resistances),
        sudden=SUDDEN if sheet.sudden is None else sheet.sudden,
    )


def supports_of(piece: PieceNow) -> tuple[Support, ...]:
    """The piece's points as supports, those on bevelled rails with their bevel."""
    bevels = {point.label: point.bevel_deg for point in piece.hanging_points if point.holds == RAIL}
    return tuple(replace(one, bevel_deg=bevels.get(one.label)) for one in supports(piece))


def lean_places(piece: PieceNow, sheet: LoadSheet, z_mm: float) -> tuple[Place, ...]:
    """Where somebody may lean: the place that was told, else every corner of the outline, or of the points."""
    if sheet.lean_x_mm is not None and sheet.lean_y_mm is not None:
        return ((sheet.lean_x_mm, sheet.lean_y_mm, z_mm),)
    return tuple((x_mm, y_mm, z_mm) for x_mm, y_mm in corners(piece))


def corners(piece: PieceNow) -> tuple[tuple[float, float], ...]:
    """The corners of the outline; without a width and a height, of the field that the hanging points span."""
    said = piece.particulars
    if said.width_mm and said.height_mm:
        left, bottom, right, top = 0.0, 0.0, said.width_mm, said.height_mm
    else:
        xs, ys = ([getattr(point, axis) for point in piece.hanging_points] or [0.0] for axis in ("x_mm", "y_mm"))
        left, bottom, right, top = min(xs), min(ys), max(xs), max(ys)
    return tuple(dict.fromkeys(((left, bottom), (right, bottom), (left, top), (right, top))))


def resistance_of(said: LoadResistance, wall: WallFound | None) -> Resistance:
    """What one anchor may carry, with all that keeps it from being relied on."""
    kind, solid = KINDS[said.kind]
    fits = FITS.get(said.kind)
    elsewhere = fits is not None and wall is not None and wall.material is not None and wall.material not in fits
    return Resistance(
        pull_n=said.pull_n,
        shear_n=said.shear_n,
        kind=kind,
        source=said.document or "",
        solid=solid,
        gap=wall is None or wall.gap_mm is None or wall.gap_mm > 0,
        outside_approval=said.covered is not True or elsewhere,
    )


def judge(known: Known, found: LoadsFound | None, *, stale: bool, problem: str | None = None) -> WorkedOut:
    """The worst of what is missing, every case and every loss. A stale sheet is never *met*."""
    why = _missing(known) + ([problem] if problem else [])
    verdicts: list[str] = [CANNOT_TELL] * bool(why)
    if stale:
        verdicts.append(CANNOT_TELL)
        why.append(_("points, weight or wall were recorded anew since the loads were worked out: look them over again"))
    outcome: dict[str, Any] = {}
    if found is None:
        verdicts.append(CANNOT_TELL)
    else:
        verdicts += [case.verdict for case in found.cases] + [loss.verdict for loss in found.losses]
        why += [words for case in found.worst_of_each if (words := case_words(case))]
        # What keeps a loss from being told keeps the cases from it too, and is said with them.
        why += [
            _("%(name)s lost: %(reason)s", name=loss.name, reason=loss.reason)
            for loss in found.losses
            if loss.verdict == NOT_MET
        ]
        outcome["loads"] = [
            _(
                "%(label)s: pull %(pull)s N, shear %(shear)s N (%(case)s)",
                label=label,
                pull=written(demand.pull_n, 0),
                shear=written(demand.shear_n, 0),
                case=demand.case,
            )
            for label, demand in found.by_label.items()
        ]
        if len(known.piece.hanging_points) > MOST_LOST:
            verdicts.append(CANNOT_TELL)
            why.append(
                _(
                    "with more than %(most)s points, what happens when one is lost is not worked out here",
                    most=MOST_LOST,
                )
            )
    why = list(dict.fromkeys(why))
    if len(why) > MOST_WHY:
        why = [*why[:MOST_WHY], _("and %(count)s more", count=len(why) - MOST_WHY)]
    return WorkedOut(worst(verdicts), _inputs(known), outcome | {"why": why})


def case_words(case: CaseFound) -> str:
    """What stands against *met* in one case; nothing where it is met."""
    if case.moves is not None:
        return _("%(case)s: the piece %(moves)s", case=case.name, moves=case.moves)
    for wanted in (NOT_MET, CANNOT_TELL):
        for label, share in case.shares.items():
            if share.verdict == wanted:
                if wanted == CANNOT_TELL:
                    return f"{label}: {share.reason}"
                return _("%(case)s: %(label)s, %(reason)s", case=case.name, label=label, reason=share.reason)
    if case.climbs:
        return _(
            "%(label)s is pulled off harder than its bevel holds it in: without a lock it could ride up",
            label=", ".join(case.climbs),
        )
    return ""


def _missing(known: Known) -> list[str]:
    """What is not known, or only estimated, so that nothing here can be met."""
    piece, weight, sheet, wall = known.piece, known.weight, known.sheet, known.wall
    untold = unsaid(piece)
    told = {one.label for one in known.resistances}
    bare = [point.label for point in piece.hanging_points if point.label not in told]
    rails = [point.label for point in piece.hanging_points if point.holds == RAIL and point.bevel_deg is None]
    found = [
        (sheet is None, _("nobody has said yet who may lean on it, where it bears and what its anchors may carry")),
        (not piece.hanging_points, _("the particulars have no hanging points")),
        (bool(untold), _("how it holds is not told of: %(labels)s", labels=", ".join(untold))),
        (bool(rails), _("the bevel of the rail is not told at: %(labels)s", labels=", ".join(rails))),
        (weight.mass_kg is None, _("the weight is not known")),
        (weight.mass_kg is not None and weight.origin != "weighed", _("the weight is estimated, not weighed")),
        (None in (weight.x.mm, weight.y.mm), _("where its weight sits, across and up, is not known")),
        (
            "worked out" in (weight.x.how, weight.y.how),
            _("where its weight sits was worked out, not weighed: lay it on three scales"),
        ),
        (weight.z.mm is None, _("how far out its weight sits is not known: weigh it on edge, or give the depth")),
        (sheet is not None and sheet.lean_n is None, _("how hard somebody may lean on it is not said")),
        (sheet is not None and not known.pads, _("where the piece bears on the wall is not told")),
        (sheet is not None and bool(bare), _("no anchor's values are given for: %(labels)s", labels=", ".join(bare))),
        (wall is None, _("nobody has written down the wall as found")),
        (wall is not None and wall.gap_mm is None, _("whether there is a gap before the sound wall was not looked at")),
    ]
    return [words for missing, words in found if missing]


def _inputs(known: Known) -> dict[str, Any]:
    weight, sheet, wall = known.weight, known.sheet, known.wall
    return {
        "mass_kg": weight.mass_kg,
        "mass_origin": weight.origin,
        "centre": [
            _("%(axis)s %(place)s mm, %(how)s", axis=axis, place=written(one.mm, 0), how=one.how)
            for axis, one in (("x", weight.x), ("y", weight.y), ("z", weight.z))
            if one.mm is not None
        ],
        "lean_n": sheet.lean_n if sheet else None,
        "lean_why": sheet.lean_why if sheet else None,
        "pads": [f"{written(pad.x_mm, 0)}, {written(pad.y_mm, 0)} mm" for pad in known.pads],
        "gap_mm": wall.gap_mm if wall else None,
        "allowed": [
            _(
                "%(label)s: pull %(pull)s N, shear %(shear)s N, %(kind)s, %(document)s",
                label=one.label,
                pull=_("not known") if one.pull_n is None else written(one.pull_n, 0),
                shear=_("not known") if one.shear_n is None else written(one.shear_n, 0),
                kind=one.kind,
                document=one.document or _("no document named"),
            )
            for one in known.resistances
        ],
    }
