"""Pieces put on scales. The only code that writes their rows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.pieces import services as pieces
from siteapp.pieces.models import WEIGHED
from siteapp.pieces.weighing.models import LYING, ON_EDGE, Weighing, WeighingReading
from siteapp.pieces.weighing.reading import Known, WeightNow, weighings, weight_now
from siteapp.pieces.weighing.scales import read_off
from siteapp.pieces.writing import refuse_foreign
from siteapp.store import entries
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

    Row = Mapping[str, float | None]

__all__ = ["Known", "WeightNow", "record_weighing", "weighings", "weight_now"]

GRAMS = 3  # decimals of a kilogram


def record_weighing(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    revises: str | None,
    scales: str,
    lying: Sequence[Row] = (),
    on_edge: Sequence[Row] = (),
    note: str | None = None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Record a piece on scales, and revise its particulars: that weight, weighed on these scales.

    Returns the entry's id. `lying` rows have x_mm, y_mm (may be None for a single scale) and mass_kg, `on_edge` rows
    z_mm and mass_kg. `corrects` names a weighing that this one puts right; the particulars then follow if it is the
    latest. Raises FieldProblem for readings that cannot be, Superseded when the particulars were revised since
    `revises`, or the weighing was put right already, StoreError for ones that are none of this piece's.
    """
    words = _("What this corrects is no weighing of this piece. Open the page again.")
    refuse_foreign(session, piece, Weighing, corrects, words)
    told = read_off(lying, on_edge, piece.particulars)
    mass_kg = round(told.mass_kg, GRAMS)
    rows = [_row(LYING, row) for row in lying] + [_row(ON_EDGE, row) for row in on_edge]
    entry = entries.append(
        session,
        writer,
        kind="weighing",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[
            Weighing(scales=scales, mass_kg=mass_kg, x_mm=told.x_mm, y_mm=told.y_mm, z_mm=told.z_mm, note=note),
            *(WeighingReading(position=number, **row) for number, row in enumerate(rows)),
        ],
        photos=photos,
        corrects=corrects,
    )
    weight = {"mass_kg": mass_kg, "mass_origin": WEIGHED, "mass_note": scales}
    if not corrects:
        _say(session, writer, piece, revises or "", weight)
    elif weighings(session, piece)[0].entry.id == entry.id and (now := pieces.find(session, piece.number)):
        # What is said now takes over the new weight; who corrects has not been asked about the rest.
        _say(session, writer, now, now.revision.id, weight)
    return entry.id


def _say(session: Session, writer: Writer, piece: PieceNow, revises: str, weight: dict[str, Any]) -> None:
    facts = pieces.facts_now(piece)
    facts["fields"] |= weight
    pieces.revise_particulars(session, writer, piece=piece, revises=revises, facts=facts)


def _row(way: str, row: Row) -> dict[str, Any]:
    return {"way": way, **{name: row.get(name) for name in ("x_mm", "y_mm", "z_mm", "mass_kg")}}
