"""The record from which a fixing pack is printed: what is recorded now, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from siteapp.documents.certificate import records as certificate_records
from siteapp.documents.fixing_pack import records as fixing_pack_records
from siteapp.hanging.loads.services import loads_now
from siteapp.hanging.template.services import template_now
from siteapp.hanging.wall.wording import SPOKEN
from siteapp.pieces.models import RAIL, WEIGHED
from siteapp.pieces.weighing.services import weight_now
from siteapp.trade import anchors as trade
from siteapp.trade.errors import TradeError
from siteapp.web.dates import today
from siteapp.web.i18n import _, language
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from siteapp.documents.fixing_pack.records import FixingPack, PackReading
    from siteapp.hanging.loads.working import Demand
    from siteapp.pieces.services import PieceNow

FEWEST: Final = 2  # holes that a tape can lie between


@dataclass(frozen=True)
class _Loads:
    """The loads as the pack prints them; `why` says why there are none."""

    by_label: Mapping[str, Demand] = field(default_factory=dict)
    why: str | None = None
    caution: str | None = None
    rest_on: tuple[str, ...] = ()
    source: str | None = None

    def of(self, label: str) -> tuple[float | None, float | None, str | None]:
        """Pull and shear in N and the case that decides; all None where not worked out."""
        one = self.by_label.get(label)
        return (one.pull_n, one.shear_n, one.case) if one else (None, None, None)


def pack_of(session: Session, piece: PieceNow, *, invented: bool = False) -> FixingPack | None:
    """What the fixing pack prints; None while no fixing template says where the anchors go."""
    template = template_now(session, piece)
    if template is None:
        return None
    asked, said = template.version.said, piece.particulars
    weight = weight_now(session, piece)
    loads = _loads(session, piece)
    readings, readings_why = _readings(template.on_wall)
    return fixing_pack_records.FixingPack(
        piece_number=piece.number,
        title=said.title,
        template_id=template.version.entry.id,
        template_at=template.version.entry.happened_at.astimezone().isoformat(timespec="minutes"),
        datum=asked.datum,
        corner_x_mm=asked.x_mm,
        corner_y_mm=asked.y_mm,
        points=tuple(
            fixing_pack_records.PackPoint(
                point.label,
                *template.on_wall[point.label],
                point.hole_mm,
                point.slot_mm or 0.0,
                point.slot_deg or 0.0,
                *loads.of(point.label),
                rail=point.holds == RAIL,
            )
            for point in piece.hanging_points
        ),
        stale=template.stale,
        maker=workshop(session).name,
        who_to_ask=said.who_to_ask,
        sizes=certificate_records.Sizes(said.height_mm, said.width_mm, said.depth_mm),
        weight=certificate_records.Weight(weight.mass_kg, weight.origin, said.mass_note),
        level_line=asked.level_line,
        level_mm=asked.level_mm,
        wall_asked=str(SPOKEN[asked.wall_asked]) if asked.wall_asked else None,
        anchor=asked.anchor,
        anchor_document=asked.anchor_document,
        drill_mm=asked.drill_mm,
        embedment_mm=asked.embedment_mm,
        torque_nm=asked.torque_nm,
        proof_kn=asked.proof_kn,
        designed_by=asked.designed_by,
        note=asked.note,
        loads_why=loads.why,
        loads_caution=loads.caution,
        loads_rest_on=loads.rest_on,
        loads_source=loads.source,
        proving=_proving(len(piece.hanging_points)),
        readings=readings,
        readings_why=readings_why,
        printed_on=today().isoformat(),
        invented=invented,
        language=language(),
    )


def _loads(session: Session, piece: PieceNow) -> _Loads:
    now = loads_now(session, piece)
    if now is None:
        return _Loads(why=_("Nobody has said yet what the loads rest on."))
    if now.found is None or not now.by_label:
        reasons = [now.problem] if now.problem else now.worked.outcome.get("why", ())
        return _Loads(why="\n".join(reasons) or None)
    unsettled = []
    if now.stale:
        unsettled.append(_("They were told before the particulars, the weighing or the wall changed."))
    if now.known.weight.origin != WEIGHED:
        unsettled.append(_("The weight is estimated, not weighed."))
    if now.version.said.lean_n is None:
        unsettled.append(_("Nobody said how hard somebody may lean: this is the weight alone."))
    caution = _("These loads are not settled. %(why)s", why=" ".join(unsettled)) if unsettled else None
    rest_on = (*now.known.weight.assumptions, *now.found.assumptions)
    return _Loads(now.by_label, None, caution, rest_on, now.found.source)


def _proving(anchors: int) -> fixing_pack_records.Proving | None:
    """How many of the anchors are pulled; None when there are none."""
    if not anchors:
        return None
    plan = trade.proof_tests(anchors)
    return fixing_pack_records.Proving(plan.count, anchors, trade.HOLD_S, plan.shows, plan.source)


def _readings(on_wall: Mapping[str, tuple[float, float]]) -> tuple[tuple[PackReading, ...], str | None]:
    """The readings to take back, in the order of the ladder, or why there are none."""
    from siteapp.trade.survey import TapeReading, suggest_readings

    if len(on_wall) < FEWEST:
        return (), _("One hole alone has no distance to another: measure it from the datum, across and up.")
    try:
        suggested = suggest_readings(on_wall)
    except TradeError as error:
        return (), _("No readings are suggested: %(why)s.", why=str(error))
    return tuple(
        fixing_pack_records.PackReading(one.a, one.b, one.from_100)
        if isinstance(one, TapeReading)
        else fixing_pack_records.PackReading(one.holes[0])
        for one in suggested
    ), None
