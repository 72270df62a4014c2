"""What may be typed about hanging points, and from which side."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.pieces.models import FROM_BACK, FROM_FRONT
from siteapp.pieces.points.rows import MOST_POINTS, HangingPointRow, check
from siteapp.web.fields import Choice, Lines, RoomForm
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.pieces.services import PieceNow


class PointsForm(RoomForm):
    """The hanging points of a piece whose outline is known, or not. Their x is as seen from the side measured from."""

    kind = "particulars"

    measured_from = Choice(
        _l("Measured from"),
        required=True,
        choices=[(FROM_FRONT, _l("The front")), (FROM_BACK, _l("The back"))],
        hint=_l("From the lower left corner as you look at that side: x to the right, y upwards."),
    )
    hanging_points = Lines(
        HangingPointRow,
        _l("Hanging points"),
        spare=2,
        most=MOST_POINTS,
        hint=_l(
            "A slot 12 × 40 mm is a hole of 12 drawn out by 28. A slot does not hold along itself, a hook does not "
            "hold down, a rail holds up and to the wall only. Points that hang on one batten or one bonded strip would "
            "fail with it: give it the same name at each."
        ),
    )

    def __init__(self, formdata: Any = None, *, piece: PieceNow, **kwargs: Any) -> None:
        self.width_mm = piece.particulars.width_mm
        self.height_mm = piece.particulars.height_mm
        super().__init__(formdata, **kwargs)

    def validate_measured_from(self, field: Choice) -> None:
        """From the back left and right change over, about the middle of the piece."""
        if field.data == FROM_BACK and self.width_mm is None:
            field.refuse(
                _(
                    "Measured from: from the back left and right change over, which needs the width of the piece. Give "
                    "it in the particulars first, or measure from the front."
                )
            )

    def validate_hanging_points(self, field: Lines) -> None:
        """They are held against each other and against the outline, which is the same from either side."""
        check(field, self.width_mm, self.height_mm)


def data_of(piece: PieceNow) -> dict[str, Any]:
    """A piece's points as `PointsForm` wants them: as seen from the side they were measured from."""
    side = piece.particulars.points_from or FROM_FRONT
    rows = [vars(point) for point in piece.hanging_points]
    return {
        "measured_from": side,
        "hanging_points": turned(rows, side, piece.particulars.width_mm),
        "revises": piece.revision.id,
    }


def turned(rows: list[dict[str, Any]], side: str | None, width_mm: float | None) -> list[dict[str, Any]]:
    """Rows as seen from the other side when `side` is the back: x over the width, slots leaning the other way."""
    if side != FROM_BACK or width_mm is None:
        return rows
    return [
        {
            **row,
            "x_mm": None if row["x_mm"] is None else width_mm - row["x_mm"],
            # A level slot stays as it is, not −0.
            "slot_deg": -row["slot_deg"] if row["slot_deg"] else row["slot_deg"],
        }
        for row in rows
    ]
