"""The template as a DXF, opened again by ezdxf's own readers: sizes, places, layers and words."""

from __future__ import annotations

import io
import math
from typing import Any

import ezdxf
import pytest
from ezdxf import recover
from hypothesis import given, settings
from hypothesis import strategies as st

from siteapp.drawing import dxf
from siteapp.drawing.plan import PlanPoint
from siteapp.drawing.template import Template

POINTS = (
    PlanPoint("A", 120, 540.25, 12, note="upper left"),
    PlanPoint("B", 1360, 540, 12, 28, 30),
    PlanPoint("Ç 鳥 %%c ^J", 130, 80, None),
)
TEMPLATE = Template("W0RD-0000 · Waders (invented)", 1480, 620, POINTS, 540)


def opened(template: Template) -> Any:
    content = dxf.template_dxf(template, str)
    document, auditor = recover.read(io.BytesIO(content))
    assert not auditor.errors
    assert not auditor.fixes
    strict = ezdxf.read(io.StringIO(content.decode()))
    assert not strict.audit().errors
    assert len(strict.modelspace()) == len(document.modelspace())
    return document


def on(document: Any, layer: str, kind: str) -> list[Any]:
    return [one for one in document.modelspace() if one.dxf.layer == layer and one.dxftype() == kind]


def test_it_is_in_millimetres_and_says_from_where_it_is_seen() -> None:
    document = opened(TEMPLATE)
    # DXF reference (2012), header variables, from memory: $INSUNITS 4 = millimetres, $MEASUREMENT 1 = metric.
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    words = [text.plain_text() for text in on(document, dxf.WORDS, "TEXT")]
    assert words[0] == TEMPLATE.heading
    assert any("seen from the front" in line for line in words)
    assert {layer.dxf.name for layer in document.layers} >= set(dxf.LAYERS)


def test_the_outline_the_level_line_and_the_datum_are_where_they_belong() -> None:
    document = opened(TEMPLATE)
    (outline,) = on(document, dxf.OUTLINE, "LWPOLYLINE")
    assert outline.closed
    assert list(outline.vertices()) == [(0, 0), (1480, 0), (1480, 620), (0, 620)]
    (level,) = on(document, dxf.LEVEL, "LINE")
    assert (level.dxf.start.y, level.dxf.end.y) == (540, 540)
    assert level.dxf.start.x < 0
    assert level.dxf.end.x > 1480
    (datum,) = on(document, dxf.DATUM, "CIRCLE")
    assert datum.dxf.center.xyz == (0, 0, 0)


def test_a_hole_is_a_circle_of_its_size_with_a_centre_mark() -> None:
    document = opened(TEMPLATE)
    (hole,) = on(document, dxf.POINTS, "CIRCLE")
    assert hole.dxf.center.xyz == (120, 540.25, 0)
    assert hole.dxf.radius == 6
    crossing = [
        line for line in on(document, dxf.CENTRES, "LINE") if line.dxf.start.lerp(line.dxf.end).isclose((120, 540.25))
    ]
    assert len(crossing) == 2


def test_a_slot_is_as_long_and_as_wide_as_it_is() -> None:
    document = opened(TEMPLATE)
    (slot,) = on(document, dxf.POINTS, "LWPOLYLINE")
    assert slot.closed
    # Read by ezdxf: the flattened outline's extent along the slot and across it.
    turn = math.radians(30)
    flat = [
        (
            (p.x - 1360) * math.cos(turn) + (p.y - 540) * math.sin(turn),
            (p.y - 540) * math.cos(turn) - (p.x - 1360) * math.sin(turn),
        )
        for entity in slot.virtual_entities()
        for p in ([entity.dxf.start, entity.dxf.end] if entity.dxftype() == "LINE" else entity.flattening(0.0001))
    ]
    along, across = zip(*flat, strict=True)
    assert (min(along), max(along)) == (pytest.approx(-20, abs=1e-3), pytest.approx(20, abs=1e-3))
    assert (min(across), max(across)) == (pytest.approx(-6, abs=1e-3), pytest.approx(6, abs=1e-3))


def test_a_point_of_unknown_size_has_its_marks_and_says_so() -> None:
    document = opened(TEMPLATE)
    words = [text.plain_text() for text in on(document, dxf.LABELS, "TEXT")]
    assert "size not given" in words
    # What readers take for codes is written so that they do not.
    assert "Ç 鳥 % %c ^J" in words
    assert len(on(document, dxf.CENTRES, "LINE")) == 6


places = st.floats(-5000, 5000).map(lambda value: round(value, 2))
points = st.builds(
    PlanPoint,
    st.text(max_size=20),
    places,
    places,
    st.one_of(st.none(), st.floats(1, 60)),
    st.just(0) | st.floats(0.1, 120),
    st.floats(-180, 180),
    st.text(max_size=30),
)


@settings(max_examples=15)
@given(st.lists(points, max_size=6), st.text(max_size=40))
def test_whatever_is_typed_can_be_opened_again_with_every_hole_where_it_was(
    drawn: list[PlanPoint], heading: str
) -> None:
    document = opened(Template(heading, 900, 600, tuple(drawn), 0))
    circles = sorted(one.dxf.center.xyz[:2] for one in on(document, dxf.POINTS, "CIRCLE"))
    wanted = sorted((one.x_mm, one.y_mm) for one in drawn if one.hole_mm and not one.slot_mm)
    assert len(circles) == len(wanted)
    assert all(math.dist(one, other) < 1e-9 for one, other in zip(circles, wanted, strict=True))
