"""An invented hanging plan: a shore-bird relief on four points. Nobody and nothing here is real."""

from __future__ import annotations

from siteapp.documents.certificate.records import Sizes, Weight
from siteapp.documents.hanging_plan import records as r
from siteapp.documents.records import CANNOT_TELL, MET, WEIGHED

POINTS = (
    r.PlanPoint("A", 160.0, 710.0, 8.5),
    r.PlanPoint("B", 1980.0, 710.0, 8.5, 14.0),
    r.PlanPoint("C", 220.0, 115.0, 8.5, holds="hook"),
    r.PlanPoint("D", 1920.0, 115.0),
)
PLAN = r.HangingPlan(
    piece_number="K7QXM2TR",
    title="Sanderlings at the Tide Line (invented)",
    plan_id="7c1d04aa-0000-4000-8000-000000000002",
    plan_at="2026-05-02T14:35:00+01:00",
    verdict=MET,
    maker="Marrow & Hale, wall pieces (invented)",
    who_to_ask="Odile Marrow (invented), telephone 00 0000 000",
    sizes=Sizes(920.0, 2140.0, 180.0),
    weight=Weight(38.5, WEIGHED, "three scales"),
    gross=Weight(61.0, WEIGHED),
    balance=r.Balance(1040.0, "weighed", 455.0, "worked out", 180.0, "assumed"),
    points=POINTS,
    people=3,
    calls="Nan Ferris (invented)",
    guides=("Pol Adair (invented)",),
    lifters=("Kit Ostler (invented)", "Bea Lund (invented)"),
    stop_call="“Down”: lower it to the trestles.",
    lift_points="by the lower rail; never by a wing tip",
    way_up="the waterline at the bottom",
    keep_away="lamps nearer than 300 mm",
    aids=("Raise: Hoist or lifting platform",),
    steps=(
        r.PlanStep(
            "Unload", "2 lift", "arms alone; standing on: floor or ground", 61.0, 17.3, CANNOT_TELL, "van’s tail"
        ),
        r.PlanStep("Raise", "nobody lifts", "hoist or lifting platform; plate 150 kg", 38.5, 150.0, MET),
    ),
    nuts="A, B by hand; C, D by hand; then all with the wrench",
    note="mind the lamp",
    assumptions=("nobody twists or hurries",),
    source="HSE INDG143 and L23",
    printed_on="2026-05-04",
    invented=True,
)
EMPTY = r.HangingPlan(
    piece_number="K7QXM2TR",
    title="Untold",
    plan_id="7c1d04aa-0000-4000-8000-000000000002",
    plan_at="2026-05-02T14:35:00+01:00",
    verdict=CANNOT_TELL,
    reasons=("who lifts is not named",),
)
