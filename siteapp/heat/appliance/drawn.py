"""The section through fire and piece, drawn from what was measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from siteapp.drawing.section import Near, front_svg, side_svg
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.heat.appliance.models import Appliance
    from siteapp.pieces.services import PieceNow
    from siteapp.trade.heat import Held

DRAWN = ("above", "left", "right")


def section(piece: PieceNow, said: Appliance | None, held: Sequence[Held]) -> Markup | None:
    """Front view and section as SVG; None where the opening or no distance is measured: nothing is drawn as if."""
    near = [
        Near(one.thing.name, one.thing.place, one.thing.distance_mm, one.asked_mm, one.thing.projection_mm)
        for one in held
        if one.thing.distance_mm is not None and one.thing.place in DRAWN
    ]
    if said is None or said.opening_width_mm is None or said.opening_height_mm is None or not near:
        return None
    told = "; ".join(f"{one.name}: {one.place}, {one.distance_mm:.0f} mm" for one in near)
    front = front_svg(
        said.opening_width_mm,
        said.opening_height_mm,
        near,
        title=_("%(piece)s and the opening, from the front", piece=piece.title),
        said=told,
    )
    if not any(one.place == "above" and one.projection_mm is not None for one in near):
        return Markup(front)  # noqa: S704 - drawn by us, its words escaped there
    side = side_svg(said.opening_height_mm, near, title=_("Cut from the side"), said=told)
    return Markup(front + side)  # noqa: S704
