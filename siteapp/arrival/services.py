"""Arrivals and the climate before unwrapping: recorded, read. The only code that writes their rows."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from siteapp.arrival import climate, rules
from siteapp.arrival.models import Arrival, UnwrapReading
from siteapp.checks import calculations
from siteapp.checks import services as checks
from siteapp.checks.lists import SAFE_TO_UNWRAP
from siteapp.dispatch.services import crate_now
from siteapp.pieces.slots import BACK, CRATE, DETAILS, EDGES, FRONT, HARDWARE
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.revisions import Version, all_bodies, versions
from siteapp.web.i18n import _, _l
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.arrival.climate import UnwrapFacts
    from siteapp.dispatch.models import Crate
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer
    from siteapp.store.models import Entry

SLOTS = (CRATE, FRONT, BACK, EDGES, HARDWARE, DETAILS)

calculations.register(
    calculations.Calculation(
        name=SAFE_TO_UNWRAP,
        version=climate.CALCULATION,
        by=_l("the climate before unwrapping"),
        explained=_l("It is worked out from the readings before unwrapping; limits and sources stand there."),
        endpoint="arrival.page",
        to_page=_l("To the readings"),
        figures={
            "piece_c": (_l("Piece's surface"), "°C"),
            "air_c": (_l("Air"), "°C"),
            "relative_humidity": (_l("Relative humidity"), "%"),
            "instrument": (_l("Read with"), ""),
            "source": (_l("Source"), ""),
            "dew_point_c": (_l("Dew point"), "°C"),
            "margin_c": (_l("Margin above it"), "K"),
            "margin_low_c": (_l("Margin with every instrument error against it"), "K"),
            "why": (_l("Why"), ""),
        },
    )
)

Arrived = Version[Arrival]
Unwrapped = Version[UnwrapReading]


def record_arrival(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    found: str,
    shock: str | None = None,
    tilt: str | None = None,
    note: str | None = None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Record that a piece reached the site and how it looked; returns the entry's id.

    The checks on arrival and of fixing open with it, in the same transaction. A piece may arrive more than once;
    `corrects` names an arrival that this one puts right. `shock` and `tilt` are of `models.INDICATORS`, None when not
    read. Raises FieldProblem when *nothing found* comes without photos of front, back and edges (and of the crate
    where indicators are fitted), or an indicator that the crate's record names is *not fitted* without a note on it;
    Superseded when somebody else corrected it meanwhile.
    """
    known = {entry.id: said for entry, said in all_bodies(session, Arrival, piece_id=piece.piece_id)}
    if not known.keys() >= set(corrects):
        raise StoreError(_("What this corrects is not an arrival of this piece. Open the page again."))
    slots = {photo.slot for photo in photos}
    crate = crate_record(session, piece)
    wrong = rules.problems(found=found, shock=shock, tilt=tilt, note=note, slots=slots, crate=crate)
    for other in corrects:
        wrong += rules.read_together(known[other], shock, tilt)
    for field, message in wrong:
        raise FieldProblem(field, message)
    entry = entries.append(
        session,
        writer,
        kind="arrival",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[Arrival(found=found, shock=shock, tilt=tilt, note=note)],
        photos=photos,
        corrects=corrects,
    )
    for stage in (checks.ARRIVED, checks.FIXED):
        checks.open_lists(session, writer, piece=piece, stage=stage)
    return entry.id


def arrivals(session: Session, piece_id: str) -> list[Arrived]:
    """The arrivals of a piece that stand, the latest first."""
    return versions(session, Arrival, piece_id=piece_id)


def unwraps(session: Session, piece_id: str) -> list[Unwrapped]:
    """The climate readings before unwrapping that stand, the latest first."""
    return versions(session, UnwrapReading, piece_id=piece_id)


def record_unwrap(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    arrival_id: str,
    facts: UnwrapFacts,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep the climate at the crate after an arrival and what it comes to; returns the entry's id.

    The latest reading of the latest arrival answers the check that is worked out from it, if that is open. Raises
    TradeError for figures that cannot be, StoreError for an arrival or a corrected reading of another piece,
    Superseded when that was corrected meanwhile.
    """
    known = arrivals(session, piece.piece_id)
    arrived = next((one for one in known if of_arrival(one, arrival_id)), None)
    if arrived is None:
        raise StoreError(_("There is no such arrival of this piece. Record the arrival first, or open the page again."))
    before = _readings(session, piece, corrects)
    if any(not of_arrival(arrived, said.arrival_id) for _entry, said in before):
        raise StoreError(_("What this corrects was read after another arrival. Open the page again."))
    read = climate.Told(writer.device, writer.at, datetime.now(UTC))
    for one in unwraps(session, piece.piece_id):
        if one.entry.id in corrects:
            read = climate.Told.by(one.first)
    wait, at = climate.wait_as_read(arrived, crate_record(session, piece), read)
    found = climate.work_out(facts, wait, at)
    entry = entries.append(
        session,
        writer,
        kind="unwrap",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[
            UnwrapReading(
                arrival_id=arrival_id,
                dew_point_c=found.dew_point_c,
                margin_c=found.margin_c,
                margin_low_c=found.margin_low_c,
                verdict=found.verdict,
                reasons="\n".join(found.reasons),
                source=found.source,
                calculation=climate.CALCULATION,
                **facts,
            )
        ],
        photos=photos,
        corrects=corrects,
    )
    latest = unwraps(session, piece.piece_id)[0]
    if latest.entry.id == entry.id and arrived == known[0]:
        _push(session, writer, piece, facts, found, photos)
    return entry.id


def crate_record(session: Session, piece: PieceNow) -> Crate | None:
    """What the piece travels in, as it was described last; None when nobody has."""
    found = crate_now(session, piece.piece_id)
    return found[1] if found else None


def of_arrival(arrived: Arrived, arrival_id: str) -> bool:
    """Whether an entry is this arrival, or a version of it that was corrected."""
    return arrival_id in {arrived.entry.id, *(entry.id for entry in arrived.replaced)}


def _readings(session: Session, piece: PieceNow, entry_ids: Sequence[str]) -> list[tuple[Entry, UnwrapReading]]:
    known = {entry.id: (entry, said) for entry, said in all_bodies(session, UnwrapReading, piece_id=piece.piece_id)}
    if not known.keys() >= set(entry_ids):
        raise StoreError(_("What this corrects is not a reading of this piece. Open the page again."))
    return [known[entry_id] for entry_id in entry_ids]


def _push(
    session: Session,
    writer: Writer,
    piece: PieceNow,
    facts: UnwrapFacts,
    found: climate.Outcome,
    photos: Sequence[PhotoUse],
) -> None:
    figures = {"dew_point_c": found.dew_point_c, "margin_c": found.margin_c, "margin_low_c": found.margin_low_c}
    checks.push(
        session,
        writer,
        piece=piece,
        calculation=SAFE_TO_UNWRAP,
        verdict=found.verdict,
        inputs={name: value for name, value in facts.items() if value is not None},
        outcome={name: value for name, value in figures.items() if value is not None} | {"why": list(found.reasons)},
        version=climate.CALCULATION,
        photos=photos,
    )
