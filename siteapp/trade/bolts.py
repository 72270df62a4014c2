"""Bolts and studs: the holes they go through, what their steel carries, and the tables that say so.

Only the steel. What wall, resin and bond carry comes from the anchor's approval document for that wall.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from siteapp.trade.errors import TradeError, in_range

if TYPE_CHECKING:
    from collections.abc import Mapping

Fit = Literal["fine", "medium", "coarse"]
FITS: Final[tuple[Fit, ...]] = ("fine", "medium", "coarse")

READ_TWICE = "read in two public copies"
READ_ONCE = "from memory, and the same in one public copy"
READ = "read in one public copy"


@dataclass(frozen=True)
class BoltRow:
    """One size of ISO metric coarse thread, lengths in mm.

    `pitch_mm` is ISO 261's coarse one. `fine_mm`, `medium_mm`, `coarse_mm` are ISO 273's clearance holes (H12, H13,
    H14), and `hole_known` says how those three are known. `proof_n` is ISO 898-1's proof load in N by property class,
    read in one public copy of its table, and for the classes but 5.8 in a second one.
    """

    diameter_mm: float
    pitch_mm: float
    fine_mm: float
    medium_mm: float
    coarse_mm: float
    hole_known: str
    proof_n: Mapping[str, float]


def _proof(*loads_n: float) -> dict[str, float]:
    return dict(zip(PROOF_CLASSES, map(float, loads_n), strict=True))


PROOF_CLASSES: Final = ("4.6", "5.6", "5.8", "8.8", "10.9", "12.9")
BOLTS: Final[Mapping[str, BoltRow]] = {
    "M3": BoltRow(3, 0.5, 3.2, 3.4, 3.6, READ_ONCE, _proof(1130, 1410, 1910, 2920, 4180, 4880)),
    "M4": BoltRow(4, 0.7, 4.3, 4.5, 4.8, READ_ONCE, _proof(1980, 2460, 3340, 5100, 7290, 8520)),
    "M5": BoltRow(5, 0.8, 5.3, 5.5, 5.8, READ_ONCE, _proof(3200, 3980, 5400, 8230, 11800, 13800)),
    "M6": BoltRow(6, 1.0, 6.4, 6.6, 7.0, READ_TWICE, _proof(4520, 5630, 7640, 11600, 16700, 19500)),
    "M8": BoltRow(8, 1.25, 8.4, 9.0, 10.0, READ_ONCE, _proof(8240, 10200, 13900, 21200, 30400, 35500)),
    "M10": BoltRow(10, 1.5, 10.5, 11.0, 12.0, READ_TWICE, _proof(13000, 16200, 22000, 33700, 48100, 56300)),
    "M12": BoltRow(12, 1.75, 13.0, 13.5, 14.5, READ_ONCE, _proof(19000, 23600, 32000, 48900, 70000, 81800)),
    "M14": BoltRow(14, 2.0, 15.0, 15.5, 16.5, READ_ONCE, _proof(25900, 32200, 43700, 66700, 95500, 112000)),
    "M16": BoltRow(16, 2.0, 17.0, 17.5, 18.5, READ_ONCE, _proof(35300, 44000, 59700, 91000, 130000, 152000)),
    "M18": BoltRow(18, 2.5, 19.0, 20.0, 21.0, READ_ONCE, _proof(43200, 53800, 73000, 115000, 159000, 186000)),
    "M20": BoltRow(20, 2.5, 21.0, 22.0, 24.0, READ_ONCE, _proof(55100, 68600, 93100, 147000, 203000, 238000)),
    "M22": BoltRow(22, 2.5, 23.0, 24.0, 26.0, READ_ONCE, _proof(68200, 84800, 115000, 182000, 252000, 294000)),
    "M24": BoltRow(24, 3.0, 25.0, 26.0, 28.0, READ_ONCE, _proof(79400, 98800, 134000, 212000, 293000, 342000)),
}


@dataclass(frozen=True)
class ClassRow:
    """Nominal tensile strength and yield strength (or 0.2 % proof strength) of a property class, N/mm²; how known."""

    tensile_n_mm2: float
    yield_n_mm2: float
    known: str


# EN 1992-4 works with the nominal figures, which for 8.8 and 10.9 are below ISO 898-1's least ones.
CLASSES: Final[Mapping[str, ClassRow]] = {
    "4.6": ClassRow(400, 240, READ_ONCE),
    "5.6": ClassRow(500, 300, READ_ONCE),
    "5.8": ClassRow(500, 400, "from memory: what the class's name says"),
    "8.8": ClassRow(800, 640, READ_ONCE),
    "10.9": ClassRow(1000, 900, READ_ONCE),
    "A2-70": ClassRow(700, 450, READ),
    "A4-70": ClassRow(700, 450, READ),
    "A4-80": ClassRow(800, 600, READ),
}

HOLE_SOURCE = "ISO 273:1979, clearance holes for bolts and screws"
AREA_SOURCE = "ISO 898-1, 9.1.6.1: A_s = π/4 · (d − 0.9382 P)², ISO 261 coarse pitch"
PROOF_SOURCE = "ISO 898-1, table of proof loads of coarse threads"
STEEL_SOURCE = (
    "EN 1992-4:2018, 7.2.1.3 (N_Rk,s = A_s · f_uk), 7.2.2.3 (V_Rk,s = k6 · A_s · f_uk, k6 0.6 to f_uk 500 and 0.5 "
    "above, from memory), partial factors of table 4.1, which national annexes may change; A_s after ISO 898-1"
)
STEEL_ASSUMPTIONS = (
    "coarse thread, threaded part in the joint; hot-dip galvanised M8 and M10 with undersize thread carry less",
    "the plate lies flat on the wall: no packer, board or render under it, so that nothing bends the bolt",
    "the bolt is of the class that is stamped on it; ductile (over 8 % elongation at break), so k7 = 1",
    "room temperature, steady load",
    "the steel alone: wall, resin and the piece's own plates are judged apart, and the weakest decides",
)

# Steels beyond this are outside EN 1992-4 (its scope, from memory).
MOST_TENSILE_N_MM2 = 1000.0
K6_SOFT, K6_HARD, K6_SOFT_TO_N_MM2 = 0.6, 0.5, 500.0


@dataclass(frozen=True)
class SteelResistance:
    """Design resistance of a bolt's steel in N: N_Rd,s along it (`pull_n`), V_Rd,s across it (`shear_n`).

    `pull_factor` and `shear_factor` are the partial factors they were divided by.
    """

    pull_n: float
    shear_n: float
    pull_factor: float
    shear_factor: float
    assumptions: tuple[str, ...]
    source: str


def clearance_hole_mm(bolt: str, fit: str = "medium") -> float:
    """Diameter in mm of the clearance hole for `bolt` ("M3"…"M24") in a `fit` of FITS.

    Source: ISO 273:1979 as BOLTS holds it, row by row with how it is known. Raises TradeError for a size or fit that
    the table does not have.
    """
    row = _row(bolt)
    holes = {"fine": row.fine_mm, "medium": row.medium_mm, "coarse": row.coarse_mm}
    if fit not in holes:
        message = f"fit is {str(fit)[:40]!r}; allowed is one of {', '.join(FITS)}"
        raise TradeError(message)
    return holes[fit]


def stress_area_mm2(bolt: str) -> float:
    """Nominal stress area in mm² of the coarse thread of `bolt` ("M3"…"M24").

    A_s = π/4 · (d − 0.9382 P)². Source: AREA_SOURCE, whose table rounds it to three figures. Raises TradeError for a
    size that BOLTS does not have.
    """
    row = _row(bolt)
    return math.pi / 4 * (row.diameter_mm - 0.9382 * row.pitch_mm) ** 2


def proof_load_n(bolt: str, property_class: str) -> float:
    """Proof load in N of `bolt` ("M3"…"M24") in a class of PROOF_CLASSES, as ISO 898-1's table has it.

    What the bolt takes without lasting stretch; it is no allowed load. Stainless steels have none (ISO 3506-1 gives no
    proof stress). Source: PROOF_SOURCE. Raises TradeError for a size or class that the table does not have.
    """
    row = _row(bolt)
    if property_class not in row.proof_n:
        message = f"property class is {str(property_class)[:40]!r}; allowed is one of {', '.join(PROOF_CLASSES)}"
        raise TradeError(message)
    return row.proof_n[property_class]


def steel_factors(tensile_n_mm2: float, yield_n_mm2: float) -> tuple[float, float]:
    """Partial factors of steel failure under pull and under shear, from f_uk and f_yk in N/mm².

    γ_Ms,N = max(1.2 f_uk/f_yk, 1.4); γ_Ms,V = max(f_uk/f_yk, 1.25) while f_uk ≤ 800 and f_yk/f_uk ≤ 0.8, else 1.5.
    Source: EN 1992-4:2018, table 4.1. Raises TradeError unless 0 < f_yk ≤ f_uk ≤ 1000.
    """
    for what, value in (("tensile strength", tensile_n_mm2), ("yield strength", yield_n_mm2)):
        in_range(what, value, 0, MOST_TENSILE_N_MM2, "N/mm²", above_low=True)
    if yield_n_mm2 > tensile_n_mm2:
        message = f"yield strength is {yield_n_mm2:g} N/mm²; allowed is at most the tensile, {tensile_n_mm2:g} N/mm²"
        raise TradeError(message)
    pull = max(1.2 * tensile_n_mm2 / yield_n_mm2, 1.4)
    soft = tensile_n_mm2 <= 800 and yield_n_mm2 <= 0.8 * tensile_n_mm2  # noqa: PLR2004 - the table's own bounds
    return pull, max(tensile_n_mm2 / yield_n_mm2, 1.25) if soft else 1.5


def steel_resistance(bolt: str, property_class: str) -> SteelResistance:
    """Design resistance in N of the steel of `bolt` ("M3"…"M24") in a class of CLASSES, under pull and under shear.

    N_Rd,s = A_s f_uk / γ_Ms,N; V_Rd,s = k6 A_s f_uk / γ_Ms,V without lever arm. Source: STEEL_SOURCE. Assumes
    STEEL_ASSUMPTIONS. Raises TradeError for a size or class without figures; 12.9 is beyond EN 1992-4 and refused.
    """
    area = stress_area_mm2(bolt)
    if property_class not in CLASSES:
        message = f"property class is {str(property_class)[:40]!r}; allowed is one of {', '.join(CLASSES)}"
        raise TradeError(message)
    steel = CLASSES[property_class]
    pull_factor, shear_factor = steel_factors(steel.tensile_n_mm2, steel.yield_n_mm2)
    k6 = K6_SOFT if steel.tensile_n_mm2 <= K6_SOFT_TO_N_MM2 else K6_HARD
    whole_n = area * steel.tensile_n_mm2
    return SteelResistance(
        pull_n=whole_n / pull_factor,
        shear_n=k6 * whole_n / shear_factor,
        pull_factor=pull_factor,
        shear_factor=shear_factor,
        assumptions=STEEL_ASSUMPTIONS,
        source=f"{STEEL_SOURCE}; class {property_class}: {steel.known}",
    )


def _row(bolt: str) -> BoltRow:
    """A size's row; a small m and spaces are forgiven."""
    name = bolt.strip().upper() if isinstance(bolt, str) else ""
    if name not in BOLTS:
        message = f"bolt is {str(bolt)[:40]!r}; allowed is one of {', '.join(BOLTS)}"
        raise TradeError(message)
    return BOLTS[name]
