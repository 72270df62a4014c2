"""How heavy a piece is and where its weight sits, from what is recorded now: scales first, then the build-up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from sqlalchemy import select

from siteapp.pieces.build_up.reading import come_to
from siteapp.pieces.models import WEIGHED
from siteapp.pieces.weighing.models import Weighing, WeighingReading
from siteapp.store.revisions import versions
from siteapp.trade.errors import TradeError
from siteapp.trade.weight import HEAVIEST_KG, SCALES_ASSUMPTIONS, compare

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.pieces.build_up.reading import BuildUpNow
    from siteapp.pieces.services import PieceNow
    from siteapp.store.models import Entry, EntryPhoto
    from siteapp.trade.weight import Comparison

BY_SCALES, WORKED_OUT, ASSUMED = "weighed", "worked out", "assumed"
How = Literal["weighed", "worked out", "assumed"]
# Ours: a weighing whose weight is further than this from the one in the particulars was of another state of the piece.
SAME_PERCENT = 2.0

FULL_DEPTH = (
    "how far out the weight sits was not weighed: the full depth is taken, since the weight of an open shell sits far "
    "forward"
)
ANOTHER_WEIGHT = (
    "the last weighing says another weight than the particulars do now, so its balance point is left out: weigh again"
)


@dataclass(frozen=True)
class Known:
    """A coordinate of the balance point in mm and how it is known; both None while it is not."""

    mm: float | None = None
    how: How | None = None


@dataclass(frozen=True)
class WeightNow:
    """The weight of a piece in kg with its balance point: x and y from the lower left corner, z out from the wall.

    `origin` as in the particulars: weighed, estimated, None while there is no weight. `weighing_id` is the entry of
    the latest weighing, whichever coordinates it gave. `compared` holds the build-up against a weight that was
    weighed. `assumptions` say what was taken for granted.
    """

    mass_kg: float | None
    origin: str | None
    x: Known
    y: Known
    z: Known
    weighing_id: str | None
    compared: Comparison | None
    assumptions: tuple[str, ...]


@dataclass(frozen=True)
class Weighed:
    """A weighing that stands: what it says, each scale's reading, its photos, how often it was put right."""

    entry: Entry
    said: Weighing
    readings: tuple[WeighingReading, ...]
    photos: tuple[EntryPhoto, ...]
    at: datetime
    corrected: int


def weighings(session: Session, piece: PieceNow) -> list[Weighed]:
    """The weighings of a piece that stand, the latest first."""
    found = versions(session, Weighing, piece_id=piece.piece_id)
    query = select(WeighingReading).where(WeighingReading.entry_id.in_([one.entry.id for one in found]))
    rows: dict[str, list[WeighingReading]] = {}
    for row in session.scalars(query.order_by(WeighingReading.entry_id, WeighingReading.position)):
        rows.setdefault(row.entry_id, []).append(row)
    return [
        Weighed(one.entry, one.said, tuple(rows.get(one.entry.id, ())), one.photos, one.at, len(one.earlier))
        for one in found
    ]


def weight_now(session: Session, piece: PieceNow) -> WeightNow:
    """Weight and balance point from what is recorded now.

    x and y come from the scales, else from the build-up; z from the scales, else it is the full depth of the piece, and
    more where the build-up has it further out: worked out, it never counts as less. A weighing counts for places only
    while its weight is within 2 % (ours) of the weighed one in the particulars.
    """
    said = piece.particulars
    mass_kg, origin = said.mass_kg, said.mass_origin
    weighed_kg = mass_kg if origin == WEIGHED else None
    done = weighings(session, piece)
    counting = [one for one in done if _same(one.said.mass_kg, weighed_kg)]
    built = _built(piece)
    assumptions: list[str] = [ANOTHER_WEIGHT] if len(counting) < len(done) and done[0] not in counting else []
    x, y = (_along(axis, counting, built) for axis in ("x_mm", "y_mm"))
    z = _out(said.depth_mm, counting, built)
    hows = {x.how, y.how, z.how}
    assumptions += SCALES_ASSUMPTIONS if BY_SCALES in hows else ()
    if built and WORKED_OUT in hows:
        assumptions += built.assumptions
    if z.how in {ASSUMED, WORKED_OUT}:
        assumptions.append(FULL_DEPTH)
    return WeightNow(
        mass_kg=mass_kg,
        origin=origin,
        x=x,
        y=y,
        z=z,
        weighing_id=done[0].entry.id if done else None,
        compared=compare(_believable(built), weighed_kg) if piece.build_up or weighed_kg else None,
        assumptions=tuple(assumptions),
    )


def _built(piece: PieceNow) -> BuildUpNow | None:
    """What the build-up comes to; None where it holds what cannot be added up, as a file may have brought it in."""
    try:
        return come_to(piece.build_up)
    except TradeError:
        return None


def _believable(built: BuildUpNow | None) -> float | None:
    """What the build-up weighs; None for a sum that no piece can have, as many lines of a file may come to."""
    mass_kg = built.mass_kg if built else None
    return None if mass_kg is None or mass_kg > HEAVIEST_KG else mass_kg


def _same(one_kg: float, other_kg: float | None) -> bool:
    return other_kg is not None and abs(one_kg - other_kg) <= SAME_PERCENT / 100 * other_kg


def _along(axis: str, counting: Sequence[Weighed], built: BuildUpNow | None) -> Known:
    for one in counting:
        if (mm := getattr(one.said, axis)) is not None:
            return Known(mm, BY_SCALES)
    mm = getattr(built.whole, axis) if built and built.whole else None
    return Known() if mm is None else Known(mm, WORKED_OUT)


def _out(depth_mm: float | None, counting: Sequence[Weighed], built: BuildUpNow | None) -> Known:
    found = _along("z_mm", counting, built)
    if found.how == BY_SCALES:
        return found
    if depth_mm is None:
        return Known()
    if found.mm is not None and found.mm > depth_mm:
        return found
    return Known(depth_mm, ASSUMED)
