"""What scales say of one piece: its weight and balance point, lying flat and standing on its edge."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.trade.errors import TradeError
from siteapp.trade.weight import ON_EDGE, centre_from_scales
from siteapp.web.figures import written
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from siteapp.pieces.models import Particulars
    from siteapp.trade.weight import MassPoint

    Row = Mapping[str, float | None]

# Ours: one piece weighs the same lying and standing; further apart, a scale was not read right or touched.
SAME_PERCENT = 2.0


@dataclass(frozen=True)
class Scaled:
    """Weight in kg and balance point in mm of a piece on scales; None is a place that they did not tell."""

    mass_kg: float
    x_mm: float | None
    y_mm: float | None
    z_mm: float | None
    notes: tuple[str, ...]


def read_off(lying: Sequence[Row], on_edge: Sequence[Row], said: Particulars) -> Scaled:
    """Work out what the readings say: `lying` rows have x_mm, y_mm, mass_kg, `on_edge` rows z_mm, mass_kg.

    Weight, x and y are those lying, z is that on edge, where scales under one bar count together. Raises FieldProblem
    for readings that cannot be, for two weights of one piece, and for a balance point outside of the piece.
    """
    flat = _flat(lying) if lying else None
    edge = _edge(on_edge) if on_edge else None
    if flat and edge and abs(flat.mass_kg - edge.mass_kg) > SAME_PERCENT / 100 * flat.mass_kg:
        message = _(
            "The scales show %(flat)s kg lying and %(edge)s kg on edge: one piece weighs the same both ways, to "
            "%(percent)s %%. Somebody carried a part of it, or a scale stood askew. Weigh again.",
            flat=written(flat.mass_kg, 2),
            edge=written(edge.mass_kg, 2),
            percent=written(SAME_PERCENT),
        )
        raise FieldProblem("on_edge", message)
    first = flat or edge
    if first is None:
        raise FieldProblem("lying", _("Lying flat: give what at least one scale showed, lying or on edge."))
    x_mm, y_mm = (flat.x_mm, flat.y_mm) if flat else (None, None)
    z_mm = edge.z_mm if edge else None
    for field, axis, place, size_mm in (
        ("lying", "x", x_mm, said.width_mm),
        ("lying", "y", y_mm, said.height_mm),
        ("on_edge", "z", z_mm, said.depth_mm),
    ):
        if place is not None and size_mm is not None and not 0 <= place <= size_mm:
            raise FieldProblem(field, _outside(axis, place, size_mm))
    notes = (*(flat.notes if flat else ()), *(edge.notes if edge else ()))
    return Scaled(first.mass_kg, x_mm, y_mm, z_mm, notes)


def _flat(rows: Sequence[Row]) -> MassPoint:
    # One scale need not say where it stood.
    places = [(row["x_mm"] or 0.0, row["y_mm"] or 0.0, row["mass_kg"] or 0.0) for row in rows]
    if len(rows) > 1 and any(row["x_mm"] is None or row["y_mm"] is None for row in rows):
        raise FieldProblem("lying", _("Lying flat: with two scales or more, give x and y of each."))
    try:
        return centre_from_scales(places)
    except TradeError as error:
        raise FieldProblem("lying", _("Lying flat: %(error)s.", error=error)) from None


def _edge(rows: Sequence[Row]) -> MassPoint:
    bars: dict[float, list[float]] = {}
    for row in rows:
        bars.setdefault(row["z_mm"] or 0.0, []).append(row["mass_kg"] or 0.0)
    try:
        # Scales under one bar have one z, whatever each carries; along the bar nothing is asked.
        return centre_from_scales([(0.0, z_mm, math.fsum(kgs)) for z_mm, kgs in bars.items()], laid=ON_EDGE)
    except TradeError as error:
        raise FieldProblem("on_edge", _("On its edge: %(error)s.", error=error)) from None


def _outside(axis: str, place_mm: float, size_mm: float) -> str:
    return _(
        "The weight would sit at %(axis)s = %(place)s mm, outside of the piece, which goes from 0 to %(size)s mm. Look "
        "at the places of the scales and what they showed, or at the sizes in the particulars.",
        axis=axis,
        place=written(place_mm, 0),
        size=written(size_mm, 1),
    )
