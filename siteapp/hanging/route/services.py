"""The crate's way in: recorded. The only code that writes its rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypedDict

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import ROUTE
from siteapp.hanging.route.models import KINDS, TURNS, WAYS_UP, Route, RouteStep
from siteapp.hanging.route.reading import RouteNow, route_now, routes, step_of, steps_of, work_out
from siteapp.pieces.writing import take_place
from siteapp.trade.errors import TradeError
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

__all__ = ["RouteNow", "record", "route_now", "routes", "steps_of"]

SLOT = "way in"  # photos of doors, corners, the lift's plate
MOST_STEPS = 60

calculations.register(
    calculations.Calculation(
        name=ROUTE,
        version="1",
        by=_l("the crate's way in"),
        explained=_l(
            "Met when the crate, with room for hands all round, passes every step from the van to the wall in a way up "
            "it may travel, by sizes measured with a tape, and any lift carries it by its plate."
        ),
        endpoint="route.page",
        to_page=_l("To the way in"),
        work_out=work_out,
        figures={
            "width_mm": (_l("Crate's width"), "mm"),
            "height_mm": (_l("Crate's height"), "mm"),
            "depth_mm": (_l("Crate's depth"), "mm"),
            "gross_kg": (_l("Gross weight"), "kg"),
            "gross_origin": (_l("Gross weight from"), ""),
            "ways_up": (_l("May travel"), ""),
            "may_tilt": (_l("May be tilted"), ""),
            "room_mm": (_l("Room for hands, all round"), "mm"),
            "measured_by": (_l("Measured by"), ""),
            "measured_on": (_l("Measured on"), ""),
            "steps": (_l("Steps"), ""),
            "first_obstacle": (_l("First obstacle"), ""),
            "shortfall_mm": (_l("Short by"), "mm"),
            "shortfall_kg": (_l("Too heavy by"), "kg"),
            "why": (_l("Why"), ""),
            "source": (_l("Source"), ""),
        },
    )
)


class RouteFacts(TypedDict):
    """What is said of the whole way: room in mm, the day as ISO 8601; None for what nobody has said."""

    ways_up: str | None
    may_tilt: bool | None
    room_mm: float | None
    measured_by: str | None
    measured_on: str | None
    note: str | None


class StepFacts(TypedDict):
    """One obstacle with the sizes its kind asks for (`models.RouteStep`), in mm, degrees and kg; None not known."""

    kind: str
    name: str
    width_mm: float | None
    height_mm: float | None
    second_mm: float | None
    slope_deg: float | None
    turn: str | None
    door_width_mm: float | None
    door_height_mm: float | None
    load_kg: float | None
    riders: int | None
    measured: bool | None
    note: str | None


def record(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: RouteFacts,
    steps: Sequence[StepFacts],
    photos: Sequence[PhotoUse] = (),
    revises: str | None = None,
) -> str:
    """Record the way in, one row an obstacle in the order in which it is met; returns the entry's id.

    `revises` is the description it takes the place of; where two machines described it apart, revising one takes the
    place of both. The check that rests on it is worked out again. Raises FieldProblem for a kind, a turn or a way up
    that is not offered, for figures that cannot be and for more than 60 steps; Superseded when another description
    stands, StoreError when `revises` is none of this piece's.
    """
    _refuse_unknown(facts, steps)
    rows = [RouteStep(position=place, **one) for place, one in enumerate(steps)]
    for place, row in enumerate(rows, 1):
        try:
            step_of(row)
        except TradeError as error:
            raise FieldProblem("steps", _("Step %(place)s: %(error)s", place=place, error=str(error))) from error
    not_of_it = _("What this revises is no way in of this piece. Open the page again.")
    entry_id = take_place(
        session, writer, piece, "route", [Route(**facts), *rows], revises=revises, not_of_it=not_of_it, photos=photos
    )
    checks.refresh(session, writer, piece=piece, calculation=ROUTE)
    return entry_id


def _refuse_unknown(facts: RouteFacts, steps: Sequence[StepFacts]) -> None:
    said = [("ways_up", facts["ways_up"], WAYS_UP)]
    said += [("steps", one["kind"], KINDS) for one in steps]
    said += [("steps", one["turn"], TURNS) for one in steps]
    for field, answer, allowed in said:
        if answer is not None and answer not in allowed:
            raise FieldProblem(field, _("“%(said)s” is not an answer here.", said=answer))
    if len(steps) > MOST_STEPS:
        message = _("Steps: %(count)s are too many. Give at most %(most)s.", count=len(steps), most=MOST_STEPS)
        raise FieldProblem("steps", message)
