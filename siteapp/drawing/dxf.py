"""The fixing template as a DXF, for whoever has a plotter, a laser or a drawing program: millimetres, full size."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING, Any

from siteapp.drawing.svg import clean
from siteapp.drawing.template import size_words, trimmed

if TYPE_CHECKING:
    from siteapp.drawing.plan import PlanPoint
    from siteapp.drawing.template import Say, Template

OUTLINE, POINTS, CENTRES = "outline", "hanging points", "centre marks"
LABELS, LEVEL, DATUM, WORDS = "labels", "level line", "datum", "words"
# Layer → colour by the index that all readers share (7 is black on white paper and white on a dark screen).
LAYERS = {OUTLINE: 7, POINTS: 1, CENTRES: 8, LABELS: 7, LEVEL: 5, DATUM: 3, WORDS: 7}
VERSION = "R2010"  # UTF-8, and older than any reader still in use
LETTER_MM, LINE_MM = 8.0, 13.0
BEYOND_MM = 15.0  # how far a centre mark reaches beyond its hole
LEVEL_BEYOND_MM = 100.0  # how far the level line reaches beyond the outline on either side
HALF_TURN = 1.0  # the bulge of a half circle: the tangent of a quarter of its angle


def template_dxf(template: Template, say: Say) -> bytes:
    """Draw a template as a DXF file (R2010, UTF-8, `$INSUNITS` millimetres), x right and y up seen from the front.

    (0, 0) is the outline's lower left corner, wherever the datum lies.
    Layers are named in plain words. A hole is a circle of its own size with centre marks, a slot a closed polyline with
    bulges, a point of unknown size only its marks. Figures must be finite.
    """
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new(VERSION, units=units.MM, setup=["linetypes"])
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour, linetype="CENTER" if name == LEVEL else "CONTINUOUS")
    # Chain lines are made for inches; their dashes would be too short to be seen at this size.
    document.header["$LTSCALE"] = 10.0
    space = document.modelspace()
    wide, high = template.width_mm, template.height_mm
    if wide and high:
        space.add_lwpolyline([(0, 0), (wide, 0), (wide, high), (0, high)], close=True, dxfattribs={"layer": OUTLINE})
    _level_and_datum(space, template, say)
    for point in template.points:
        _point(space, template, point, say)
    top = template.field[3]
    for line, words in enumerate(
        (
            template.heading,
            say("Fixing template, full size, in millimetres"),
            say("As seen from the front: hold against the wall as it is drawn"),
            say("Positions are measured from the datum"),
        )
    ):
        _write(space, words, 0, top + LEVEL_BEYOND_MM - line * LINE_MM, WORDS)
    stream = io.StringIO()
    document.write(stream)
    return document.encode(stream.getvalue())


def _level_and_datum(space: Any, template: Template, say: Say) -> None:
    left, _bottom, right, _top = template.field
    level, (x, y) = template.level_mm, template.datum
    space.add_line((left - LEVEL_BEYOND_MM, level), (right + LEVEL_BEYOND_MM, level), dxfattribs={"layer": LEVEL})
    words = say("level line, %s mm above the datum") % trimmed(level - y)
    _write(space, words, right + BEYOND_MM, level + LETTER_MM / 2, LEVEL)
    space.add_circle((x, y), BEYOND_MM / 2, dxfattribs={"layer": DATUM})
    _cross(space, x, y, BEYOND_MM, DATUM)
    where = template.datum_words or say("lower left corner of the piece")
    _write(space, say("datum: %s") % where, x, y - BEYOND_MM - LETTER_MM, DATUM)


def _point(space: Any, template: Template, point: PlanPoint, say: Say) -> None:
    x, y, hole = point.x_mm, point.y_mm, point.hole_mm
    reach = ((hole or 0.0) + point.slot_mm) / 2
    if hole and point.slot_mm > 0:
        space.add_lwpolyline(_slot(point, hole), format="xyb", close=True, dxfattribs={"layer": POINTS})
    elif hole:
        space.add_circle((x, y), hole / 2, dxfattribs={"layer": POINTS})
    _cross(space, x, y, reach + BEYOND_MM, CENTRES)
    # Towards the middle of the piece, where there is room.
    left, _bottom, right, _top = template.field
    leftward = x > (left + right) / 2
    beside = reach + LETTER_MM / 2
    across, up = template.from_datum(point)
    place = say("x %(x)s  y %(y)s from the datum") % {"x": trimmed(across), "y": trimmed(up)}
    for line, words in enumerate((point.label, place, size_words(point, say), point.note)):
        if words:
            at = y - LETTER_MM * 1.5 - line * LINE_MM
            _write(space, words, x - beside if leftward else x + beside, at, LABELS, ends=leftward)


def _slot(point: PlanPoint, across: float) -> list[tuple[float, float, float]]:
    """The corners of a slot against the clock, each with the bulge of what follows it."""
    half, radius, turn = point.slot_mm / 2, across / 2, math.radians(point.slot_deg)
    corners = ((-half, -radius, 0.0), (half, -radius, HALF_TURN), (half, radius, 0.0), (-half, radius, HALF_TURN))
    return [
        (
            point.x_mm + along * math.cos(turn) - side * math.sin(turn),
            point.y_mm + along * math.sin(turn) + side * math.cos(turn),
            bulge,
        )
        for along, side, bulge in corners
    ]


def _cross(space: Any, x: float, y: float, reach: float, layer: str) -> None:
    space.add_line((x - reach, y), (x + reach, y), dxfattribs={"layer": layer})
    space.add_line((x, y - reach), (x, y + reach), dxfattribs={"layer": layer})


def _write(space: Any, words: str, x: float, y: float, layer: str, *, ends: bool = False) -> None:
    """Write one line that begins at a place, or that `ends` there."""
    from ezdxf.enums import TextEntityAlignment

    text = space.add_text(_literal(words), height=LETTER_MM, dxfattribs={"layer": layer})
    text.set_placement((x, y), align=TextEntityAlignment.RIGHT if ends else TextEntityAlignment.LEFT)


def _literal(words: str) -> str:
    """Words as they stand: what readers take for codes of their own is broken up."""
    return clean(words).replace("^", "^ ").replace("%%", "% %").replace("\\U+", "\\ U+").replace("\\M+", "\\ M+")
