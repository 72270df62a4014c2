"""Masses of blocks, bars and tubes by their sizes, and areas of simple open shells with how far out they sit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siteapp.trade.errors import in_range

# Wide enough for anything in a piece; a slipped decimal point, or g/cm³ typed for kg/m³, still falls outside. Ours.
LONGEST_MM = 20_000.0
LIGHTEST_KG_M3 = 5.0
HEAVIEST_KG_M3 = 25_000.0

# The usual figure for structural steel, as EN 1993-1-1 and bar tables take it; from memory.
STEEL_KG_M3 = 7_850.0

MASS_SOURCE = "mass = volume × density"
MASS_ASSUMPTIONS = (
    "full and even: holes, threads, welds and zinc are left out",
    "the density is the data sheet's; foam soaks up resin where it is laminated on",
)
SHELL_SOURCE = (
    "areas and middles of surfaces: box, half cylinder, cone, cap of a ball (geometry; Archimedes for the cap)"
)
SHELL_ASSUMPTIONS = (
    "equally thick everywhere, open at the back, its back against the wall",
    "sizes are those of the middle of the thickness",
)

CUBIC_MM_PER_M3 = 1e9
SQUARE_MM_PER_M2 = 1e6


@dataclass(frozen=True)
class Shell:
    """A thin shell: its area in m² and how far in mm in front of its open back its weight sits."""

    area_m2: float
    out_mm: float
    assumptions: tuple[str, ...] = SHELL_ASSUMPTIONS
    source: str = SHELL_SOURCE


def block_mass_kg(length_mm: float, width_mm: float, thickness_mm: float, density_kg_m3: float) -> float:
    """Mass in kg of a block, a plate or a flat bar: length · width · thickness · density.

    Lengths above 0 to 20 000 mm, density 5…25 000 kg/m³. Source: MASS_SOURCE. Assumes MASS_ASSUMPTIONS. Raises
    TradeError outside the ranges.
    """
    sides = _length("length", length_mm) * _length("width", width_mm) * _length("thickness", thickness_mm)
    return sides * _density(density_kg_m3)


def round_bar_mass_kg(diameter_mm: float, length_mm: float, density_kg_m3: float = STEEL_KG_M3) -> float:
    """Mass in kg of a round bar: π/4 · d² · length · density. Ranges, source and assumptions as `block_mass_kg`."""
    face = math.pi / 4 * _length("diameter", diameter_mm) ** 2
    return face * _length("length", length_mm) * _density(density_kg_m3)


def tube_mass_kg(outside_mm: float, wall_mm: float, length_mm: float, density_kg_m3: float = STEEL_KG_M3) -> float:
    """Mass in kg of a round tube: π · (D − t) · t · length · density; the wall t is at most half of the outside D.

    Ranges, source and assumptions as `block_mass_kg`.
    """
    _half("wall", wall_mm, _length("outside diameter", outside_mm))
    return math.pi * (outside_mm - wall_mm) * wall_mm * _length("length", length_mm) * _density(density_kg_m3)


def square_tube_mass_kg(
    width_mm: float, height_mm: float, wall_mm: float, length_mm: float, density_kg_m3: float = STEEL_KG_M3
) -> float:
    """Mass in kg of a square or oblong tube with sharp corners: 2·t·(b + h − 2·t) · length · density.

    The wall t is at most half of the lesser of b and h; rounded corners make it a few per cent lighter. Ranges, source
    and assumptions as `block_mass_kg`.
    """
    _half("wall", wall_mm, min(_length("width", width_mm), _length("height", height_mm)))
    face = 2 * wall_mm * (width_mm + height_mm - 2 * wall_mm)
    return face * _length("length", length_mm) * _density(density_kg_m3)


def open_box(width_mm: float, height_mm: float, depth_mm: float) -> Shell:
    """A front with four sides of `depth_mm`, open at the back; each size above 0 to 20 000 mm.

    A = b·h + 2·d·(b + h); out = (b·h·d + d²·(b + h)) / A. Source: SHELL_SOURCE. Assumes SHELL_ASSUMPTIONS. Raises
    TradeError outside the ranges.
    """
    width, height, depth = _length("width", width_mm), _length("height", height_mm), _length("depth", depth_mm)
    front, sides = width * height, 2 * depth * (width + height)
    return Shell((front + sides) / SQUARE_MM_PER_M2, (front + sides / 2) / (front + sides) * depth)


def half_cylinder(radius_mm: float, length_mm: float) -> Shell:
    """A half cylinder without its ends, cut side to the wall: A = π·r·l, out = 2·r/π. As `open_box` for the rest."""
    radius, length = _length("radius", radius_mm), _length("length", length_mm)
    return Shell(math.pi * radius * length / SQUARE_MM_PER_M2, 2 * radius / math.pi)


def cone(radius_mm: float, depth_mm: float) -> Shell:
    """A cone on its open base: A = π·r·√(r² + d²), out = d/3. As `open_box` for the rest."""
    radius, depth = _length("radius", radius_mm), _length("depth", depth_mm)
    return Shell(math.pi * radius * math.hypot(radius, depth) / SQUARE_MM_PER_M2, depth / 3)


def dome(radius_mm: float, depth_mm: float) -> Shell:
    """A cap of a ball on its open rim of `radius_mm`: A = π·(r² + d²), out = d/2. As `open_box` for the rest.

    A `depth_mm` above the radius is more than half of a ball, which is as good.
    """
    radius, depth = _length("radius of the rim", radius_mm), _length("depth", depth_mm)
    return Shell(math.pi * (radius**2 + depth**2) / SQUARE_MM_PER_M2, depth / 2)


def _length(what: str, length_mm: float) -> float:
    return in_range(what, length_mm, 0, LONGEST_MM, "mm", above_low=True)


def _half(what: str, wall_mm: float, whole_mm: float) -> None:
    in_range(what, wall_mm, 0, whole_mm / 2, "mm", above_low=True)


def _density(density_kg_m3: float) -> float:
    return in_range("density", density_kg_m3, LIGHTEST_KG_M3, HEAVIEST_KG_M3, "kg/m³") / CUBIC_MM_PER_M3
