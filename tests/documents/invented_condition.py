"""An invented condition report: a shore-bird relief that was looked at four times by people who do not exist."""

from __future__ import annotations

import hashlib
from dataclasses import replace

from siteapp.documents.certificate import records as c
from siteapp.documents.condition import records as r
from siteapp.documents.records import WEIGHED
from tests.documents import invented

SLOTS = (
    ("front", "Front", True),
    ("back", "Back", True),
    ("edges", "Edges", True),
    ("hardware", "Hanging points and metalwork", True),
    ("raking light", "Raking light", True),
    ("scale and colour target", "Scale and colour target", True),
    ("details", "Details", False),
)


def sha(number: int) -> str:
    return hashlib.sha256(invented.photo(number)).hexdigest()


def photos(count: int = 16) -> dict[str, bytes]:
    return {sha(number): invented.photo(number) for number in range(count)}


def sides(taken: dict[str, tuple[r.Shot, ...]]) -> tuple[r.Side, ...]:
    return tuple(r.Side(key, name, taken.get(key, ()), wanted) for key, name, wanted in SLOTS)


CHIP = r.Spot(1, 0.21, 0.33, "chip or loss", "3 mm across, at the wing’s edge; filler shows", r.SURFACE)
HAIRLINE = r.Spot(
    2, 0.74, 0.62, "hairline crack", "40 mm long, under 0.1 mm wide, runs with the comb strokes", r.STRUCTURE
)
RUST = r.Spot(3, 0.5, 0.9, "rust", "a bloom around the washer of point B", r.METALWORK)

DISPATCH = r.LookRecord(
    reason="Before dispatch",
    at="2026-06-09T16:10+01:00",
    by="Odile Marrow",
    found="nothing found",
    note="Packed face up on foam, corners held.",
    sides=sides({"front": (r.Shot(sha(0)),), "back": (r.Shot(sha(1)),), "edges": (r.Shot(sha(2)), r.Shot(sha(3)))}),
)
ARRIVAL = r.LookRecord(
    reason="Arrival",
    at="2026-06-15T09:20+01:00",
    by="Tobin Hale",
    found="something found",
    indicators="shock indicator not tripped, tilt indicator tripped",
    note="Crate dry; one corner of the lid scuffed.",
    sides=sides(
        {
            "front": (r.Shot(sha(4), spots=(CHIP, HAIRLINE)),),
            "back": (r.Shot(sha(5)),),
            "edges": (r.Shot(sha(6)), r.Shot(sha(7))),
        }
    ),
)
HANDOVER = r.LookRecord(
    reason="Handover",
    at="2026-06-17T15:40+01:00",
    by="Odile Marrow",
    found="something found",
    light="Daylight from the north window, then a lamp along the surface from the left; from a platform.",
    surroundings="Stove below, cold; radiator two metres to the right; blinds half down.",
    note="The chip found on arrival is filled and touched up. The hairline is as it was.",
    advice="Look at the hairline again in October 2026, by the maker or a conservator, and after the first fire.",
    sides=sides(
        {
            "front": (r.Shot(sha(8), spots=(replace(HAIRLINE, number=1),)),),
            "back": (r.Shot(sha(9)),),
            "edges": (r.Shot(sha(10)), r.Shot(sha(11)), r.Shot(sha(12))),
            "hardware": (r.Shot(sha(13), "Point B from below", (replace(RUST, number=2),)),),
            "raking light": (r.Shot(sha(14)),),
        }
    ),
)
LATER = replace(
    HANDOVER,
    reason="Later visit",
    at="2026-10-21T11:05+01:00",
    corrected=1,
    corrected_at="2026-10-22T08:30+01:00",
    note="Even grey film of dust below the birds.",
    sides=(
        *HANDOVER.sides[:5],
        r.Side("scale and colour target", "Scale and colour target", (r.Shot(sha(15)),)),
        HANDOVER.sides[6],
    ),
)


def record(look: r.LookRecord = ARRIVAL, before: r.LookRecord | None = None, **facts: object) -> r.ConditionRecord:
    earlier = [one for one in (DISPATCH, ARRIVAL, HANDOVER) if before and (one.at or "") <= (before.at or "")]
    made = r.ConditionRecord(
        piece_number="K7QXM2TR",
        title="Sanderlings at the Tide Line",
        look=look,
        before=before,
        earlier=tuple(earlier),
        maker=c.Maker("Reed & Tern Workshop"),
        object_type="Wall relief, hollow shell",
        description="Seven sanderlings run along a wave-cut edge. The ground is combed in long shallow strokes; "
        "the birds stand proud of it by up to 90 mm and turn to the left.",
        materials="Glass-reinforced acrylic shell laid up in a mould, steel frame bonded in, mineral paint",
        finish="Mineral paint, matt, three greys and a warm white, brushed and wiped.",
        made_on="2026-04",
        sizes=c.Sizes(920, 2140, 165),
        weight=c.Weight(38.5, WEIGHED, "platform scales, checked with a 20 kg weight"),
        build_up=(
            c.Layer("Wren Mineral Wash", "potassium silicate paint", 0.2, 0.4, "two coats"),
            c.Layer("Shell", "acrylic-modified gypsum, quadriaxial glass fabric", 7, 17.6, "three layers of fabric"),
            c.Layer("Frame", "mild steel 30 × 30 × 2, zinc-rich primer", None, 11.4),
        ),
        hanging_points=(
            c.HangingPoint("A", 214, 846, 11, "keyhole slot, takes the weight"),
            c.HangingPoint("B", 1926, 846, 11, "keyhole slot, takes the weight"),
        ),
        place="a reading room in a small town",
        printed_on="2026-10-23",
        entry_id="0d6b1a52-3a55-5f0e-9a7f-3f1f6c1f0001",
        entry_digest=hashlib.sha256(b"entry").hexdigest(),
        invented=True,
    )
    return replace(made, **facts)


EMPTY = r.ConditionRecord(piece_number="K7QXM2TR", title="Curlew", look=r.LookRecord("Arrival", sides=sides({})))
