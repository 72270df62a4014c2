"""What each hanging piece of the demo hangs by and on: invented, from the scales to the nuts."""

from __future__ import annotations

import math
import random
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from siteapp.hanging.anchors import services as anchors
from siteapp.hanging.holes import services as holes
from siteapp.hanging.lifting import services as lifting
from siteapp.hanging.loads import services as loads
from siteapp.hanging.pack import services as pack
from siteapp.hanging.route import services as route
from siteapp.hanging.strength import services as strength
from siteapp.hanging.template import services as template
from siteapp.hanging.wall import services as wall
from siteapp.pieces.points.reading import places
from siteapp.pieces.weighing.services import record_weighing
from siteapp.trade.survey import suggest_readings
from siteapp.web.dates import now

if TYPE_CHECKING:
    from seed_demo.filling import Filling

MASON = "Petra Vale, Vale Masonry (invented)"
ENGINEER = "Odile Marsh, structural engineer (invented)"
ANCHOR = "Resin anchor M12 (invented)"
DOCUMENT = "Approval document IV-22/0417, brick Mz 20 (invented)"
CURING = ((5.0, 150.0), (10.0, 90.0), (20.0, 45.0), (30.0, 30.0))
PROOF_KN = 3.0
DRILL_MM, DEPTH_MM, TORQUE_NM = 16.0, 110.0, 20.0
TAPE_SD_MM = 0.4

WALL: dict[str, Any] = {
    "material": "solid masonry", "material_words": "fired brick in lime-cement mortar", "proved_by": "trial hole",
    "thickness_mm": 365.0, "sound": True, "gap_mm": 0.0, "studs": None, "lintels": "over the door, 900 mm to the right",
    "flue": "none in this wall", "bow_mm": 2.0, "plumb_mm_m": 1.0, "services_front": "none near",
    "services_back": "none near", "services_words": "one cable, plumb above the switch, 1.2 m to the left",
    "detector": "wall detector no. 3 (invented)", "consent": "in writing", "consent_by": "Library trust (invented)",
    "asbestos": "built after the ban", "asbestos_words": "wing of 2006", "found_by": MASON, "note": None,
}  # fmt: skip
TEMPLATE: dict[str, Any] = {
    "datum": "Left reveal of the window, on the line 1 m above the finished floor",
    "x_mm": 420.0, "y_mm": 380.0, "level_line": "laser line, marked at both ends of the wall", "level_mm": 0.0,
    "wall_asked": "solid masonry", "anchor": ANCHOR, "anchor_document": DOCUMENT, "drill_mm": DRILL_MM,
    "embedment_mm": DEPTH_MM, "torque_nm": TORQUE_NM, "proof_kn": PROOF_KN, "designed_by": ENGINEER, "note": None,
}  # fmt: skip
DOOR = {"second_mm": None, "slope_deg": None, "turn": None, "door_width_mm": None, "door_height_mm": None,
        "load_kg": None, "riders": None, "measured": True, "note": None}  # fmt: skip
STEPS: tuple[dict[str, Any], ...] = (
    DOOR | {"kind": "opening", "name": "Street door, both leaves", "width_mm": 1580.0, "height_mm": 2300.0},
    DOOR | {"kind": "passage", "name": "Hall", "width_mm": 1900.0, "height_mm": 2700.0},
    DOOR | {"kind": "opening", "name": "Reading room door", "width_mm": 1490.0, "height_mm": 2120.0},
)


def day(days_ago: int) -> str:
    """A day that many days ago, ISO 8601."""
    return (now().date() - timedelta(days=days_ago)).isoformat()


def weighed(go: Filling, key: str) -> None:
    """On three scales lying, and on edge."""
    with go.store.read() as session:
        piece = go.piece(session, key)
    said = piece.particulars
    width, height, depth, mass = said.width_mm, said.height_mm, said.depth_mm, said.mass_kg
    shares = ((0.15, 0.2, 0.31), (0.85, 0.2, 0.33), (0.5, 0.85, 0.36))
    lying = [
        {"x_mm": round(width * x), "y_mm": round(height * y), "mass_kg": round(mass * share, 1)}
        for x, y, share in shares
    ]
    on_edge = [
        {"z_mm": 10.0, "mass_kg": round(mass * 0.58, 1)},
        {"z_mm": depth - 10.0, "mass_kg": round(mass * 0.42, 1)},
    ]
    go.of_piece(
        key, "weighing", record_weighing, revises=piece.revision.id, scales="three platform scales, ±0.1 kg (invented)",
        lying=lying, on_edge=on_edge, photos=go.photos(("back", "scales")),
    )  # fmt: skip


def asked(go: Filling, key: str) -> None:
    """Where it goes and what is asked of whoever drills."""
    go.of_piece(key, "template", template.record, facts=TEMPLATE)


def proved(go: Filling, key: str) -> None:
    """Each hanging point pulled in the workshop."""
    with go.store.read() as session:
        labels = list(places(go.piece(session, key)))
    one = {
        "proof": "proof load", "bond_area_mm2": 14_400.0, "coupon_area_mm2": None, "proof_n": 4_000.0, "factor": None,
        "factor_why": None, "bond_service_c": 60.0, "plate_mm": 5.0, "proved_on": day(21),
        "proved_by": "Maren Holloway", "evidence": "pulled on the bench, gauge no. 2 (invented)",
    }  # fmt: skip
    points = [{"label": label} | one for label in labels]
    go.of_piece(key, "strength", strength.record, points=points, photos=go.photos(("pull gauge", "proof")))


def drilled(go: Filling, key: str, *, form: bool = True) -> None:
    """The wall as found, and an anchor at each point, as the form says them that came back."""
    facts = WALL | {"found_on": day(6), "from_form": form}
    go.of_piece(key, "wall", wall.record, facts=facts, photos=go.photos(("plate", "trial hole")))
    with go.store.read() as session:
        points = go.piece(session, key).hanging_points
    # A rail is held by anchors of its own: one beside each of its points, and one further in.
    for label in [f"{one.label}{more}" for one in points for more in (("", "/2") if one.holds == "rail" else ("",))]:
        facts = {
            "label": label, "kind": "resin", "product": ANCHOR, "batch": "IV-0931", "expires_on": day(-200),
            "drilled_mm": DRILL_MM, "embedment_mm": DEPTH_MM + 2, "cleaned": True,
            "cleaning": "blown twice, brushed twice, blown twice", "wall_c": 17.0,
            "set_at": go.clock - timedelta(days=5), "set_by": MASON, "from_form": form, "note": None,
        }  # fmt: skip
        go.of_piece(key, f"anchor {label}", anchors.set_anchor, facts=facts, curing=CURING)


def measured(
    go: Filling, key: str, *, form: bool = False, out_mm: dict[str, tuple[float, float]] | None = None
) -> None:
    """Every reading that is asked for, off by as much as a tape in the hand is; `out_mm` says which holes lie wrong."""
    with go.store.read() as session:
        near = places(go.piece(session, key))
    moved = out_mm or {}
    at = {label: (x + moved.get(label, (0, 0))[0], y + moved.get(label, (0, 0))[1]) for label, (x, y) in near.items()}
    off = random.Random(key)
    read = []
    for one in suggest_readings(near):
        if hasattr(one, "b"):
            true_mm = math.dist(at[one.a], at[one.b])
            mm = round(true_mm + off.gauss(0, TAPE_SD_MM), 0)
            read.append(holes.ReadFacts(one.a, one.b, mm, f"{mm:g}"))
        else:
            mm = round(at[one.label][1] - 600 + off.gauss(0, TAPE_SD_MM), 0)
            read.append(holes.ReadFacts(one.label, None, mm, f"{mm:g}"))
    facts = {
        "unit": "mm", "caller": "Wren Oakhollow", "tape": "steel tape, class II (invented)",
        "laser": "line laser no. 1 (invented)", "from_form": form, "mirrored": False, "note": None,
    }  # fmt: skip
    go.of_piece(key, "holes", holes.record, facts=facts, read=read, by="fitter")


def form_back(go: Filling, key: str) -> None:
    """The form of the fixing pack, filled in and photographed."""
    with go.store.read() as session:
        stands = template.template_now(session, go.piece(session, key))
    facts = {"filled_by": MASON, "filled_on": day(4), "template_id": stands.version.entry.id, "note": None}
    go.of_piece(key, "form", pack.record, facts=facts, photos=go.photos(("target", pack.FORM_SLOT)))


def pulled(go: Filling, key: str) -> None:
    """Proof tests of the anchors in the wall, before the piece goes up."""
    with go.store.read() as session:
        labels = list(places(go.piece(session, key)))
    for label in labels:
        facts = {
            "label": label, "asked_kn": PROOF_KN, "load_kn": PROOF_KN, "held_s": 60.0, "movement_mm": 0.1,
            "allowed_mm": 0.5, "gauge": "pull gauge no. 7 (invented)", "calibrated_until": day(-90),
            "tested_at": go.clock, "tested_by": "Wren Oakhollow", "sacrificed": False,
            "from_form": False, "note": None,
        }  # fmt: skip
        photos = go.photos(("pull gauge", "gauge"))
        go.of_piece(key, f"pull {label}", anchors.prove_anchor, facts=facts, photos=photos, by="fitter")


def tightened(go: Filling, key: str) -> None:
    """Nuts turned up and marked, the piece locked."""
    with go.store.read() as session:
        labels = list(places(go.piece(session, key)))
    facts = {
        "labels": "\n".join(labels), "torque_nm": TORQUE_NM, "wrench": "torque wrench no. 2 (invented)", "marked": True,
        "locked": True, "lock": "bolts C and D hold it down", "done_by": "Wren Oakhollow", "note": None,
    }  # fmt: skip
    go.of_piece(key, "nuts", anchors.tighten, facts=facts, photos=go.photos(("torque", "nuts")), by="fitter")


def way_in(go: Filling, key: str) -> None:
    """From the street to the wall."""
    facts = {"ways_up": "upright or on its side", "may_tilt": True, "room_mm": 50.0, "measured_by": MASON,
             "measured_on": day(12), "note": None}  # fmt: skip
    go.of_piece(key, "way in", route.record, facts=facts, steps=STEPS)


def loaded(go: Filling, key: str, *, lean_n: float | None = 300.0) -> None:
    """What the hanging points carry, in brick; without `lean_n` nobody has said who may lean on it."""
    with go.store.read() as session:
        piece = go.piece(session, key)
    width, height = piece.particulars.width_mm, piece.particulars.height_mm
    facts = {
        "lean_n": lean_n, "lean_x_mm": None, "lean_y_mm": None,
        "lean_why": "a grown person steadying themselves with one hand; readers pass within reach" if lean_n else None,
        "sudden": 2.0, "note": None,
    }  # fmt: skip
    pads = [(20.0, 20.0), (width - 20, 20.0), (width - 20, height - 20), (20.0, height - 20)]
    resistances = [
        {"label": label, "kind": "masonry solid", "pull_n": 2_400.0, "shear_n": 2_900.0, "document": DOCUMENT,
         "covered": True}
        for label in places(piece)
    ]  # fmt: skip
    go.of_piece(key, "loads", loads.record, facts=facts, pads=pads, resistances=resistances)


def lift_planned(go: Filling, key: str) -> None:
    """Up with a hoist and from a platform; nobody lifts from a ladder."""
    facts = {
        "calls": "Maren Holloway", "guides": "Bram Tidewater", "lifters": "Wren Oakhollow\nTobin Ashfield",
        "stop_call": "“Down!” – everything goes back to where it last rested, and nobody lets go before it bears",
        "lift_points": "By the steel frame at the back, left and right; never by the edge of the shell",
        "nuts": "C, D, then A, B", "note": None,
    }  # fmt: skip
    one = {"people": 2, "zone_from": "knuckle_to_elbow", "zone_to": "knuckle_to_elbow", "reach": "close", "lower": None,
           "standing": "floor", "aid": "none", "rated_kg": None, "carry_m": None, "in_crate": False,
           "note": None}  # fmt: skip
    hoist = {"aid": "hoist", "rated_kg": 150.0}
    steps = [
        one | hoist | {"step": "unload", "in_crate": True, "note": "by the tail lift"},
        one | {"step": "carry", "aid": "trolley", "rated_kg": 250.0, "in_crate": True, "carry_m": 8.0},
        one | hoist | {"step": "raise", "standing": "platform"},
        one | hoist | {"step": "hold", "standing": "platform"},
        one | hoist | {"step": "seat", "standing": "platform"},
    ]
    go.of_piece(key, "lift", lifting.record, facts=facts, steps=steps)


def made_ready(go: Filling, key: str) -> None:
    """All that is known before the van leaves: scales, template, the form that came back, loads, lift, way in."""
    weighed(go, key)
    asked(go, key)
    drilled(go, key)
    measured(go, key, form=True)
    loaded(go, key)
    proved(go, key)
    form_back(go, key)
    way_in(go, key)
    lift_planned(go, key)


def hung(go: Filling, key: str, *, measure: bool = True) -> None:
    """On the wall: anchors pulled, holes measured by the crew, nuts turned up."""
    pulled(go, key)
    if measure:
        measured(go, key)
    tightened(go, key)
