"""The plan of the lift: recorded. The only code that writes its rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import LIFT
from siteapp.hanging.lifting.models import AIDS, STEPS, LiftPlan, LiftStep
from siteapp.hanging.lifting.reading import LiftNow, lift_now, people_of, plans, step_of, steps_of, work_out
from siteapp.pieces.writing import take_place
from siteapp.trade.errors import TradeError
from siteapp.trade.lifting.figures import REACHES, ZONES
from siteapp.trade.lifting.steps import STANDINGS
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

__all__ = ["LiftNow", "both", "lift_now", "people_of", "plans", "record", "steps_of"]

MOST_STEPS = 60

calculations.register(
    calculations.Calculation(
        name=LIFT,
        version="1",
        by=_l("the plan of the lift"),
        explained=_l(
            "Met when every step from the van to the wall is within the published filters for the people named, or "
            "borne by an aid within its plate, by weighed weights, with somebody who guides and a word to stop on."
        ),
        endpoint="lifting.page",
        to_page=_l("To the plan of the lift"),
        work_out=work_out,
        figures={
            "mass_kg": (_l("Weight"), "kg"),
            "mass_origin": (_l("Known from"), ""),
            "gross_kg": (_l("Gross weight"), "kg"),
            "gross_origin": (_l("Gross weight from"), ""),
            "calls": (_l("Calls"), ""),
            "guides": (_l("Guide"), ""),
            "lifters": (_l("Lift"), ""),
            "stop_call": (_l("To stop"), ""),
            "steps": (_l("Steps"), ""),
            "people": (_l("People busy at once"), ""),
            "aids": (_l("Aids"), ""),
            "why": (_l("Why"), ""),
            "source": (_l("Source"), ""),
        },
    )
)


class PlanFacts(TypedDict):
    """What is said of the whole lift; guides and lifters one line a name. None for what nobody has said."""

    calls: str | None
    guides: str | None
    lifters: str | None
    stop_call: str | None
    lift_points: str | None
    nuts: str | None
    note: str | None


class StepFacts(TypedDict):
    """One step (`models.LiftStep`): people, kg on the aid's plate, metres carried without a rest; None not said."""

    step: str
    people: int | None
    zone_from: str | None
    zone_to: str | None
    reach: str | None
    standing: str | None
    lower: int | None
    aid: str
    rated_kg: float | None
    carry_m: float | None
    in_crate: bool | None
    note: str | None


def record(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: PlanFacts,
    steps: Sequence[StepFacts],
    revises: str | None = None,
) -> str:
    """Record how it is lifted, one row a step in the order of the work; returns the entry's id.

    `revises` is the plan it takes the place of; where two machines planned it apart, revising one takes the place of
    both. The check that rests on it is worked out again. Raises FieldProblem when somebody guides or calls and lifts,
    for a word that is not offered, for figures that cannot be and for more than 60 steps; Superseded when another plan
    stands, StoreError when `revises` is none of this piece's.
    """
    _refuse_unknown(steps)
    if twice := both(facts["calls"], facts["guides"], facts["lifters"]):
        raise FieldProblem("lifters", twice)
    plan = LiftPlan(**facts)
    rows = [LiftStep(position=place, **one) for place, one in enumerate(steps)]
    for place, row in enumerate(rows, 1):
        try:
            step_of(row, plan)
        except TradeError as error:
            raise FieldProblem("steps", _("Step %(place)s: %(error)s", place=place, error=str(error))) from error
    not_of_it = _("What this revises is no plan of this piece. Open the page again.")
    entry_id = take_place(session, writer, piece, "lift_plan", [plan, *rows], revises=revises, not_of_it=not_of_it)
    checks.refresh(session, writer, piece=piece, calculation=LIFT)
    return entry_id


def both(calls: str | None, guides: str | None, lifters: str | None) -> str | None:
    """Words that refuse somebody who guides or calls and lifts too, or who lifts twice; None when nobody does."""
    busy = {name.casefold() for name in (*people_of(guides), *people_of(calls))}
    lifting: set[str] = set()
    for name in people_of(lifters):
        if name.casefold() in busy:
            return _("Lift: “%(name)s” guides or calls, and so does not lift. Name somebody else.", name=name)
        if name.casefold() in lifting:
            return _("Lift: “%(name)s” is there twice. Name each person once.", name=name)
        lifting.add(name.casefold())
    return None


def _refuse_unknown(steps: Sequence[StepFacts]) -> None:
    offered: dict[str, Collection[str]] = {
        "step": STEPS,
        "zone_from": ZONES,
        "zone_to": ZONES,
        "reach": REACHES,
        "standing": STANDINGS,
        "aid": AIDS,
    }
    for one in steps:
        for field, allowed in offered.items():
            said = one[field]  # type: ignore[literal-required]
            if said is not None and said not in allowed:
                raise FieldProblem("steps", _("“%(said)s” is not an answer here.", said=said))
    if len(steps) > MOST_STEPS:
        message = _("Steps: %(count)s are too many. Give at most %(most)s.", count=len(steps), most=MOST_STEPS)
        raise FieldProblem("steps", message)
