"""What the demo's people did and said, piece by piece; every value is invented."""

from __future__ import annotations

from typing import Any

from seed_demo.people import WHO, WORKSHOP

SHEET = "data sheet of the invented product, March 2026"
WASH: dict[str, Any] = {
    "name": "Saltmarsh mineral wash (invented)",
    "maker": "Tideway Colours (invented)",
    "what": "Water-borne lime-silicate wash",
    "sheet": SHEET,
    "hazards": "Alkaline: irritates eyes and skin. As on the tin: keep from children; rinse eyes at once with water.",
    "protection": "Gloves, closed goggles; a mask P2 when it is sprayed.",
    "ventilation": "Windows open while it dries; nobody else in the room while it is sprayed.",
    "room_again_hours": 6.0,
    "recoat_hours": 4.0,
    "air_min_c": 8.0,
    "air_max_c": 30.0,
    "surface_min_c": 8.0,
    "surface_max_c": 30.0,
    "humidity_min": 0.0,
    "humidity_max": 80.0,
    "margin_limit_c": 3.0,
    "touch_up": "One part to four of water, dabbed with a sponge, edges feathered wet.",
    "keeps_until": "Six months once opened, frost-free.",
    "dropped": False,
    "volume_solids_percent": 34.0,
    "density_g_ml": 1.42,
    "target_um": 25.0,
    "target_most_um": 60.0,
    "thinner": "Water",
    "thinned_most_percent": 20.0,
    "opened_months": 6,
}
FILLER: dict[str, Any] = dict.fromkeys(WASH) | {
    "name": "Ebb joint filler (invented)",
    "maker": "Tideway Colours (invented)",
    "what": "Acrylic filler, water-borne",
    "sheet": "data sheet of the invented filler, January 2026",
    "hazards": "None on the tin. Sanding dust: mask P2.",
    "dropped": False,
}
BATCHES: dict[str, list[dict[str, Any]]] = {
    "wash": [
        {"number": "SM-0417", "expires_on": "2027-03-31", "opened_on": None, "note": None},
        {
            "number": "SM-0388",
            "expires_on": "2026-02-28",
            "opened_on": "2025-09-01",
            "note": "old tin, for trials only",
        },
    ],
    "filler": [{"number": "EF-12", "expires_on": "2027-09-30", "opened_on": None, "note": None}],
}

AGREED: dict[str, list[dict[str, Any]]] = {
    "dunlins": [
        {
            "about": "stage",
            "what": "The clay model at full size",
            "agreed_on": "2026-07-14",
            "agreed_by": "M. Solway (invented)",
            "said": "The third bird may look back. Otherwise yes.",
            "evidence": "Visit to the workshop, drawing signed",
        },
        {
            "about": "change",
            "what": "Depth 96 mm in place of 110 mm, for the door of the reading room",
            "agreed_on": "2026-08-02",
            "agreed_by": "M. Solway (invented)",
            "said": "Agreed.",
            "evidence": "Letter of 2 August",
        },
    ],
    "herons": [
        {
            "about": "stage",
            "what": "The colour sample, warm grey over bone",
            "agreed_on": "2026-10-21",
            "agreed_by": "I. Penhallow (invented)",
            "said": "This one, by lamplight too.",
            "evidence": "Sample signed on its back",
        }
    ],
}

CRATES: dict[str, dict[str, Any]] = {
    key: {
        "width_mm": width,
        "height_mm": height,
        "depth_mm": depth,
        "gross_kg": gross,
        "gross_origin": "weighed",
        "way_up": "Arrow on all four sides; long edge down.",
        "shock_indicator": "one that trips at 25 g, number 118",
        "tilt_indicator": "one that trips at 80°, number 42",
        "acclimatise_hours": 2.0,
        "note": None,
    }
    for key, width, height, depth, gross in (
        ("grebes", 1540.0, 930.0, 240.0, 44.0),
        ("dunlins", 2000.0, 1380.0, 240.0, 61.0),
        ("curlew", 1580.0, 1380.0, 250.0, 52.0),
        ("avocets", 1780.0, 1170.0, 230.0, 54.5),
        ("sandpipers", 2170.0, 980.0, 240.0, 56.0),
        ("knots", 1900.0, 1270.0, 210.0, 53.0),
        ("whelk", 1140.0, 1900.0, 1100.0, 118.0),
    )
}

# What is read where a line of a list asks for a figure, by the line's key.
READINGS: dict[str, float] = {
    "level": 1.0,
    "lift-load": 630.0,
    "floor-load": 4.0,
    "rail-straight": 1.0,
    "stands-firm": 0.2,
    "upright": 1.0,
}
INSTRUMENTS: dict[str, str] = {
    "level": "laser line and steel rule",
}
NOTES: dict[str, str] = {
    "detection": "The caretaker isolates loop 3 from 9 to 17 and puts it back.",
    "hands-and-aids": "Three on two platforms, one calling from the floor.",
    "who-opens": "The caretaker, from 8; van at the rear door.",
}
FIRST_ANSWERS: list[tuple[str, dict[str, Any]]] = [
    (
        "anchors-proved",
        {"verdict": "cannot tell", "note": "The puller's gauge is away for calibration; back tomorrow."},
    ),
]
CONSENT = "The owner's letter is on its way; the harbour master said yes by telephone and is at the site."

ARRIVAL: dict[str, Any] = {
    "found": "nothing found",
    "shock": "not tripped",
    "tilt": "not tripped",
    "note": "Carried in by three through the goods lift.",
}
CHIPPED: dict[str, Any] = {
    "found": "something found",
    "shock": "tripped",
    "tilt": "not tripped",
    "note": "Shock indicator tripped; the lower right corner is chipped. Set down and photographed first.",
}
UNWRAP: dict[str, Any] = {
    "piece_c": 17.5,
    "air_c": 20.0,
    "relative_humidity": 55.0,
    "instrument": "hygrometer with surface probe",
}
LIMITS = (
    "air_min_c", "air_max_c", "surface_min_c", "surface_max_c", "humidity_min", "humidity_max", "margin_limit_c",
)  # fmt: skip
CLIMATE: dict[str, Any] = {
    "air_c": 20.5, "relative_humidity": 55.0, "surface_c": 18.5,
    "instrument": "hygrometer with surface probe",
    "air_error_c": 0.5, "humidity_error": 3.0, "surface_error_c": 1.0,
    "product": WASH["name"], "limits_source": SHEET,
} | {name: WASH[name] for name in LIMITS}  # fmt: skip
VENTILATION = "Two windows open, door shut with a notice; nobody else in the room."
CLOSE: dict[str, Any] = {
    "note": "Joint no longer to be seen from 1 m in raking light.",
    "client_words": "“Yes. That is the colour of the sample.”",
    "client_yes": True,
    "client_name": "Marguerite Solway (invented)",
}
HAIRLINE = "A hairline of 40 mm at the joint below the second bird; seen only in raking light."
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
    "subject": "Wading birds of the tide line.",
    "inscriptions": "“IM 26” incised in the lower right corner; the number on the back label.",
    "distinguishing": "A repaired air bubble behind the second bird, seen in raking light.",
    "tools": "Torque wrench 5 to 25 N m with 19 mm socket\nSpirit level 600 mm",
    "touch_up": "Mineral wash SM-0417, one part to four of water, dabbed with a sponge. Keeps until March 2027.",
    "expected_wear": "Edges within reach will polish in some years. Hairlines along the joint are not a fault.",
    "inspections": "November 2027, then each second year: nut marks, joint, face.",
    "copyright_line": "© Ines Marrow 2026 (invented). Reproduction only with the maker's consent.",
    "moral_rights": "The maker asserts the right to be named and to object to alteration of the work.",
    "site_photos": True,
}
