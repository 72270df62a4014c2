"""One line of the build-up judged: what it weighs by its sizes, what is kept of it, what does not fit together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from siteapp.pieces.build_up.rows import MADE_AS_WORDS, BuildUpRow
from siteapp.pieces.models import AS_WEIGHED, BuildUpLine
from siteapp.trade.errors import TradeError
from siteapp.trade.made_as import NEEDED, USUAL_KG_M3, Made, made
from siteapp.trade.weight import HEAVIEST_KG
from siteapp.web.figures import written
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from siteapp.pieces.models import Particulars

SIZES = tuple(dict.fromkeys(name for names in NEEDED.values() for name in names))
# A thickness may stand beside any line, as it was measured: alone it is no attempt at sizes.
ALONE = "thickness_mm"
# Ours: a weight that was typed beside sizes that give another one is asked about beyond this share, and this much.
ANOTHER_SHARE = 0.01
ANOTHER_KG = 0.005
# Ours: what sits further outside the piece than this is a slip, such as metres typed for millimetres.
OUTSIDE_MM = 500.0


@dataclass(frozen=True)
class Judged:
    """A line as it is kept (`row`), one piece of it by its sizes where these are whole, problems by field."""

    row: dict[str, Any]
    each: Made | None
    problems: tuple[tuple[str, str], ...]

    @property
    def line(self) -> BuildUpLine:
        """The line as a row of the table, not in any session."""
        return BuildUpLine(**self.row)


def judged(row: Mapping[str, Any], said: Particulars) -> Judged:
    """Work a line out from its fields as typed, and hold it against the sizes of the piece.

    Sizes that are whole give the weight, and a thickness where none was typed. Half of the sizes, sizes that the making
    does not ask for, another weight typed beside them, and places far outside of the piece are problems.
    """
    kind = row["made_as"] or None
    problems = [*_sizes(kind, row), *_places(row, said)]
    each = None
    if kind in NEEDED:
        try:
            each = made(kind, row)
        except TradeError as error:
            problems.append(("made_as", f"{label('made_as')}: {error}."))
    worked = each.mass_kg * (row["pieces"] or 1) if each else None
    problems += _weights(kind, row["mass_kg"], worked)
    kept = {**row, "made_as": kind, "mass_kg": worked if worked is not None else row["mass_kg"]}
    if each:
        kept["density_kg_m3"] = row["density_kg_m3"] or USUAL_KG_M3.get(kind or "")
        kept["thickness_mm"] = row["thickness_mm"] or each.thickness_mm
    return Judged(kept, each, tuple(problems))


def typed_before(line: BuildUpLine) -> dict[str, Any]:
    """A recorded line as it was typed: without the weight and the thickness that follow from its sizes."""
    row = {name: getattr(line, name) for name in _row()._fields}
    row["made_as"] = row["made_as"] or ""
    if line.made_as in NEEDED:
        try:
            each = made(line.made_as, row)
        except TradeError:
            return row
        if each:
            row["mass_kg"] = None
            row["thickness_mm"] = None if row["thickness_mm"] == each.thickness_mm else row["thickness_mm"]
    return row


def label(name: str) -> str:
    """What a field of a line is called on the page."""
    return str(_row()[name].label.text)


def _sizes(kind: str | None, row: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    given = [name for name in SIZES if row[name] is not None and name != ALONE]
    if kind == AS_WEIGHED or not given:
        return
    if kind is None:
        yield "made_as", _("%(label)s: say what it is made as, so that its sizes count.", label=label("made_as"))
        return
    called = str(MADE_AS_WORDS[kind])
    for name in given:
        if name not in NEEDED[kind]:
            yield (
                name,
                _("%(label)s: “%(kind)s” does not ask for it. Take it out.", label=label(name), kind=called),
            )
    usual = ("density_kg_m3",) if kind in USUAL_KG_M3 else ()
    for name in NEEDED[kind]:
        if row[name] is None and name not in usual:
            yield (
                name,
                _("%(label)s: “%(kind)s” asks for it beside its other sizes.", label=label(name), kind=called),
            )


def _places(row: Mapping[str, Any], said: Particulars) -> Iterator[tuple[str, str]]:
    for axis, size_mm in (("x_mm", said.width_mm), ("y_mm", said.height_mm), ("z_mm", said.depth_mm)):
        place = row[axis]
        if place is not None and size_mm is not None and not -OUTSIDE_MM <= place <= size_mm + OUTSIDE_MM:
            yield (
                axis,
                _(
                    "%(label)s: %(place)s mm is far outside of the piece, which goes from 0 to %(size)s mm. Allowed is "
                    "up to %(room)s mm beyond.",
                    label=label(axis),
                    place=written(place),
                    size=written(size_mm),
                    room=written(OUTSIDE_MM),
                ),
            )


def _weights(kind: str | None, typed_kg: float | None, worked_kg: float | None) -> Iterator[tuple[str, str]]:
    name = label("mass_kg")
    if kind == AS_WEIGHED and typed_kg is None:
        yield "mass_kg", _("%(label)s: give what the scales said, or its maker.", label=name)
    if worked_kg is None:
        return
    if worked_kg > HEAVIEST_KG:
        yield (
            "mass_kg",
            _(
                "%(label)s: these sizes come to %(worked)s kg. Allowed is at most %(most)s kg.",
                label=name,
                worked=written(worked_kg, 1),
                most=written(HEAVIEST_KG),
            ),
        )
    elif typed_kg is not None and abs(typed_kg - worked_kg) > max(ANOTHER_SHARE * worked_kg, ANOTHER_KG):
        yield (
            "mass_kg",
            _(
                "%(label)s: %(typed)s kg is typed, and its sizes come to %(worked)s kg. Which is right? Leave the "
                "weight blank to go by the sizes; choose “%(as_weighed)s” to go by the weight.",
                label=name,
                typed=written(typed_kg),
                worked=written(worked_kg, 2),
                as_weighed=MADE_AS_WORDS[AS_WEIGHED],
            ),
        )


@cache
def _row() -> BuildUpRow:
    """One row for its labels; nothing is read from it."""
    return BuildUpRow()
