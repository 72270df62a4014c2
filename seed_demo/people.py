"""Who is in the demo, and for whom they work. People, firms, places and numbers are all invented."""

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

JOBS: dict[str, dict[str, Any]] = {
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
    "stair": {
        "title": "A shoal for a stairwell",
        "client": "Lowwater Swimming Baths (invented)",
        "place": "a swimming bath",
        "address": "Bath Street, Lowwater (invented)",
        "access_notes": "Only before ten in the morning. The rigger's beam is certified each May.",
        "brief": "Invented for the demo. Forty fish on rods over four flights of stairs.",
    },
    "hall": {
        "title": "A whelk for an entrance hall",
        "client": "Harbour Trust (invented)",
        "place": "an office on a quay",
        "address": "Customs Quay, Saltmarsh (invented)",
        "access_notes": "Double door 1.6 m. Floor heating: nothing is drilled into the floor.",
        "brief": "Invented for the demo. A shell that stands by itself, as tall as a person.",
    },
}
CONTACTS: dict[str, list[dict[str, Any]]] = {
    "birds": [
        {"name": "Osric Dunmore (invented)", "role": "caretaker", "phone": "+44 1632 960 112", "note": "has the keys"},
        {"name": "Petra Lindqvay (invented)", "role": "wall contractor", "phone": "+44 1632 960 204", "note": None},
    ],
    "hearth": [{"name": "Imke Penhallow (invented)", "role": "owner", "phone": "+44 1632 960 331", "note": None}],
}
TO_BRING: dict[str, list[str]] = {
    "birds": ["Second platform", "Anchor puller, back from calibration", "Touch-up tin SM-0417"],
    "hearth": ["Floor scales", "Two moving blankets more"],
}
