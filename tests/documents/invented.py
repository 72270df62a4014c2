"""Invented records for the tests of documents: shore-bird reliefs for a reading room, by people who do not exist."""

from __future__ import annotations

import hashlib
import math
from functools import cache
from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw

from siteapp.documents import records
from siteapp.documents.certificate import finish_records as finish
from siteapp.documents.certificate import fire_records as fire
from siteapp.documents.certificate import hung_records as h
from siteapp.documents.certificate import records as r

LABEL = records.LabelRecord(
    number="K7QXM2TR",
    number_grouped="K7QX-M2TR",
    title="Sanderlings at the Tide Line",
    maker="Reed & Tern Workshop",
    what="Hollow glass-reinforced relief, painted",
    weight_kg=38.5,
    weight_origin=records.WEIGHED,
    people_to_lift="3 people, or a hoist; never from ladders",
    hanging_points=("A top left, B top right: keyhole slots for M10", "C bottom centre: rests on a pad"),
    heat_limit="Keep its surface under 60 °C; no fire below it until tested",
    way_up="the arrow on the back frame points up",
    who_to_ask=("Reed & Tern Workshop", "+44 1632 960 143"),
    link="https://reedandtern.example/p/K7QXM2TR",
)


def fire_told() -> dict[str, Any]:
    """A report of a coupon, limits, a stove, and a heat test that ran through."""
    return {
        "reports": (
            fire.FireReport(
                "26-118",
                "coupon",
                "4 mm shell, foam, two coats",
                "invented laboratory",
                "EN 13501-1",
                "B-s1,d0",
                "2026-02-11",
                "the shell as laid up",
                "joints, edges, the bond of the plates and every other coat",
            ),
        ),
        "limits": (
            fire.PartLimit("laminate", "vinylester", 75, "data sheet", "sheet of March 2025"),
            fire.PartLimit("anchor resin"),
        ),
        "appliance": fire.Appliance(
            "stove",
            "Invented Ember 5",
            "wood",
            5.0,
            "leaflet of 2024",
            "paper seen",
            "invented paper 77",
            (fire.Distance("the piece", "above", 640, 500, records.MET, "the plate"),),
        ),
        "tests": (
            fire.HeatTest(
                "2026-06-17",
                "split ash, 16 % damp, 1.4 kg a charge",
                "rated output",
                185,
                19.5,
                28,
                10,
                records.MET,
                "Tobin Hale",
                (fire.Probe("P1", "face", "lower edge, middle", "invented thermocouple", 1.5, 44.2, 43.8),),
            ),
        ),
    }


@cache
def photo(number: int, *, width: int = 1280, height: int = 853) -> bytes:
    """Draw a JPEG of birds in relief on a shore, a different one for each number."""
    image = Image.new("RGB", (width, height))
    draw = ImageDraw.Draw(image)
    for y in range(height):
        share = y / height
        tone = 205 - int(70 * share) + int(8 * math.sin(y / 9 + number))
        draw.line(((0, y), (width, y)), fill=(tone, tone - 6 - number, tone - 22))
    for bird in range(5 + number % 3):
        x = width * (0.12 + 0.15 * bird) + 20 * math.sin(number + bird)
        y = height * (0.55 + 0.12 * math.sin(bird * 1.7 + number))
        size = height * 0.11
        for shift, tone in ((8, 96), (0, 226)):
            draw.ellipse(
                (x - size + shift, y - size * 0.55 + shift, x + size + shift, y + size * 0.55 + shift), (tone,) * 3
            )
            draw.ellipse(
                (x + size * 0.6 + shift, y - size + shift, x + size * 1.4 + shift, y - size * 0.2 + shift), (tone,) * 3
            )
            draw.line(
                (x + size * 1.35 + shift, y - size * 0.6 + shift, x + size * 2 + shift, y - size * 0.5 + shift),
                (tone,) * 3,
                7,
            )
            for leg in (-0.2, 0.2):
                draw.line(
                    (x + leg * size + shift, y + size * 0.5, x + leg * size + shift, y + size * 1.2), (tone,) * 3, 5
                )
    out = BytesIO()
    image.save(out, "JPEG", quality=82)
    return out.getvalue()


@cache
def signature() -> bytes:
    """Draw a signature on a transparent ground (PNG)."""
    image = Image.new("RGBA", (900, 260), (255, 255, 255, 0))
    points = [(40 + i * 4, 130 + 70 * math.sin(i / 7) * math.cos(i / 23)) for i in range(200)]
    ImageDraw.Draw(image).line(points, fill=(20, 24, 60, 255), width=6, joint="curve")
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def photos(count: int = 12) -> dict[str, bytes]:
    """Give pictures by SHA-256, the signature last."""
    made = [photo(number) for number in range(count)]
    return {hashlib.sha256(one).hexdigest(): one for one in (*made, signature())}


def certificate(count: int = 12) -> r.CertificateRecord:
    """Give a full certificate with `count` photos."""
    names = list(photos(count))
    roles = ["title", "back", "arrival", "arrival", "arrival", "finish", "finish", "piece"]
    captions = [
        "",
        "The back, with the frame bonded in",
        "Left edge, on arrival",
        "Right edge, on arrival",
        "Front, on arrival",
        "Lower shore before touching up",
        "Lower shore after the second coat",
        "The third bird from the left",
    ]
    uses = tuple(
        records.PhotoUse(name, captions[min(place, 7)] or None, roles[min(place, 7)])
        for place, name in enumerate(names[:-1])
    )
    coat = r.Coat(
        "Wren Mineral Wash",
        "lower shore, 0.4 m²",
        1,
        "B-2217",
        "2026-06-16T10:05+01:00",
        "Odile Marrow",
        120,
        20.4,
        52.0,
        18.1,
        10.2,
        7.9,
        records.MET,
        "data sheet of March 2024",
    )
    return r.CertificateRecord(
        number="C-2026-014",
        piece_number="K7QXM2TR",
        title="Sanderlings at the Tide Line",
        maker=r.Maker(
            "Odile Marrow", "Reed & Tern Workshop", "Saltmarsh Row", ("+44 1632 960 143", "maker@reedandtern.example")
        ),
        issued_on="2026-06-17",
        invented=True,
        link="https://reedandtern.example/c/C-2026-014",
        object_id=r.ObjectId(
            "Wall relief of five panels’ width, hollow shell",
            "Glass-reinforced acrylic shell laid up in a mould, steel frame bonded in, mineral paint",
            "height 920 mm, width 2 140 mm, depth 165 mm",
            "“OM 26” incised at the lower right; number K7QX-M2TR on the frame",
            "The third bird from the left stands on one leg; a repaired air bubble behind its wing",
            None,
            "Shore birds at the edge of a falling tide",
            "2026",
            None,
            "Seven sanderlings run along a wave-cut edge. The ground is combed in long shallow strokes; "
            "the birds are modelled proud of it by up to 90 mm and turn to the left.",
        ),
        made_on="2026-04",
        hung_on="2026-06-15",
        handed_over_on="2026-06-17",
        sizes=r.Sizes(920, 2140, 165),
        build_up=(
            r.Layer("Wren Mineral Wash", "potassium silicate paint", 0.2, 0.4, "two coats"),
            r.Layer("Face coat", "acrylic-modified gypsum with marble flour", 3, 9.1),
            r.Layer("Shell", "acrylic-modified gypsum, quadriaxial glass fabric", 7, 17.6, "three layers of fabric"),
            r.Layer("Frame", "mild steel 30 × 30 × 2, zinc-rich primer", None, 11.4),
        ),
        weight=r.Weight(
            38.5, records.WEIGHED, "platform scales, checked with a 20 kg weight", "2026-06-02", "Odile Marrow"
        ),
        people_to_lift="3",
        way_up="the arrow on the back frame points up",
        hanging_points=(
            r.HangingPoint("A", 214, 846, 11, "keyhole slot, takes the weight"),
            r.HangingPoint("B", 1926, 846, 11, "keyhole slot, takes the weight"),
            r.HangingPoint("C", 1070, 64, 11, "holds against lifting off"),
        ),
        taking_down=(
            "Two hold, one works: take the nut off C first, then loosen A and B by three turns.",
            "Lift by 25 mm, outwards by 40 mm, and down on to padded trestles, face up.",
            "Never set it down on the lower edge: the birds’ feet stand proud of it.",
        ),
        balance=h.Balance(1071.5, "weighed", 455.0, "weighed", 165.0, "assumed"),
        lift_points=("by the back frame, left and right", "never by the birds or the lower edge"),
        nuts=("C first, by hand; then A and B", "all three to their torque; C again"),
        wall=h.Wall(
            "solid masonry",
            "clay brick in lime mortar",
            "trial hole",
            330.0,
            sound=True,
            gap_mm=0.0,
            services_front="none near",
            services_back="none near",
            found_by="Bram Oldacre",
            found_on="2026-05-04",
        ),
        anchors_asked=h.AnchorsAsked("Grebe resin with sleeve, rod M10 A4", "approval 26/0413", "Ines Calloway"),
        anchors=tuple(
            h.Anchor(
                label,
                "Grebe resin with sleeve, rod M10 A4",
                "GR-0317",
                16.0,
                92.5,
                set_by="Bram Oldacre",
                set_at="2026-05-12T10:20+01:00",
                torque_nm=10.0,
                turned_by="Wilf Tarn",
                locked="lock nut behind the plate of C" if label == "C" else None,
                tests=(h.AnchorTest(2.25, 2.0, 60.0, 0.15, "puller 2", "Ines Calloway", "2026-05-13T09:05+01:00"),)
                if label != "B"
                else (),
            )
            for label in ("A", "B", "C")
        ),
        agreed=(
            r.Agreed("Model in clay, scale 1:5", "2026-01-22", "signed photo", "the client"),
            r.Agreed(
                "Sample of colour and sheen",
                "2026-03-09",
                "sample 3 kept by both",
                "the client",
                "The third grey, and matt.",
            ),
        ),
        conditions=(
            "No fire is lit until the heat test has been made and recorded.",
            "Nothing is leant against the lower edge, and no plant stands under it.",
        ),
        finish=("Mineral paint, matt, three greys and a warm white, brushed and wiped.",),
        touch_up="Wren Mineral Wash, grey 2 to white 1 by volume; the jar left behind keeps until June 2027.",
        coats=(
            coat,
            r.Coat(
                **{
                    **coat.__dict__,
                    "number": 2,
                    "at": "2026-06-16T14:50+01:00",
                    "verdict": records.CANNOT_TELL,
                    "surface_c": None,
                    "margin_c": None,
                    "reason": "the thermometer’s battery was flat; the wall had been warm all day",
                }
            ),
        ),
        fire=r.Fire(
            "B-s1,d0",
            "Report 26-118, invented laboratory",
            "the shell as built, on a mineral wall",
            "the paint over older coats; any wall that burns",
            60,
            "No fire is lit in the stove below until a heat test has been recorded here.",
            **fire_told(),
        ),
        kit=finish.TouchUpKit(
            "in the drawer under the window",
            "2027-06-30",
            "the grey, opened in June, keeps a year",
            (finish.KitThing("Wren Mineral Wash, grey", "60 ml jar", "B-2217", "2027-06-30"),),
        ),
        colours=(
            finish.ColourMatch(
                "Slate sample",
                "two coats over the primer, on a piece of the shell",
                52.3,
                -1.2,
                4.6,
                8.4,
                60,
                "Invented spectrophotometer",
                "D65",
                "10°",
                1.5,
                3.0,
                (finish.ColourZone("lower shore", 3, 52.9, -1.0, 4.2, 0.72, 1.18, 9.0, records.MET),),
                True,
                "That is the grey I meant.",
                "north window, eleven in the morning",
            ),
        ),
        keep_away=("Picture lights closer than 300 mm", "Plants, steam, and anything leant against it"),
        arrival=r.Arrival(
            "2026-06-15T09:20+01:00", "nothing found", "tilt and shock indicators both clear", None, "Tobin Hale"
        ),
        checks=(
            r.Answer(
                "Wall dry at the fixing height",
                records.MET,
                "Before hanging",
                "11.2 % of mass",
                "Tobin Hale",
                "2026-06-15T10:10+01:00",
            ),
            r.Answer(
                "Level line over all points",
                records.MET,
                "Before hanging",
                "1 mm over 1 712 mm",
                "Tobin Hale",
                "2026-06-15T11:32+01:00",
                True,
            ),
            r.Answer(
                "Cables and pipes looked for",
                records.CANNOT_TELL,
                "Before hanging",
                None,
                "Odile Marrow",
                "2026-06-15T10:40+01:00",
            ),
            r.Answer(
                "Nuts torqued in order",
                records.NOT_MET,
                "Before hanging",
                "18 N·m",
                "Tobin Hale",
                "2026-06-15T12:05+01:00",
                True,
                "Odile Marrow",
            ),
        ),
        releases=(
            r.Release(
                "washer swapped, torqued again to 20 N·m",
                "Nuts torqued in order",
                "Before hanging",
                "Odile Marrow",
                "2026-06-15T12:20+01:00",
            ),
            r.Release(
                "it left from another workshop, whose own list is kept there",
                None,
                "Before it leaves",
                "Odile Marrow",
                "2026-06-15T09:40+01:00",
            ),
        ),
        snags=(
            r.SnagLeft(
                "A scratch at the lower edge, 40 mm",
                "left of the third bird",
                "the client",
                "It will not be seen.",
                "2026-06-17T15:50+01:00",
            ),
            r.SnagLeft("The sealing strip above is short by a hand", "ceiling side"),
        ),
        left_open=("A hairline at the lower left, under 0.1 mm: to be looked at in October 2026",),
        care_do=("Dust with a soft dry brush, from the top down, twice a year.",),
        care_never=("Water, sprays, polish, vacuum nozzles", "Adhesive tape, on any part of it"),
        expected_wear=("The white warms a little in the first year.",),
        inspections=("October 2026, then every two years: points A, B, C and the hairline",),
        hazards=(
            "Sanding or cutting frees fine mineral and glass dust: wet, with extraction, by somebody who knows it.",
            "Do not drill: the frame’s edges run where they are not expected.",
        ),
        who_to_call=("Reed & Tern Workshop, +44 1632 960 143",),
        copyright_line="© 2026 Odile Marrow. All rights reserved.",
        moral_rights="The maker asserts the right to be named as the author of the piece and to object "
        "to its being altered in a way that harms her name.",
        photos=uses,
        signature=r.Signature(
            "Petra Lindqvist-Amari",
            "I have seen the piece on the wall and take it over, with the points under “Faults and snags left”.",
            "2026-06-17T16:12+01:00",
            "for the reading room",
            names[-1],
        ),
        further_signatures=(r.Signature("Odile Marrow", None, "2026-06-17T16:13+01:00", "maker"),),
        supersedes=r.Supersedes("C-2026-013", "2026-06-16", "the weight was a typing error"),
        proof=r.Proof(hashlib.sha256(b"record").hexdigest(), "job-7", 41, hashlib.sha256(b"head").hexdigest(), ()),
        sections=(
            records.Section(
                "Sheen against the sample",
                "sheen",
                "coats",
                facts=(records.Fact("Gloss at 60°", "3.1 units", "sample 2.9"),),
            ),
        ),
    )


EMPTY = r.CertificateRecord(number="C-2026-015", piece_number="K7QXM2TR", title="Curlew", maker=r.Maker("Odile Marrow"))
