"""The pieces of the demo as their particulars say them; every value is invented."""

from __future__ import annotations

from typing import Any

from seed_demo.people import WHO

CARE = (
    "Dust with a soft brush, twice a year. Marks: a cloth damp with clean water, then dry.\n"
    "Look at the nut marks once a year."
)
NEVER = "No solvent, no wax, no steam. Nothing hung on it, nothing leant against it."
HAZARDS = "Drilling or sanding gives glass dust and styrene smell: dust mask, extraction. Burns with dense black smoke."
DOWN = (
    "Two people on a platform, a third below who guides.\nUndo C and D first, then lift 20 mm straight up off hooks A "
    "and B and bring it forward.\nLay it on its back on blankets."
)
BUILD_UP = [
    {"material": "Mineral face coat", "thickness_mm": 0.6, "mass_kg": 1.4, "note": "lime-silicate, brushed"},
    {"material": "Filled polyester gelcoat", "thickness_mm": 0.8, "mass_kg": 2.3, "note": None},
    {
        "material": "Glass mat laminate, 3 × 450 g/m²",
        "thickness_mm": 3.2,
        "mass_kg": 8.7,
        "note": "polyester, hand lay-up",
    },
    {
        "material": "Steel frame, 30 × 30 × 2",
        "thickness_mm": None,
        "mass_kg": 9.6,
        "note": "galvanised, bonded and laminated over",
    },
]
LIME = [
    {"material": "Lime face, pigmented", "thickness_mm": 2.0, "mass_kg": 4.2, "note": None},
    {"material": "Glass-fibre reinforced lime", "thickness_mm": 8.0, "mass_kg": 16.4, "note": None},
    {"material": "Steel frame, 30 × 30 × 2", "thickness_mm": None, "mass_kg": 9.0, "note": "mechanically fixed"},
]


def _points(width: float, height: float) -> list[dict[str, Any]]:
    """Two hooks at the top that carry, two bolts at the bottom that hold it in and down."""
    hook = {"hole_mm": 16.0, "bolt_mm": 12.0, "holds": "hook", "edge_mm": 32.0, "note": "hook over, carries"}
    bolt = {"hole_mm": 16.0, "bolt_mm": 12.0, "holds": "bolt", "edge_mm": 32.0, "note": "holds in"}
    return [
        {"label": "A", "x_mm": 180.0, "y_mm": height - 120} | hook,
        {"label": "B", "x_mm": width - 180, "y_mm": height - 120} | hook,
        {"label": "C", "x_mm": 180.0, "y_mm": 120.0} | bolt,
        {"label": "D", "x_mm": width - 180, "y_mm": 120.0} | bolt,
    ]


def _rails(width: float, height: float) -> list[dict[str, Any]]:
    """Two bevelled rails, each screwed on at both ends; a lock at the bottom holds it to the sides and down."""
    rail = {"hole_mm": 14.0, "bolt_mm": 12.0, "holds": "rail", "bevel_deg": 45.0, "edge_mm": 32.0, "note": "rail"}
    ends = [
        {"label": f"{name}{end}", "x_mm": x, "y_mm": y, "fails_with": f"rail {name}"} | rail
        for name, y in (("A", height - 110), ("B", height - 520))
        for end, x in (("1", 210.0), ("2", width - 210))
    ]
    lock = {"label": "C", "x_mm": width / 2, "y_mm": 90.0, "hole_mm": 14.0, "bolt_mm": 10.0, "holds": "bolt"}
    return [*ends, lock | {"edge_mm": 32.0, "note": "lock"}]


def _said(
    title: str,
    kind: str,
    about: str,
    size: tuple[float, float, float],
    weight: tuple[float, str, str] | None,
    *,
    build_up: list[dict[str, Any]] | None = None,
    points: list[dict[str, Any]] | None = None,
    **own: Any,
) -> dict[str, Any]:
    width, height, depth = size
    kg, origin, note = weight or (None, None, None)
    fields: dict[str, Any] = {
        "title": title,
        "object_type": kind,
        "description": about,
        "materials": "Glass-reinforced polyester shell, mineral face coat, galvanised steel frame",
        "made_on": "2026",
        "width_mm": width,
        "height_mm": height,
        "depth_mm": depth,
        "mass_kg": kg,
        "mass_origin": origin,
        "mass_note": note,
        "lift_people": 3,
        "way_up": "Waterline at the bottom; arrow on the back points up.",
        "take_down": DOWN,
        "finish": "Mineral wash in two tones, matt",
        "fire_class": None,
        "fire_evidence": None,
        "fire_covers": None,
        "heat_limit_c": 50.0,
        "keep_away": "Picture lights nearer than 300 mm; radiators below.",
        "care": CARE,
        "care_never": NEVER,
        "hazards": HAZARDS,
        "who_to_ask": WHO,
        "stands": "on points",
        "near_heat": False,
    }
    return {
        "fields": fields | own,
        "build_up": BUILD_UP if build_up is None else build_up,
        "hanging_points": _points(width, height) if points is None else points,
    }


SCALES = "platform scales, 4 Nov 2026"
PIECES: dict[str, dict[str, Any]] = {
    "dunlins": _said(
        "Three dunlins at the turn of the tide",
        "Wall relief",
        "Three wading birds facing the ebb, in low relief over a ribbed strand.",
        (1840.0, 1210.0, 96.0),
        (24.6, "weighed", SCALES),
    ),
    "curlew": _said(
        "Curlew, listening",
        "Wall relief",
        "A single curlew, head turned; companion to the dunlins.",
        (1420.0, 1210.0, 104.0),
        (19.8, "weighed", SCALES),
        build_up=BUILD_UP[:3],
    ),
    "avocets": _said(
        "Two avocets sweeping",
        "Wall relief",
        "Two avocets with their bills in the shallows; hangs on two bevelled rails.",
        (1620.0, 1010.0, 88.0),
        (22.1, "weighed", SCALES),
        stands="on rails",
        take_down="Two people lift it 25 mm straight up off both rails together, then bring it forward. A third below.",
        points=_rails(1620.0, 1010.0),
    ),
    "sandpipers": _said(
        "Sandpipers running before a wave",
        "Wall relief",
        "Five sandpipers at the edge of the water.",
        (2010.0, 820.0, 90.0),
        (23.3, "weighed", SCALES),
    ),
    "turnstone": _said(
        "Turnstone",
        "Wall relief",
        "One turnstone among pebbles, made as a trial for the series.",
        (760.0, 610.0, 72.0),
        (8.4, "weighed", "bench scales, 11 Sep 2024"),
        made_on="2024",
        lift_people=1,
    ),
    "knots": _said(
        "Knots rising",
        "Wall relief",
        "A flock leaving the strand, in very low relief.",
        (1740.0, 1110.0, 60.0),
        (20.7, "weighed", SCALES),
    ),
    "herons": _said(
        "Two herons over the hearth",
        "Overmantel relief",
        "A pair of herons facing each other above a wood stove.",
        (1560.0, 780.0, 120.0),
        (31.0, "estimated", "from the build-up; to be weighed before the van"),
        build_up=LIME,
        materials="Cast lime and glass fibre shell, steel frame, no foam behind the flue breast",
        fire_class="A2-s1,d0 (EN 13501-1), as the report says it",
        fire_evidence="Report IV-2026-118, invented test house, 3 Sep 2026",
        fire_covers="A flat coupon 8 mm thick without paint. Not the piece, its frame, its bond or its finish.",
        heat_limit_c=60.0,
        keep_away="No fire until the heat test is done. Keep the stove's own plate distances.",
        near_heat=True,
    ),
    "grebes": _said(
        "Two grebes on still water",
        "Overmantel relief",
        "A pair of grebes above the wood stove of a kitchen.",
        (1380.0, 760.0, 95.0),
        (19.4, "weighed", SCALES),
        fire_class="B-s1,d0 (EN 13501-1), as the report says it",
        fire_evidence="Report IV-2026-204, invented test house, 19 Aug 2026",
        fire_covers="A coupon 5 mm thick with two coats. Not the piece, its foam, its bond or its fixings.",
        heat_limit_c=75.0,
        finish="Warm-wall glaze, two coats, sponge-dabbed",
        keep_away="Nothing within 300 mm of the stove; picture lights nearer than 300 mm.",
        near_heat=True,
    ),
    "shoal": _said(
        "Forty bleak, turning",
        "Suspended group",
        "Forty small fish in patinated copper on steel rods, hung from one beam.",
        (3400.0, 2600.0, 1900.0),
        (46.0, "estimated", "fish counted and weighed by tens; the beam from its table"),
        materials="Copper sheet, patinated; stainless rods; painted steel beam",
        finish="Patina, waxed",
        stands="suspended",
        take_down="By a rigger from above; nobody below.",
        lift_people=4,
        points=[],
        build_up=[],
    ),
    "whelk": _said(
        "Whelk",
        "Free-standing shell",
        "A whelk's shell as tall as a person, hollow, on a weighted foot.",
        (980.0, 1720.0, 940.0),
        (61.5, "weighed", SCALES),
        stands="free-standing",
        take_down="Unscrew the foot from below, tip it onto the cradle with four people; never by its lip.",
        lift_people=4,
        points=[],
    ),
}
