"""An invented fixing pack: a shore-bird relief on four points. Nobody and nothing here is real."""

from __future__ import annotations

from siteapp.documents.certificate.records import Sizes, Weight
from siteapp.documents.fixing_pack import records as r
from siteapp.documents.records import WEIGHED

POINTS = (
    r.PackPoint("A", 560.0, 1610.0, 8.5, 0.0, 0.0, 410.0, 182.0, "somebody pulls outwards at the lower edge"),
    r.PackPoint("B", 2380.0, 1610.0, 8.5, 14.0, 0.0, 395.0, 171.0, "somebody pulls outwards at the lower edge"),
    r.PackPoint("C", 620.0, 1015.0, 8.5, 0.0, 0.0, 260.0, 96.0, "knocked from below"),
    r.PackPoint("D", 2320.0, 1015.0, None, 0.0, 0.0, 255.0, 96.0, "knocked from below"),
)
READINGS = (
    r.PackReading("A", "B"),
    r.PackReading("A", "B", from_100=True),
    r.PackReading("A", "C"),
    r.PackReading("A", "D"),
    r.PackReading("A", "D", from_100=True),
    r.PackReading("B", "C"),
    r.PackReading("B", "C", from_100=True),
    r.PackReading("B", "D"),
    r.PackReading("C", "D"),
    r.PackReading("A"),
    r.PackReading("B"),
    r.PackReading("C"),
    r.PackReading("D"),
)
PACK = r.FixingPack(
    piece_number="K7QXM2TR",
    title="Sanderlings at the Tide Line (invented)",
    template_id="4f2a9c1b-0000-4000-8000-000000000001",
    template_at="2026-05-02T14:35:00+01:00",
    datum="right edge of the window reveal, on the finished floor",
    corner_x_mm=400.0,
    corner_y_mm=900.0,
    points=POINTS,
    maker="Marrow & Hale, wall pieces (invented)",
    who_to_ask="Odile Marrow (invented), telephone 00 0000 000",
    sizes=Sizes(920.0, 2140.0, 165.0),
    weight=Weight(38.5, WEIGHED, "two platform scales, ±0.1 kg"),
    level_line="laser line at the top pair",
    level_mm=1610.0,
    wall_asked="solid masonry",
    anchor="Resin anchor M8 (invented)",
    anchor_document="ETA 00/0000 (invented)",
    drill_mm=10.0,
    embedment_mm=80.0,
    torque_nm=10.0,
    proof_kn=1.5,
    designed_by="Ines Corran, structural engineer (invented)",
    loads_rest_on=("the piece is rigid and bears on its four corners",),
    loads_source="EN 1990 factors (from memory): 1.35 on the weight, 1.5 on what people do",
    proving=r.Proving(
        3,
        4,
        60.0,
        "A proof test shows that an anchor was set well. It does not show what it, or the wall, can carry.",
        "BS 8539, annex B.3",
    ),
    readings=READINGS,
    printed_on="2026-05-04",
    invented=True,
)
EMPTY = r.FixingPack(
    piece_number="K7QXM2TR",
    title="Untold",
    template_id="4f2a9c1b-0000-4000-8000-000000000001",
    template_at="2026-05-02T14:35:00+01:00",
    datum="corner of the room",
    corner_x_mm=0.0,
    corner_y_mm=0.0,
    points=(r.PackPoint("A", 150.0, 740.0),),
    loads_why="No loads are worked out.",
    readings_why="One hole alone needs no tape.",
)
