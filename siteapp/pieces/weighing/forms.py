"""What may be typed about a piece on scales."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.pieces.weighing.models import LYING, ON_EDGE
from siteapp.trade.weight import FARTHEST_MM, HEAVIEST_KG, MOST_SCALES
from siteapp.web.fields import Figure, Lines, Photos, RoomForm, Words
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.pieces.weighing.reading import Weighed

LEAST_KG = 0.001
PHOTOS = "scales"


class LyingRow(Form):
    """One scale under a piece that lies flat."""

    x_mm = Figure(_l("x, to the right"), unit="mm", low=-FARTHEST_MM, high=FARTHEST_MM)
    y_mm = Figure(_l("y, upwards"), unit="mm", low=-FARTHEST_MM, high=FARTHEST_MM)
    mass_kg = Figure(_l("It shows"), unit="kg", low=LEAST_KG, high=HEAVIEST_KG, required=True)


class OnEdgeRow(Form):
    """One scale under a piece that stands on its edge."""

    z_mm = Figure(_l("z, out from its back"), unit="mm", low=-FARTHEST_MM, high=FARTHEST_MM, required=True)
    mass_kg = Figure(_l("It shows"), unit="kg", low=LEAST_KG, high=HEAVIEST_KG, required=True)


class WeighingForm(RoomForm):
    """A piece on one to three scales, and tipped on its edge."""

    kind = "weighing"

    scales = Words(
        _l("Which scales"),
        required=True,
        longest=300,
        hint=_l("What they are, and when they were last checked against a known weight."),
    )
    lying = Lines(
        LyingRow,
        _l("Lying flat"),
        spare=3,
        most=MOST_SCALES,
        hint=_l(
            "On a block over each scale, all read at one time. x and y of each block from the lower left corner, as "
            "seen from the front. One scale gives the weight alone; three that are no row give the balance point too."
        ),
    )
    on_edge = Lines(
        OnEdgeRow,
        _l("Standing on its lower edge, back plumb"),
        spare=2,
        most=MOST_SCALES,
        hint=_l(
            "On two bars along its length, each on a scale: z of each bar out from the plane of the back. It gives how "
            "far out from the wall the weight sits. Somebody holds it so that it cannot fall, without carrying it."
        ),
    )
    photos = Photos(_l("Photos of the scales as they were read"), slot=PHOTOS)
    note = Words(_l("Note"), rows=3, longest=2000)

    def validate_lying(self, field: Lines) -> None:
        """One scale may stand anywhere; of several, each place counts."""
        rows = field.rows()
        if len(rows) > 1 and any(row["x_mm"] is None or row["y_mm"] is None for row in rows):
            field.refuse(_("Lying flat: with two scales or more, give x and y of each."))
        if not rows and not self.on_edge.rows():
            field.refuse(_("Lying flat: give what at least one scale showed, lying or on edge."))


def data_of(one: Weighed) -> dict[str, Any]:
    """A weighing as its form wants it, to be put right."""
    return {
        "scales": one.said.scales,
        "note": one.said.note,
        "lying": [vars(row) for row in one.readings if row.way == LYING],
        "on_edge": [vars(row) for row in one.readings if row.way == ON_EDGE],
        "photos": [photo.sha256 for photo in one.photos],
        "corrects": one.entry.id,
    }
