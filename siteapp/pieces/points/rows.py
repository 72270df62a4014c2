"""One hanging point as it is typed, and what must fit together in all of them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from wtforms import Form

from siteapp.pieces.models import BOLT, HOOK, RAIL, SLOT
from siteapp.web.fields import Choice, Figure, Words
from siteapp.web.figures import written
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Any

    from siteapp.web.fields import Lines

FURTHEST_MM = 20_000
MOST_POINTS = 200
# Ours: a bracket may stand out beyond the piece, but not by more; 10 m typed for 1 m lies further out.
OUTSIDE_MM = 500.0
# Ours: nobody drills two holes nearer than this.
SAME_PLACE_MM = 1.0
HALF = 180.0


class HangingPointRow(Form):
    """One hanging point."""

    label = Words(_l("Label"), required=True, longest=20)
    x_mm = Figure(_l("x, to the right"), unit="mm", low=-FURTHEST_MM, high=FURTHEST_MM, required=True)
    y_mm = Figure(_l("y, upwards"), unit="mm", low=-FURTHEST_MM, high=FURTHEST_MM, required=True)
    holds = Choice(
        _l("Holds as"),
        look="select",
        choices=[("", _l("Not said")), (BOLT, _l("bolt")), (SLOT, _l("slot")), (HOOK, _l("hook")), (RAIL, _l("rail"))],
    )
    hole_mm = Figure(_l("Hole"), unit="mm", low=1, high=100)
    bolt_mm = Figure(_l("Bolt"), unit="mm", low=1, high=100)
    slot_mm = Figure(_l("Drawn out to a slot by"), unit="mm", low=0, high=500)
    slot_deg = Figure(_l("Slot turned up from level by"), unit="°", low=-HALF, high=HALF)
    bevel_deg = Figure(_l("Bevel of the rail"), unit="°", low=1, high=80)
    edge_mm = Figure(_l("From its middle to the plate's edge"), unit="mm", low=1, high=5000)
    fails_with = Words(_l("Hangs on, together with others"), longest=80)
    note = Words(_l("Note"), longest=500)


def check(lines: Lines, width_mm: float | None, height_mm: float | None) -> None:
    """Refuse rows that do not fit together, each at the field that is wrong.

    Points are as seen from the front. Two of one label or at one place, a point more than half a metre outside the
    outline, a hole narrower than its bolt, a slot without a width or a direction, a hole that runs over its plate's
    edge: all these are refused in words.
    """
    before: list[Mapping[str, Any]] = []
    for entry in lines.entries:
        if all(field.is_blank() for field in entry.form):
            continue
        row = entry.form.data
        for field, message in (*_twice(row, before), *_outside(row, width_mm, height_mm), *_sizes(row)):
            entry.form[field].refuse(message)
        before.append(row)


def _twice(row: Mapping[str, Any], before: list[Mapping[str, Any]]) -> list[tuple[str, str]]:
    wrong = []
    name = _name(row)
    for number, other in enumerate(before, 1):
        if name and name == _name(other):
            words = _("Label: “%(label)s” is there twice, first in line %(line)s.", label=row["label"], line=number)
            wrong.append(("label", words))
        if None not in (row["x_mm"], row["y_mm"], other["x_mm"], other["y_mm"]):
            apart = math.hypot(row["x_mm"] - other["x_mm"], row["y_mm"] - other["y_mm"])
            if apart < SAME_PLACE_MM:
                words = _(
                    "x, y: %(label)s is where %(other)s is, %(apart)s mm apart. Keep %(least)s mm or more between.",
                    label=row["label"] or "",
                    other=other["label"] or "",
                    apart=written(apart, 2),
                    least=written(SAME_PLACE_MM),
                )
                wrong.append(("x_mm", words))
    return wrong[:2]


def _outside(row: Mapping[str, Any], width_mm: float | None, height_mm: float | None) -> list[tuple[str, str]]:
    wrong = []
    for field, way, size in (("x_mm", "x", width_mm), ("y_mm", "y", height_mm)):
        value = row[field]
        if value is not None and size is not None and not -OUTSIDE_MM <= value <= size + OUTSIDE_MM:
            words = _(
                "%(way)s: %(value)s mm lies more than %(outside)s mm outside the piece, which measures %(size)s mm. "
                "Give from %(low)s to %(high)s mm as seen from the front, or put the piece's size right first.",
                way=way,
                value=written(value, 1),
                outside=written(OUTSIDE_MM),
                size=written(size, 1),
                low=written(-OUTSIDE_MM),
                high=written(size + OUTSIDE_MM, 1),
            )
            wrong.append((field, words))
    return wrong


def _sizes(row: Mapping[str, Any]) -> list[tuple[str, str]]:
    wrong = []
    hole, bolt, slot, edge = row["hole_mm"], row["bolt_mm"], row["slot_mm"], row["edge_mm"]
    if hole is not None and bolt is not None and hole < bolt:
        words = _(
            "Hole: %(hole)s mm is narrower than its bolt. Give at least %(bolt)s mm.",
            hole=written(hole, 2),
            bolt=written(bolt, 2),
        )
        wrong.append(("hole_mm", words))
    if slot and hole is None:
        wrong.append(("hole_mm", _("Hole: a slot needs its width too.")))
    if row["holds"] == SLOT and not slot:
        words = _("Drawn out to a slot by: what holds as a slot needs this. Give a number from 1 to 500 mm.")
        wrong.append(("slot_mm", words))
    if slot and row["slot_deg"] is None:
        words = _("Slot turned up from level by: say how the slot lies. 0 is level, 90 is upright.")
        wrong.append(("slot_deg", words))
    if edge is not None and hole is not None and edge <= hole / 2:
        words = _(
            "From its middle to the plate's edge: %(edge)s mm would let the hole run over the edge. Give more than "
            "%(least)s mm.",
            edge=written(edge, 2),
            least=written(hole / 2, 2),
        )
        wrong.append(("edge_mm", words))
    return wrong


def _name(row: Mapping[str, Any]) -> str:
    return " ".join(str(row["label"] or "").split()).casefold()
