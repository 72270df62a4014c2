"""A piece's labels: what they say, from the particulars as they stand, and what may be asked of their printing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from wtforms import Form

from siteapp.documents.label.sizes import (
    BACK,
    CARD,
    COPIES,
    EDGE,
    GAPS_MM,
    LIMITS,
    MARGINS_MM,
    SET,
    LabelError,
    LabelForm,
)
from siteapp.documents.records import LabelRecord
from siteapp.pieces.conditions import conditions
from siteapp.web.fields import Choice, Figure, Whole
from siteapp.web.i18n import _, _l, ngettext
from siteapp.web.parts import figure, grouped
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.models import HangingPoint
    from siteapp.pieces.services import PieceNow
    from siteapp.web.fieldbase import Problem

MOST_PLACES = 200
NAMES = {
    BACK: _l("Back label"),
    EDGE: _l("Small label for the lower edge"),
    CARD: _l("Card for the house file"),
    SET: _l("All three"),
}
SHEETS = (("", _l("One label a page, such as on a roll")), ("A4", _l("A4 sheet")), ("Letter", _l("Letter sheet")))
# What a set takes from nobody: its three labels have sizes of their own and stand where there is room.
NOT_OF_A_SET = ("width", "height", "margin", "gap", "start")


@dataclass(frozen=True)
class Wanted:
    """What is to be printed: a form of label, or a whole set (`form` None) on `sheet`, `copies` of each."""

    form: LabelForm | None
    sheet: str | None
    copies: int | None


class LabelsForm(Form):
    """What may be asked of labels, by their address alone: nothing is recorded."""

    form = Choice(_l("Which label"), choices=tuple(NAMES.items()), default=BACK)
    sheet = Choice(_l("Printed on"), choices=SHEETS, look="select", default="")
    width = Figure(
        _l("Width"), unit="mm", low=54, high=300, hint=_l("A roll's width, such as 62 or 100. Blank: the usual.")
    )
    height = Figure(_l("Height"), unit="mm", low=24, high=300)
    margin = Figure(_l("Margin of the sheet"), unit="mm", low=MARGINS_MM[0], high=MARGINS_MM[1])
    gap = Figure(_l("Gap between labels"), unit="mm", low=GAPS_MM[0], high=GAPS_MM[1])
    copies = Whole(
        _l("Copies"), low=COPIES[0], high=COPIES[1], hint=_l("Blank: a sheet full of them, or one on a roll.")
    )
    start = Whole(
        _l("First place on the sheet"),
        low=1,
        high=MOST_PLACES,
        hint=_l("Counted along the rows from the upper left; later than 1 on a sheet that was begun."),
    )

    def problems(self) -> list[Problem]:
        """Label, message and element id of everything that is wrong, in the order of the page."""
        return [problem for field in self for problem in field.problems()]

    def wanted(self) -> Wanted | None:
        """What is asked for, or None with what is wrong put to its field."""
        good = self.validate()
        if self.form.data is None and not self.form.errors:
            self.form.data = BACK  # what the address means that names no label
        if not good:
            return None
        kind, sheet = self.form.data, self.sheet.data or None
        if kind == SET:
            return self._set(sheet)
        width, height = LIMITS[kind].usual
        said = {"margin_mm": self.margin.data, "gap_mm": self.gap.data, "start": self.start.data}
        try:
            form = LabelForm(
                width_mm=width if self.width.data is None else self.width.data,
                height_mm=height if self.height.data is None else self.height.data,
                sheet=sheet,
                kind=kind,
                copies=self.copies.data,
                **{name: value for name, value in said.items() if value is not None},
            )
        except LabelError as error:
            self.refuse(error)
            return None
        return Wanted(form, sheet, self.copies.data)

    def refuse(self, error: Exception) -> None:
        """Put what documents say of a label to the field that it is about."""
        name = error.field if isinstance(error, LabelError) and error.field in self else "height"
        text = str(error)
        self[name].refuse(text[:1].upper() + text[1:] + ("" if text.endswith(".") else "."))

    def _set(self, sheet: str | None) -> Wanted | None:
        for name in NOT_OF_A_SET:
            field = self[name]
            if field.data is not None:
                message = _(
                    "%(label)s: “%(typed)s” is not taken for all three, which have sizes and places of their own. "
                    "Leave it blank, or choose one label.",
                    label=field.label.text,
                    typed=field.shown,
                )
                field.refuse(message)
        return None if any(self[name].errors for name in NOT_OF_A_SET) else Wanted(None, sheet, self.copies.data)


def record(session: Session, piece: PieceNow) -> LabelRecord:
    """What the labels of a piece say now."""
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
        take_down=said.take_down,
        keep_away=said.keep_away,
        care=said.care,
        care_never=said.care_never,
        condition="; ".join(conditions(session, piece)) or None,
    )


def pdf(said: Sequence[LabelRecord], wanted: Wanted) -> bytes:
    """The labels as a PDF. Raises LabelError and `qr.QrTooSmall` when one of them has no room."""
    from siteapp.documents.label import pdf as label

    if wanted.form is None:
        return label.set_pdf(said, wanted.sheet, copies=wanted.copies or 1)
    return label.labels_pdf(said, wanted.form)


def _point(point: HangingPoint) -> str:
    hole = "" if point.hole_mm is None else _(", hole %(size)s mm", size=figure(point.hole_mm))
    return _("%(label)s at %(x)s / %(y)s mm", label=point.label, x=figure(point.x_mm), y=figure(point.y_mm)) + hole
