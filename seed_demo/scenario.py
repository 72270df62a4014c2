"""The demo's words and figures. People, firms, places, products and values are all invented."""

from __future__ import annotations

from typing import Any

SIGN_IN = [
    ("Ines Marrow", "maker", "tide pool lantern moss"),
    ("Tobin Ashfield", "fitter", "copper ladder quiet rain"),
    ("Wren Oakhollow", "fitter", "seven grey pebbles warm"),
]
WORKSHOP = "Marrow & Tide, reliefs (invented)"
LINK_BASE = "https://example.org"
WHO = "Marrow & Tide, invented workshop\n+44 1632 960 417"  # a number from a range kept for fiction

JOBS: dict[str, Any] = {
    "birds": {
        "title": "Shore birds for a reading room",
        "client": "Friends of Saltmarsh Library (invented)",
        "place": "a public library on an estuary",
        "address": "1 Quay Steps, Saltmarsh (invented)",
        "access_notes": "Goods lift at the rear, 1.1 m wide. Alarm to be switched off at the desk.",
        "brief": "Invented for the demo. Reliefs of wading birds for the long wall of the reading room.",
    },
    "hearth": {
        "title": "Overmantel for a stove room",
        "client": "The Penhallow household (invented)",
        "place": "a private house",
        "address": "Penhallow, Upper Lane (invented)",
        "access_notes": "Narrow stair with one turn. Shoes off.",
        "brief": "Invented for the demo. A relief above a wood stove.",
    },
}


def _points(width: float, height: float) -> list[dict[str, Any]]:
    return [
        {"label": "A", "x_mm": 180.0, "y_mm": height - 120, "hole_mm": 13.0, "note": "hook over, carries"},
        {"label": "B", "x_mm": width - 180, "y_mm": height - 120, "hole_mm": 13.0, "note": "hook over, carries"},
        {"label": "C", "x_mm": 180.0, "y_mm": 120.0, "hole_mm": 11.0, "note": "holds in"},
        {"label": "D", "x_mm": width - 180, "y_mm": 120.0, "hole_mm": 11.0, "note": "holds in"},
    ]


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


def _fields(**own: Any) -> dict[str, Any]:
    common: dict[str, Any] = {
        "description": None,
        "materials": "Glass-reinforced polyester shell, mineral face coat, galvanised steel frame",
        "made_on": "2026",
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
    }
    return common | own


DUNLINS: dict[str, Any] = {
    "fields": _fields(
        title="Three dunlins at the turn of the tide",
        object_type="Wall relief",
        description="Three wading birds facing the ebb, in low relief over a ribbed strand.",
        width_mm=1840.0, height_mm=1210.0, depth_mm=96.0,
        mass_kg=24.6, mass_origin="weighed", mass_note="platform scales, 4 Nov 2026",
    ),
    "build_up": BUILD_UP,
    "hanging_points": _points(1840, 1210),
}  # fmt: skip
CURLEW: dict[str, Any] = {
    "fields": _fields(
        title="Curlew, listening",
        object_type="Wall relief",
        description="A single curlew, head turned; companion to the dunlins.",
        width_mm=1420.0, height_mm=1210.0, depth_mm=104.0,
        mass_kg=19.8, mass_origin="weighed", mass_note="platform scales, 4 Nov 2026",
    ),
    "build_up": BUILD_UP[:3],
    "hanging_points": _points(1420, 1210),
}  # fmt: skip
OVERMANTEL: dict[str, Any] = {
    "fields": _fields(
        title="Two herons over the hearth",
        object_type="Overmantel relief",
        description="A pair of herons facing each other above a wood stove.",
        materials="Cast lime and glass fibre shell, steel frame, no foam behind the flue breast",
        width_mm=1560.0, height_mm=780.0, depth_mm=120.0,
        mass_kg=31.0, mass_origin="estimated", mass_note="from the build-up; to be weighed before the van",
        fire_class="A2-s1,d0 (EN 13501-1), as the report says it",
        fire_evidence="Report IV-2026-118, invented test house, 3 Sep 2026",
        fire_covers="A flat coupon 8 mm thick without paint. Not the piece, its frame, its bond or its finish.",
        heat_limit_c=60.0,
        keep_away="No fire until the heat test is done. Keep the stove's own plate distances.",
    ),
    "build_up": [
        {"material": "Lime face, pigmented", "thickness_mm": 2.0, "mass_kg": 4.2, "note": None},
        {"material": "Glass-fibre reinforced lime", "thickness_mm": 8.0, "mass_kg": 16.4, "note": None},
        {"material": "Steel frame, 30 × 30 × 2", "thickness_mm": None, "mass_kg": 9.0, "note": "mechanically fixed"},
    ],
    "hanging_points": _points(1560, 780),
}  # fmt: skip

ARRIVAL: dict[str, Any] = {
    "found": "nothing found",
    "shock": "not tripped",
    "tilt": "not tripped",
    "note": "Carried in by three through the goods lift; two hours in the room before it was opened.",
}
FIRST_ANSWERS: list[tuple[str, dict[str, Any]]] = [
    ("wall-as-asked", {"verdict": "met", "note": "Solid brick, trial hole 90 mm, no hollow."}),
    ("nothing-behind", {"verdict": "met", "instrument": "cable detector", "note": "One cable, 400 mm below point D."}),
    (
        "anchors-proved",
        {"verdict": "cannot tell", "note": "The puller's gauge is away for calibration; back tomorrow."},
    ),
]
ALL_ANSWERS: list[tuple[str, dict[str, Any]]] = [
    *FIRST_ANSWERS[:2],
    ("anchors-proved", {"verdict": "met", "reading": 2.4, "instrument": "anchor puller, 0–10 kN", "meter": "0240"}),
    ("hands-and-aids", {"verdict": "met", "note": "Three on two platforms, one calling from the floor."}),
    ("offered-up", {"verdict": "met"}),
    ("nuts-marked", {"verdict": "met", "meter": "0025"}),
    ("level", {"verdict": "met", "reading": 1.0, "instrument": "laser line and steel rule"}),
]
FINISHING: dict[str, Any] = {"zone": "whole face", "purpose": "joint line filled, two coats of mineral wash"}
SHEET = "data sheet of the invented product, March 2026"


def _climate(air: float, humidity: float, surface: float) -> dict[str, Any]:
    return {
        "air_c": air, "relative_humidity": humidity, "surface_c": surface,
        "instrument": "hygrometer with surface probe",
        "air_error_c": 0.5, "humidity_error": 3.0, "surface_error_c": 1.0,
        "product": "Saltmarsh mineral wash (invented)", "limits_source": SHEET,
        "air_min_c": 8.0, "air_max_c": 30.0, "surface_min_c": 8.0, "surface_max_c": 30.0,
        "humidity_min": 0.0, "humidity_max": 80.0, "margin_limit_c": 3.0,
    }  # fmt: skip


def _coat(number: int, wet_um: float) -> dict[str, Any]:
    return {
        "product": "Saltmarsh mineral wash (invented)", "batch": "SM-0417", "number": number, "zone": "whole face",
        "wet_um": wet_um, "recoat_hours": None, "reason": None, "note": None,
    }  # fmt: skip


COATS = [(_climate(20.5, 55, 18.5), "2055", _coat(1, 90.0)), (_climate(20.0, 57, 18.0), "2057", _coat(2, 80.0))]
CLOSE: dict[str, Any] = {
    "note": "Joint no longer to be seen from 1 m in raking light.",
    "client_words": "“Yes. That is the colour of the sample.”",
}
HANDOVER: dict[str, Any] = {
    "signed_name": "Marguerite Solway (invented)",
    "said": "I have seen the piece hanging and finished, and take it over.",
    "note": None,
}
CERTIFICATE: dict[str, Any] = {
    "maker": "Ines Marrow",
    "workshop": WORKSHOP,
    "place": "Saltmarsh (invented)",
    "contact": WHO,
    "touch_up": "Mineral wash SM-0417, one part to four of water, dabbed with a sponge. Keeps until March 2027.",
    "expected_wear": "Edges within reach will polish in some years. Hairlines along the joint are not a fault.",
    "inspections": "November 2027, then each second year: nut marks, joint, face.",
    "copyright_line": "© Ines Marrow 2026 (invented). Reproduction only with the maker's consent.",
    "moral_rights": "The maker asserts the right to be named and to object to alteration of the work.",
    "site_photos": True,
}
