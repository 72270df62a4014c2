"""A stove below a piece: its plate, distances, evidence, limits, and a heat test with its log. Values invented."""

from __future__ import annotations

import math
from datetime import UTC, timedelta
from typing import TYPE_CHECKING, Any

from siteapp.heat.appliance import services as appliance
from siteapp.heat.evidence import services as evidence
from siteapp.heat.testing import logs
from siteapp.heat.testing import services as testing
from siteapp.heat.testing.state import heat_test_now
from siteapp.marks.services import Mark

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from seed_demo.filling import Filling
    from siteapp.store.entries import Writer

STOVE: dict[str, Any] = dict.fromkeys(appliance.ApplianceFacts.__annotations__) | {
    "kind": "stove", "model": "Ember Five (invented)", "serial": "EF-40217", "fuel": "wood", "output_kw": 5.0,
    "country": "England", "instructions": "leaflet of the invented stove, 2025", "plate_above_mm": 450.0,
    "plate_beside_mm": 300.0, "plate_front_mm": 900.0, "opening_width_mm": 820.0, "opening_height_mm": 760.0,
    "opening_floor_mm": 0.0, "flue": "Into the chimney behind it; no bare pipe in the room.",
    "commissioned": "paper seen", "commissioning": "paper 2211 of 3 Nov 2026, by an invented installer",
    "seen_by": "Tobin Ashfield", "seen_on": "2026-11-10",
}  # fmt: skip
THINGS: list[Any] = [
    dict.fromkeys(appliance.ThingFacts.__annotations__) | told
    for told in (
        {"thing": "the piece, lower edge", "place": "above", "distance_mm": 620.0,
         "projection_mm": 95.0, "combustible": True},
        {"thing": "batten behind it", "place": "above", "distance_mm": 690.0,
         "projection_mm": 20.0, "combustible": True},
        {"thing": "log shelf", "place": "right", "distance_mm": 410.0, "projection_mm": 260.0, "combustible": True},
        {"thing": "stone cheek", "place": "left", "distance_mm": 60.0, "projection_mm": 40.0, "combustible": False,
         "known_from": "limestone, sawn"},
    )
]  # fmt: skip
MEASURED = {"measured_by": "Tobin Ashfield", "measured_on": "2026-11-10", "tape": "steel tape 3", "note": None}
REPORT: dict[str, Any] = {
    "tested": "coupon", "tested_words": "5 mm shell, two coats, on a mineral board", "report": "IV-2026-204",
    "laboratory": "invented test house", "standard": "EN 13501-1", "result": "B-s1,d0", "reported_on": "2026-08-19",
    "covers": "The shell as laid up, with the glaze, 5 mm or thicker.", "note": None, "dropped": False,
    "covers_not": "Not the piece: its joints, edges, foam, the bond of its plates and its fixings were not tested.",
}  # fmt: skip
LIMITS: list[Any] = [
    {"part": part, "named": named, "absent": limit is None, "limit_c": limit, "known_from": known, "document": paper}
    for part, named, limit, known, paper in (
        ("laminate", "vinylester (invented)", 80.0, "data sheet", "sheet of March 2026: HDT 105 °C"),
        ("bond", "plate adhesive (invented)", 75.0, "data sheet", "sheet of January 2026"),
        ("foam", None, None, None, None),
        ("coat", "warm-wall glaze (invented)", 80.0, "data sheet", "sheet of May 2026"),
        ("anchor resin", "GR-300 (invented)", 60.0, "approval document", "approval 26/0413 (invented), range T1"),
    )
]
TEST: dict[str, Any] = {
    "fuel": "split ash, 16 % damp, 1.4 kg a charge", "by_hand": True, "output": "rated output",
    "output_from": "air slide at the mark of its leaflet, flue gas thermometer at 290 °C", "room_c": 19.5,
    "hottest_room_c": 27.0, "hottest_from": "the household's own thermometer, last August", "margin_c": 10.0,
    "watched_by": "Tobin Ashfield", "note": None,
}  # fmt: skip
# Label, where, what it leads to, time constant in min, how far it swings with each charge.
PROBES = (
    ("P1", "face", "lower edge, middle", 47.0, 16.0, 2.0),
    ("P2", "back", "behind the lower edge", 38.0, 24.0, 0.8),
    ("P3", "bond", "plate C", 34.0, 26.0, 0.5),
    ("P4", "anchor", "anchor C, through the hole", 27.0, 28.0, 0.3),
)
CHARGE_MIN, FIRED_MIN, LOGGED_MIN, EVERY_MIN = 45.0, 225.0, 300.0, 5.0


def described(go: Filling, key: str) -> None:
    """Appliance, distances, evidence and limits."""
    seen = go.photos(("stove plate", appliance.PLATE), ("stove", appliance.APPLIANCE))
    go.of_piece(key, "appliance", appliance.record_appliance, facts=STOVE, photos=seen)
    tape = go.photos(("stove", appliance.TAPE))
    go.of_piece(key, "distances", appliance.record_distances, facts=MEASURED, things=THINGS, photos=tape)
    go.of_piece(key, "fire evidence", evidence.record_evidence, facts=REPORT)
    go.of_piece(key, "heat limits", evidence.record_limits, limits=LIMITS)


def tested(go: Filling, key: str) -> None:
    """A fire of four charges, logged through the peak after it, and ended."""
    lit = go.clock + timedelta(minutes=4)
    seen = go.photos(("grebes after", testing.PROBES), ("stove lit", testing.PROBES))
    spots = [Mark(seen[0].sha256, x, y) for x, y in ((0.5, 0.82), (0.52, 0.88), (0.5, 0.2), (0.55, 0.24))]
    rows: list[Any] = [
        {
            "label": label,
            "spot": spot,
            "placed": where,
            "thermometer": "four-channel logger 1 (invented)",
            "error_c": 1.0,
        }
        for label, spot, where, *_law in PROBES
    ]
    facts = TEST | {"lit_at": lit.astimezone(UTC).isoformat()}
    told = {"facts": facts, "probes": rows, "photos": seen, "marks": spots}
    test_id = go.of_piece(key, "heat test", testing.begin, **told)
    for number in range(1, 5):
        event = {"test_id": test_id, "what": "refuelled", "at": CHARGE_MIN * number}
        go.of_piece(key, f"fuel {number}", _happened, **event)
    shut = {"test_id": test_id, "what": "shut down", "at": FIRED_MIN}
    go.of_piece(key, "shut down", _happened, **shut)
    text = _log()
    with go.store.read() as session:
        test = heat_test_now(session, go.piece(session, key).piece_id, test_id)
        found = logs.read_log(text, lit_at=test.lit_at.astimezone())  # type: ignore[union-attr]
    points = {column.name: column.points for column in found.columns}
    log = {"test_id": test_id, "file_name": "logger-1.csv", "text": text, "points": points, "left_out": None}
    go.of_piece(key, "log", testing.record_log, reader=logs.READER, minutes=310, **log)
    go.of_piece(key, "test ended", testing.end, test_id=test_id)


def _happened(session: Session, writer: Writer, *, at: float, **told: Any) -> str:
    return testing.record_event(session, writer, minutes=at, **told)


def _log() -> str:
    """The logger's file: minutes and four probes, decimal commas, as such loggers write it."""
    lines = ["min;" + ";".join(label for label, *_rest in PROBES)]
    for step in range(int(LOGGED_MIN / EVERY_MIN) + 1):
        at = step * EVERY_MIN
        cells = [f"{_celsius(at, leads, tau, swing):.1f}".replace(".", ",") for *_words, leads, tau, swing in PROBES]
        lines.append(f"{at:g};" + ";".join(cells))
    return "\n".join(lines)


def _celsius(at: float, leads: float, tau: float, swing: float) -> float:
    """Warming with each charge's flare while it burns; a late peak and cooling after."""
    begun, burning = 19.5, min(at, FIRED_MIN)
    warm = leads - (leads - begun) * math.exp(-burning / tau) + swing * math.sin(2 * math.pi * burning / CHARGE_MIN)
    after = at - FIRED_MIN
    if after <= 0:
        return warm
    late = 1.5 * math.sin(min(after / 30, 1) * math.pi) if tau > 20 else 0.0
    return begun + (warm - begun) * math.exp(-max(0.0, after - 10) / (3 * tau)) + late
