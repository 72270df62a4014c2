"""The piece's own strength at a hanging point: its bond, how that was proved, its heat, and the plate around the hole.

Anchors that hold are of no use when the metalwork comes out of the back. Without a proof nothing here is *met*.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from siteapp.trade.errors import in_range, one_of
from siteapp.trade.findings import Findings

if TYPE_CHECKING:
    from siteapp.trade.verdicts import Verdict

ProofKind = Literal["coupon pull", "proof load", "not proved"]
COUPON: Final = "coupon pull"
PROOF_LOAD: Final = "proof load"
NOT_PROVED: Final = "not proved"
PROOFS: Final[tuple[ProofKind, ...]] = (COUPON, PROOF_LOAD, NOT_PROVED)

# Wide enough for any plate that is bonded into a back; a bond typed in m² or in cm² still falls outside or is seen.
# All ours, no source.
LARGEST_AREA_MM2 = 4_000_000.0
LARGEST_N = 1_000_000.0
LARGEST_FACTOR = 100.0
LARGEST_MM = 1_000.0
COLDEST_C = -40.0
HOTTEST_C = 1_000.0

EDGE_TIMES = 1.2
SLOT_EDGE_TIMES = 1.5
THINNEST_PLATE_MM = 3.0

BOND_SOURCE = (
    "what a bond carries = what the coupon failed at / the coupon's area × the bond's area / factor: strength is force "
    "over area, as in pull-off tests (ISO 4624); no published factor was found for such bonds, so whoever answers for "
    "the bond chooses it"
)
PROOF_SOURCE = "the load that the point held without harm is at least the largest one that it is designed for"
HEAT_SOURCE = "the bond's data sheet against the heat limit of the particulars"
EDGE_SOURCE = (
    "EN 1993-1-8:2005, table 3.3, read in a public copy: at least 1.2 hole diameters from a hole's middle to "
    "the plate's edge, 1.5 beside and beyond a slot; for steel of 3 mm or more (EN 1993-1-1, 1.1.2, from memory)"
)
SOURCE = f"{BOND_SOURCE}. {PROOF_SOURCE}. {HEAT_SOURCE}. {EDGE_SOURCE}."

ASSUMPTIONS = (
    "pull and shear are those of the worst case of the loads, with their factors, taken together as √(pull² + shear²)",
    "the bond's area is what is bonded at this point alone; what two points share is divided between them",
    "a point that stands on a proof load was pulled as it will be loaded, by at least that much",
    "the plate is steel, whole round its hole and not bent",
)
COUPON_ASSUMPTIONS = (
    "the coupon was made with the piece: same surfaces, same resin, same day, cured alike",
    "the figure is the lowest of the coupons that were pulled, straight out of the bond",
    "the factor answers for what a coupon does not show: peeling at edges, an uneven bond, damp, years of load",
)


@dataclass(frozen=True)
class PointStrength:
    """What a hanging point's own strength comes to.

    `demand_n` is the load it is designed for and `allowed_n` what it was proved for, in N, None where not known;
    `share` is the one over the other. `reasons` say what stands against *met*.
    """

    verdict: Verdict
    demand_n: float | None
    allowed_n: float | None
    share: float | None
    reasons: tuple[str, ...]
    assumptions: tuple[str, ...]
    source: str


def bond_strength_n_mm2(failed_at_n: float, coupon_area_mm2: float) -> float:
    """Strength of a bond in N/mm², from what its coupon failed at (above 0 to 1 000 000 N) over its area.

    f = F / A; the area above 0 to 4 000 000 mm². Source: BOND_SOURCE. Assumes COUPON_ASSUMPTIONS. Raises TradeError
    outside the ranges.
    """
    in_range("what the coupon failed at", failed_at_n, 0, LARGEST_N, "N", above_low=True)
    return failed_at_n / _area("area of the coupon", coupon_area_mm2)


def bond_allowed_n(failed_at_n: float, coupon_area_mm2: float, bond_area_mm2: float, factor: float) -> float:
    """Force in N that a bond of `bond_area_mm2` (above 0 to 4 000 000 mm²) may carry, by its coupon.

    F = f · A / factor, the factor 1…100 as whoever answers for the bond chose it. Other ranges, source and assumptions
    as `bond_strength_n_mm2`. Raises TradeError outside the ranges.
    """
    strength = bond_strength_n_mm2(failed_at_n, coupon_area_mm2)
    return (
        strength * _area("area of the bond", bond_area_mm2) / in_range("factor", factor, 1, LARGEST_FACTOR, "(times)")
    )


def edge_needed_mm(hole_mm: float, *, slotted: bool = False) -> float:
    """Least distance in mm from a hole's middle to the plate's edge: 1.2 · d0, with a slot 1.5 · d0.

    `hole_mm` above 0 to 1000 mm, across the slot. Source: EDGE_SOURCE. Raises TradeError outside the range.
    """
    hole = in_range("hole", hole_mm, 0, LARGEST_MM, "mm", above_low=True)
    return hole * (SLOT_EDGE_TIMES if slotted else EDGE_TIMES)


def point_strength(
    *,
    pull_n: float | None,
    shear_n: float | None,
    proof: str | None,
    proof_n: float | None = None,
    bond_area_mm2: float | None = None,
    coupon_area_mm2: float | None = None,
    factor: float | None = None,
    near_heat: bool | None = None,
    hottest_c: float | None = None,
    bond_service_c: float | None = None,
    has_hole: bool = True,
    slotted: bool = False,
    hole_mm: float | None = None,
    slot_mm: float | None = None,
    edge_mm: float | None = None,
    plate_mm: float | None = None,
) -> PointStrength:
    """Whether a hanging point is proved to carry its load. What is None is missing, and then it is *cannot tell*.

    `pull_n` and `shear_n` 0…1 000 000 N, the worst that the point is designed for. `proof` is one of PROOFS: with a
    coupon `proof_n` is what it failed at, and areas and factor count; with a proof load it is what the point held
    without harm. `near_heat`: whether a fire, a stove, a radiator or a flue is close; then the bond must stand
    `hottest_c`, both −40…1000 °C. `has_hole` is False for a hook or a rail, which have no hole near an edge; `slot_mm`
    is None or 0 for a round hole, unless it is `slotted`: then it is missing. Sizes 0…1000 mm. Source: SOURCE. Assumes
    ASSUMPTIONS, for a coupon COUPON_ASSUMPTIONS too. Raises TradeError outside the ranges.
    """
    found = Findings()
    demand_n = _demand(found, pull_n, shear_n)
    allowed_n = _allowed(found, proof, proof_n, bond_area_mm2, coupon_area_mm2, factor)
    share = None
    if demand_n is not None and allowed_n is not None:
        share = demand_n / allowed_n
        # As forces: a share may round to 1 on either side of it.
        if demand_n > allowed_n:
            found.not_met(f"it is designed for {_n(demand_n)} and was proved for {_n(allowed_n)}")
    _heat(found, near_heat, hottest_c, bond_service_c)
    if has_hole:
        if slotted and not slot_mm:
            found.cannot_tell("how long its slot is is not known")
        _edge(found, hole_mm, slot_mm, edge_mm, plate_mm)
    assumptions = ASSUMPTIONS + (COUPON_ASSUMPTIONS if proof == COUPON else ())
    return PointStrength(found.verdict, demand_n, allowed_n, share, tuple(found.reasons), assumptions, SOURCE)


def _demand(found: Findings, pull_n: float | None, shear_n: float | None) -> float | None:
    forces = [
        in_range(what, force, 0, LARGEST_N, "N")
        for what, force in (("pull on the point", pull_n), ("shear on the point", shear_n))
        if force is not None
    ]
    if pull_n is None or shear_n is None:
        found.cannot_tell("the load on it is not worked out")
        return None
    return math.hypot(*forces)


def _allowed(
    found: Findings,
    proof: str | None,
    proof_n: float | None,
    bond_area_mm2: float | None,
    coupon_area_mm2: float | None,
    factor: float | None,
) -> float | None:
    """What was proved, in N. Every figure that is there is held against its range, whether or not it counts."""
    if proof is not None:
        one_of("how it was proved", proof, PROOFS)
    if proof_n is not None:
        in_range("force of the proof", proof_n, 0, LARGEST_N, "N", above_low=True)
    bond = None if bond_area_mm2 is None else _area("area of the bond", bond_area_mm2)
    coupon = None if coupon_area_mm2 is None else _area("area of the coupon", coupon_area_mm2)
    by = None if factor is None else _factor(factor)
    if proof in (None, NOT_PROVED):
        found.cannot_tell("it was not proved: neither a coupon of its bond was pulled nor a proof load put on it")
        return None
    if proof == PROOF_LOAD:
        if proof_n is None:
            found.cannot_tell("the load that it held is not written down")
        return proof_n
    asked = {"what the coupon failed at": proof_n, "the bond's area": bond, "the coupon's area": coupon}
    for what in [what for what, value in {**asked, "the factor": by}.items() if value is None]:
        found.cannot_tell(f"{what} is not given")
    if proof_n is None or bond is None or coupon is None or by is None:
        return None
    return bond_allowed_n(proof_n, coupon, bond, by)


def _heat(found: Findings, near_heat: bool | None, hottest_c: float | None, bond_service_c: float | None) -> None:  # noqa: FBT001 - three answers
    for what, heat in (("hottest surface", hottest_c), ("heat that the bond stands", bond_service_c)):
        if heat is not None:
            in_range(what, heat, COLDEST_C, HOTTEST_C, "°C")
    if near_heat is False:
        return
    if near_heat is None:
        found.cannot_tell("whether it hangs near heat is not said")
    if hottest_c is not None and bond_service_c is not None:
        if bond_service_c < hottest_c:
            found.not_met(f"its surface may get {hottest_c:g} °C hot and its bond stands {bond_service_c:g} °C")
        return
    if near_heat and hottest_c is None:
        found.cannot_tell("how hot its surface may get is not said")
    if near_heat and bond_service_c is None:
        found.cannot_tell("how hot its bond may get is not known")


def _edge(
    found: Findings, hole_mm: float | None, slot_mm: float | None, edge_mm: float | None, plate_mm: float | None
) -> None:
    for what, size in (("slot", slot_mm), ("edge distance", edge_mm), ("plate", plate_mm)):
        if size is not None:
            in_range(what, size, 0, LARGEST_MM, "mm")
    needed = None if hole_mm is None else edge_needed_mm(hole_mm, slotted=bool(slot_mm))
    if needed is None:
        found.cannot_tell("its hole is not known")
    if edge_mm is None:
        found.cannot_tell("how far its hole is from the plate's edge is not known")
    elif needed is not None and edge_mm < needed:
        found.not_met(f"its hole is {edge_mm:g} mm from the plate's edge; at least {_mm(needed)} mm are asked")
    elif needed is not None and slot_mm and edge_mm - slot_mm / 2 < needed:
        # Which way the nearest edge lies is not recorded; across the slot it would be enough.
        found.cannot_tell(f"along its slot fewer than {_mm(needed)} mm may be left to the plate's edge")
    if plate_mm is None:
        found.cannot_tell("the thickness of its plate is not known")
    elif plate_mm < THINNEST_PLATE_MM:
        found.cannot_tell(f"its plate is {plate_mm:g} mm thick; the rule for edges begins at {THINNEST_PLATE_MM:g} mm")


def _area(what: str, area_mm2: float) -> float:
    return in_range(what, area_mm2, 0, LARGEST_AREA_MM2, "mm²", above_low=True)


def _factor(factor: float) -> float:
    return in_range("factor", factor, 1, LARGEST_FACTOR, "(times)")


def _n(force_n: float) -> str:
    return f"{force_n:,.0f}".replace(",", "\u202f") + " N"


def _mm(size_mm: float) -> str:
    return f"{size_mm:.1f}".rstrip("0").rstrip(".")
