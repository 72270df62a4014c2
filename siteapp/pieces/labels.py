"""A piece's label: what it says, taken from the particulars as they stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents.records import LabelRecord
from siteapp.web.i18n import _, ngettext
from siteapp.web.parts import figure, grouped
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.pieces.models import HangingPoint
    from siteapp.pieces.services import PieceNow


def record(session: Session, piece: PieceNow) -> LabelRecord:
    """What the label of a piece says now."""
    said = piece.particulars
    maker = workshop(session)
    people = said.lift_people
    heat = said.heat_limit_c
    return LabelRecord(
        number=piece.number,
        number_grouped=grouped(piece.number),
        title=said.title,
        maker=maker.name or "",
        what=said.object_type,
        weight_kg=said.mass_kg,
        weight_origin=said.mass_origin,
        people_to_lift=None if people is None else ngettext("%(num)s person", "%(num)s people", people),
        hanging_points=tuple(_point(point) for point in piece.hanging_points),
        heat_limit=None if heat is None else _("surface at most %(limit)s °C", limit=figure(heat, 0)),
        way_up=said.way_up,
        who_to_ask=tuple((said.who_to_ask or "").splitlines()),
        link=maker.link(piece.number),
    )


def pdf(said: LabelRecord, sheet: str = "") -> bytes:
    """The label as a PDF: one on its own, or a sheet (`A4`, `Letter`) full of them. Raises LabelError for another."""
    from siteapp.documents import label

    return label.label_pdf(said, label.on_sheet(label.BACK_LABEL, sheet) if sheet else label.BACK_LABEL)


def _point(point: HangingPoint) -> str:
    hole = "" if point.hole_mm is None else _(", hole %(size)s mm", size=figure(point.hole_mm))
    return _("%(label)s at %(x)s / %(y)s mm", label=point.label, x=figure(point.x_mm), y=figure(point.y_mm)) + hole
