"""The record from which a hanging plan is printed: what is recorded now, as plain values."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents.certificate import records as certificate_records
from siteapp.documents.hanging_plan import records as hanging_plan_records
from siteapp.hanging.lifting.models import NO_AID
from siteapp.hanging.lifting.reading import lift_now, people_of
from siteapp.hanging.lifting.wording import AID_WORDS, REACH_WORDS, STANDING_WORDS, STEP_WORDS, ZONE_WORDS
from siteapp.web.dates import today
from siteapp.web.i18n import _, language, ngettext
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.documents.hanging_plan.records import HangingPlan, PlanStep
    from siteapp.hanging.lifting.models import LiftStep
    from siteapp.hanging.lifting.reading import LiftNow
    from siteapp.pieces.services import PieceNow


def plan_record(session: Session, piece: PieceNow, *, invented: bool = False) -> HangingPlan | None:
    """What the hanging plan prints; None while nobody has planned the lift."""
    now = lift_now(session, piece)
    if now is None:
        return None
    said, plan, weight, crate = piece.particulars, now.version.said, now.weight, now.crate
    return hanging_plan_records.HangingPlan(
        piece_number=piece.number,
        title=said.title,
        plan_id=now.version.entry.id,
        plan_at=now.version.entry.happened_at.astimezone().isoformat(timespec="minutes"),
        verdict=now.worked.verdict,
        reasons=tuple(now.worked.outcome["why"]),
        maker=workshop(session).name,
        who_to_ask=said.who_to_ask,
        sizes=certificate_records.Sizes(said.height_mm, said.width_mm, said.depth_mm),
        weight=certificate_records.Weight(weight.mass_kg, weight.origin, said.mass_note),
        gross=certificate_records.Weight(crate.gross_kg, crate.gross_origin) if crate else certificate_records.Weight(),
        balance=hanging_plan_records.Balance(
            weight.x.mm, weight.x.how, weight.y.mm, weight.y.how, weight.z.mm, weight.z.how
        ),
        points=tuple(
            hanging_plan_records.PlanPoint(
                one.label, one.x_mm, one.y_mm, one.hole_mm, one.slot_mm or 0.0, one.slot_deg or 0.0
            )
            for one in piece.hanging_points
        ),
        people=now.found.people if now.found else None,
        calls=plan.calls,
        guides=people_of(plan.guides),
        lifters=people_of(plan.lifters),
        stop_call=plan.stop_call,
        lift_points=plan.lift_points,
        way_up=said.way_up,
        keep_away=said.keep_away,
        aids=tuple(f"{STEP_WORDS[row.step]}: {AID_WORDS[row.aid]}" for row in now.steps if row.aid != NO_AID),
        steps=tuple(_step(now, place, row) for place, row in enumerate(now.steps)),
        nuts=plan.nuts,
        note=plan.note,
        assumptions=(*(now.found.assumptions if now.found else ()), *weight.assumptions),
        source=now.found.source if now.found else None,
        printed_on=today().isoformat(),
        invented=invented,
        language=language(),
    )


def how_words(row: LiftStep) -> str:
    """One step in words: what bears the weight, what people stand on, where the hands are, how far it is carried."""
    parts = [str(AID_WORDS[row.aid]).lower()]
    if row.rated_kg is not None:
        parts.append(_("plate %(kg)s kg", kg=f"{row.rated_kg:g}"))
    if row.standing:
        parts.append(_("standing on: %(what)s", what=str(STANDING_WORDS[row.standing]).lower()))
    if row.lower is not None:
        parts.append(ngettext("%(num)s below on the stairs", "%(num)s below on the stairs", row.lower))
    if row.zone_from or row.zone_to:
        parts.append(_("hands: %(zones)s", zones=_zones(row)))
    if row.reach:
        parts.append(str(REACH_WORDS[row.reach]).lower())
    if row.carry_m is not None:
        parts.append(_("%(m)s m without a rest", m=f"{row.carry_m:g}"))
    if row.in_crate:
        parts.append(_("in its crate"))
    return "; ".join(parts)


def _people(people: int | None) -> str | None:
    if people == 0:
        return _("nobody lifts")
    return None if people is None else ngettext("%(num)s lifts", "%(num)s lift", people)


def _zones(row: LiftStep) -> str:
    ends = [str(ZONE_WORDS[zone]).lower() if zone else _("not said") for zone in (row.zone_from, row.zone_to)]
    return " → ".join(dict.fromkeys(ends))


def _step(now: LiftNow, place: int, row: LiftStep) -> PlanStep:
    found = now.found.steps[place] if now.found else None
    return hanging_plan_records.PlanStep(
        step=str(STEP_WORDS[row.step]),
        people=_people(row.people),
        how=how_words(row),
        weight_kg=found.weight_kg if found else None,
        may_kg=found.capacity_kg if found else None,
        verdict=found.verdict if found else None,
        note=row.note,
    )
