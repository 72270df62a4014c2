"""The record from which a fixing pack is printed: what is recorded now, as plain values."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from siteapp.documents import certificate_records, fixing_pack_records
from siteapp.hanging.template.services import template_now
from siteapp.hanging.wall.wording import SPOKEN
from siteapp.pieces.models import RAIL
from siteapp.pieces.weighing.services import weight_now
from siteapp.trade import anchors as trade
from siteapp.trade.errors import TradeError
from siteapp.web.dates import today
from siteapp.web.i18n import _, language
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from siteapp.documents.fixing_pack_records import FixingPack, PackReading
    from siteapp.pieces.services import PieceNow

FEWEST: Final = 2  # holes that a tape can lie between


def pack_of(session: Session, piece: PieceNow, *, invented: bool = False) -> FixingPack | None:
    """What the fixing pack prints; None while no fixing template says where the anchors go."""
    template = template_now(session, piece)
    if template is None:
        return None
    asked, said = template.version.said, piece.particulars
    weight = weight_now(session, piece)
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
        loads_why=_("Nobody has worked the loads out yet."),
        proving=_proving(len(piece.hanging_points)),
        readings=readings,
        readings_why=readings_why,
        printed_on=today().isoformat(),
        invented=invented,
        language=language(),
    )


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
