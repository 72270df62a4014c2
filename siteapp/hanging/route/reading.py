"""The crate's way in, read from what is recorded now and worked out anew each time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from sqlalchemy import select

from siteapp.checks.calculations import WorkedOut
from siteapp.dispatch.services import crate_now
from siteapp.hanging.route import models
from siteapp.hanging.route.models import Route, RouteStep
from siteapp.pieces.models import WEIGHED
from siteapp.store.revisions import Version, versions
from siteapp.trade import access
from siteapp.trade.access.passing import ROOM_MM
from siteapp.trade.errors import TradeError
from siteapp.trade.verdicts import CANNOT_TELL, MET
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.dispatch.models import Crate
    from siteapp.pieces.services import PieceNow
    from siteapp.trade.access.steps import Step, Way

WAYS: Final[dict[str, tuple[Way, ...]]] = {
    models.UPRIGHT: ("height",),
    models.ON_SIDE_TOO: ("height", "width"),
    models.ANY: ("height", "width", "depth"),
}


@dataclass(frozen=True)
class RouteNow:
    """The way in as it was measured last, the crate as it is described now, and what they come to.

    `found` is None with a `problem` in words where figures cannot be worked with. `apart` where two machines measured
    it apart and nobody has chosen: then it is never met.
    """

    version: Version[Route]
    steps: tuple[RouteStep, ...]
    crate: Crate | None
    room_mm: float
    found: access.Route | None
    worked: WorkedOut
    problem: str | None
    apart: bool


def routes(session: Session, piece_id: str) -> list[Version[Route]]:
    """The ways in that stand, the latest first: more than one where two machines measured it apart."""
    return versions(session, Route, piece_id=piece_id)


def steps_of(session: Session, entry_id: str) -> tuple[RouteStep, ...]:
    """The obstacles of one way, in order."""
    query = select(RouteStep).where(RouteStep.entry_id == entry_id)
    return tuple(session.scalars(query.order_by(RouteStep.position)))


def route_now(session: Session, piece: PieceNow) -> RouteNow | None:
    """The way in as it stands now; None when nobody has described it."""
    stand = routes(session, piece.piece_id)
    if not stand:
        return None
    version = stand[0]
    steps = steps_of(session, version.entry.id)
    described = crate_now(session, piece.piece_id)
    crate = described[1] if described else None
    room_mm = ROOM_MM if version.said.room_mm is None else version.said.room_mm
    found, problem = _found(version.said, steps, crate, piece, room_mm)
    apart = len(stand) > 1
    worked = _worked(version.said, steps, crate, found, problem, apart=apart)
    return RouteNow(version, steps, crate, room_mm, found, worked, problem, apart)


def work_out(session: Session, piece: PieceNow) -> WorkedOut:
    """What the way in comes to now; without one, *cannot tell*."""
    now = route_now(session, piece)
    if now is None:
        return WorkedOut(CANNOT_TELL, {}, {"why": [_("nobody has described the crate's way in")]})
    return now.worked


def box_of(crate: Crate | None, said: Route, piece: PieceNow) -> access.Box:
    """The crate as it is carried. A gross weight below the piece's own counts as an estimate. Raises TradeError."""
    mass_kg = piece.particulars.mass_kg or 0.0
    return access.Box(
        width_mm=crate.width_mm if crate else None,
        height_mm=crate.height_mm if crate else None,
        depth_mm=crate.depth_mm if crate else None,
        gross_kg=crate.gross_kg if crate else None,
        weighed=bool(crate and crate.gross_origin == WEIGHED and (crate.gross_kg or 0.0) >= mass_kg),
        ways_up=WAYS.get(said.ways_up or ""),
        may_tilt=said.may_tilt,
    )


def step_of(row: RouteStep) -> Step:
    """One obstacle as the arithmetic takes it. Raises TradeError for figures that cannot be."""
    measured = bool(row.measured)
    match row.kind:
        case models.CORNER:
            return access.Corner(row.name, row.width_mm, row.second_mm, row.height_mm, measured=measured)
        case models.STAND_UP:
            return access.Stand(row.name, row.height_mm, measured=measured)
        case models.STAIRS:
            return access.Stairs(
                row.name,
                row.width_mm,
                row.height_mm,
                row.turn,  # type: ignore[arg-type] # one of models.TURNS, by the table's own constraint
                next_mm=row.second_mm if row.turn == "quarter" else None,
                landing_mm=row.second_mm if row.turn == "half" else None,
                measured=measured,
            )
        case models.LIFT:
            return access.Lift(
                row.name,
                row.width_mm,
                row.second_mm,
                row.height_mm,
                row.door_width_mm,
                row.door_height_mm,
                rated_kg=row.load_kg,
                riders=row.riders,
                measured=measured,
            )
        case models.SLOPE:
            return access.Slope(row.name, row.width_mm, row.slope_deg, measured=measured)
        case _:
            return access.Opening(row.name, row.width_mm, row.height_mm, measured=measured)


def _found(
    said: Route, steps: Sequence[RouteStep], crate: Crate | None, piece: PieceNow, room_mm: float
) -> tuple[access.Route | None, str | None]:
    try:
        box = box_of(crate, said, piece)
        return access.route(box, [step_of(row) for row in steps], room_mm=room_mm), None
    except TradeError as error:
        return None, str(error)


def _worked(
    said: Route,
    steps: Sequence[RouteStep],
    crate: Crate | None,
    found: access.Route | None,
    problem: str | None,
    *,
    apart: bool,
) -> WorkedOut:
    reasons = [problem] if problem else []
    if crate is None:
        reasons.append(_("nobody has described the crate"))
    if apart:
        reasons.append(_("two machines described the way in apart, and nobody has chosen yet"))
    if not said.measured_by:
        reasons.append(_("who measured the way is not named"))
    verdict = found.verdict if found else CANNOT_TELL
    if reasons and verdict == MET:
        verdict = CANNOT_TELL
    inputs = {
        "width_mm": crate.width_mm if crate else None,
        "height_mm": crate.height_mm if crate else None,
        "depth_mm": crate.depth_mm if crate else None,
        "gross_kg": crate.gross_kg if crate else None,
        "gross_origin": crate.gross_origin if crate else None,
        "ways_up": said.ways_up,
        "may_tilt": said.may_tilt,
        "room_mm": ROOM_MM if said.room_mm is None else said.room_mm,
        "measured_by": said.measured_by,
        "measured_on": said.measured_on,
        "steps": [row.name for row in steps],
    }
    outcome = {
        "first_obstacle": found.first_obstacle if found else None,
        "shortfall_mm": _whole(found.shortfall_mm) if found else None,
        "shortfall_kg": _whole(found.shortfall_kg) if found else None,
        "why": [*(found.reasons if found else ()), *reasons],
        "source": found.source if found else None,
    }
    return WorkedOut(
        verdict,
        {name: value for name, value in inputs.items() if value is not None},
        {name: value for name, value in outcome.items() if value is not None},
    )


def _whole(value: float | None) -> float | None:
    """A figure for people: tenths are more than anybody measures."""
    return None if value is None else round(value, 1)
