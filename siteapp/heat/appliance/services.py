"""The appliance and distances from it: recorded, read, held against plate and rules. The only code that writes them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypedDict

from sqlalchemy import select

from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.calculations import WorkedOut
from siteapp.checks.lists import CLEARANCES
from siteapp.heat.appliance.models import FUELS, KINDS, OTHER, PAPERS, PLACES, Appliance, HeatDistance, HeatDistances
from siteapp.pieces.writing import take_place
from siteapp.store.revisions import Version, versions
from siteapp.trade.errors import TradeError
from siteapp.trade.heat import Held, Plate, Thing, clearances, worst
from siteapp.trade.heat.clearances import ASSUMPTIONS
from siteapp.trade.verdicts import CANNOT_TELL
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

PLATE, APPLIANCE, PAPERS_SLOT, TAPE = "plate", "appliance", "papers", "tape"
MOST_THINGS = 30


class ApplianceFacts(TypedDict):
    """The appliance as typed: kW, mm, the day as ISO 8601; None for what was not read."""

    kind: str | None
    model: str | None
    serial: str | None
    fuel: str | None
    output_kw: float | None
    country: str | None
    instructions: str | None
    plate_above_mm: float | None
    plate_beside_mm: float | None
    plate_front_mm: float | None
    plate_flue_mm: float | None
    opening_width_mm: float | None
    opening_height_mm: float | None
    opening_floor_mm: float | None
    flue: str | None
    flue_diameter_mm: float | None
    flue_shielded: bool | None
    commissioned: str | None
    commissioning: str | None
    seen_by: str | None
    seen_on: str | None
    note: str | None


class ThingFacts(TypedDict):
    """One thing near the fire, mm; None is not measured or not known."""

    thing: str
    place: str
    distance_mm: float | None
    projection_mm: float | None
    combustible: bool | None
    metal_fixing: bool | None
    known_from: str | None


@dataclass(frozen=True)
class DistancesNow:
    """The distances as they stand, and each held against what is asked; empty where nothing was measured."""

    version: Version[HeatDistances] | None
    rows: tuple[HeatDistance, ...]
    held: tuple[Held, ...]
    worked: WorkedOut
    apart: bool


def record_appliance(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: ApplianceFacts,
    photos: Sequence[PhotoUse] = (),
    revises: str | None = None,
) -> str:
    """Record the appliance; returns the entry's id. `revises` is the description that it takes the place of.

    Raises FieldProblem for an answer that is not offered, Superseded when another description stands, StoreError when
    `revises` is none of this piece's.
    """
    for field, allowed in (("kind", KINDS), ("fuel", FUELS), ("commissioned", PAPERS)):
        said = facts[field]  # type: ignore[literal-required]
        if said is not None and said not in allowed:
            raise FieldProblem(field, _("“%(said)s” is not an answer here.", said=said))
    words = _("What this revises is no appliance of this piece. Open the page again.")
    body = Appliance(**facts)
    entry_id = take_place(session, writer, piece, "appliance", [body], revises=revises, not_of_it=words, photos=photos)
    checks.refresh(session, writer, piece=piece, calculation=CLEARANCES)
    return entry_id


def record_distances(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    facts: dict[str, Any],
    things: Sequence[ThingFacts],
    photos: Sequence[PhotoUse] = (),
    revises: str | None = None,
) -> str:
    """Record a round of measuring; returns the entry's id. `facts` are measured_by, measured_on, tape, note.

    Raises FieldProblem on `things` for a place that is not one, Superseded and StoreError as `record_appliance`.
    """
    for row in things:
        if row["place"] not in PLACES:
            raise FieldProblem("things", _("“%(said)s” is not an answer here.", said=row["place"]))
    words = _("What this revises are no distances of this piece. Open the page again.")
    bodies = [HeatDistances(**facts), *(HeatDistance(position=place, **row) for place, row in enumerate(things))]
    entry_id = take_place(
        session, writer, piece, "heat_distances", bodies, revises=revises, not_of_it=words, photos=photos
    )
    checks.refresh(session, writer, piece=piece, calculation=CLEARANCES)
    return entry_id


def appliances(session: Session, piece_id: str) -> list[Version[Appliance]]:
    """Every description that stands, the latest first: more than one where two machines described it."""
    return versions(session, Appliance, piece_id=piece_id)


def appliance_now(session: Session, piece_id: str) -> Version[Appliance] | None:
    """The appliance as it was described last; None when nobody has."""
    stand = appliances(session, piece_id)
    return stand[0] if stand else None


def distances_now(session: Session, piece: PieceNow) -> DistancesNow:
    """The distances as they stand, held against the plate and the published rules."""
    stand = versions(session, HeatDistances, piece_id=piece.piece_id)
    described = appliances(session, piece.piece_id)
    rows: tuple[HeatDistance, ...] = ()
    if stand:
        query = select(HeatDistance).where(HeatDistance.entry_id == stand[0].entry.id).order_by(HeatDistance.position)
        rows = tuple(session.scalars(query))
    held: tuple[Held, ...] = ()
    reasons: list[str] = []
    said = described[0].said if described else None
    if said is None:
        reasons.append(_("Nobody has described the appliance."))
    elif said.kind is None:
        reasons.append(_("What kind of appliance it is is not known."))
    if not rows:
        reasons.append(_("No distance was measured."))
    if rows and said is not None:
        held = _held(said, rows)
    apart = len(stand) > 1 or len(described) > 1
    if apart:
        reasons.append(_("Two machines recorded this apart, and nobody has chosen yet."))
    found = worst(held)
    verdict = CANNOT_TELL if reasons and found != "not met" else found
    reasons += [f"{one.thing.name}: {one.reason}" for one in held if one.verdict != "met"]
    return DistancesNow(stand[0] if stand else None, rows, held, _worked(said, held, verdict, reasons), apart)


def _held(said: Appliance, rows: Sequence[HeatDistance]) -> tuple[Held, ...]:
    plate = Plate(said.plate_above_mm, said.plate_beside_mm, said.plate_front_mm, said.plate_flue_mm)
    things = [
        Thing(
            row.thing,
            row.place,
            row.distance_mm,
            row.projection_mm,
            row.combustible,
            metal_fixing=bool(row.metal_fixing),
        )
        for row in rows
    ]
    return clearances(
        plate,
        things,
        country=said.country,
        kind=said.kind or OTHER,
        fuel=said.fuel or "",
        flue_diameter_mm=said.flue_diameter_mm,
        flue_shielded=said.flue_shielded,
    )


def _worked(said: Appliance | None, held: Sequence[Held], verdict: str, reasons: list[str]) -> WorkedOut:
    spare = [one.spare_mm for one in held if one.spare_mm is not None]
    inputs = {
        "model": said.model if said else None,
        "appliance": said.kind if said else None,
        "country": said.country if said else None,
        "things": [[one.thing.name, one.thing.place, one.thing.distance_mm, one.asked_mm, one.by] for one in held],
    }
    sources = list(dict.fromkeys(one.source for one in held))
    outcome = {"spare_mm": min(spare, default=None), "why": reasons, "source": "; ".join(sources)}
    return WorkedOut(verdict, inputs, outcome)


def _work_out(session: Session, piece: PieceNow) -> WorkedOut:
    try:
        return distances_now(session, piece).worked
    except TradeError as error:  # recorded by an older version with other ranges
        return WorkedOut(CANNOT_TELL, {}, {"why": [str(error)]})


calculations.register(
    calculations.Calculation(
        name=CLEARANCES,
        version="1",
        by=_l("the distances from the fire"),
        explained=_l(
            "Met when every thing near the fire is as far from it as the appliance's plate asks for, or where that "
            "says "
            "nothing, as a published rule asks that covers it."
        ),
        endpoint="appliance.distances",
        to_page=_l("To the distances"),
        work_out=_work_out,
        figures={
            "model": (_l("Appliance"), ""),
            "appliance": (_l("Kind"), ""),
            "country": (_l("Rules of"), ""),
            "things": (_l("Things near it"), ""),
            "spare_mm": (_l("Least room beyond"), "mm"),
            "why": (_l("Why"), ""),
            "source": (_l("Source"), ""),
        },
        told=("model", "spare_mm"),
    )
)

__all__ = [
    "ASSUMPTIONS",
    "DistancesNow",
    "appliance_now",
    "appliances",
    "distances_now",
    "record_appliance",
    "record_distances",
]
