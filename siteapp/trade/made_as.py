"""What one line of a build-up weighs by the sizes that its making asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from siteapp.trade import by_size
from siteapp.trade.errors import in_range, one_of
from siteapp.trade.weight import film_mass_kg_m2, laminate

if TYPE_CHECKING:
    from collections.abc import Mapping

LARGEST_M2 = 1_000.0

LAMINATE, FILM, BLOCK, PLATE = "laminate", "film", "block", "plate"
ROUND_BAR, ROUND_TUBE, SQUARE_TUBE = "round bar", "round tube", "square tube"
NEEDED: Final[dict[str, tuple[str, ...]]] = {
    LAMINATE: ("area_m2", "glass_g_m2", "glass_fraction"),
    FILM: ("area_m2", "film_um", "density_kg_m3"),
    BLOCK: ("length_mm", "width_mm", "height_mm", "density_kg_m3"),
    PLATE: ("length_mm", "width_mm", "thickness_mm", "density_kg_m3"),
    ROUND_BAR: ("length_mm", "width_mm", "density_kg_m3"),
    ROUND_TUBE: ("length_mm", "width_mm", "thickness_mm", "density_kg_m3"),
    SQUARE_TUBE: ("length_mm", "width_mm", "height_mm", "thickness_mm", "density_kg_m3"),
}
# What has a usual density where none is given: plates, bars and tubes are steel.
USUAL_KG_M3: Final[dict[str, float]] = dict.fromkeys((PLATE, ROUND_BAR, ROUND_TUBE, SQUARE_TUBE), by_size.STEEL_KG_M3)


@dataclass(frozen=True)
class Made:
    """One piece of a line: its mass in kg, and its thickness in mm where that follows from what it is made of."""

    mass_kg: float
    thickness_mm: float | None = None


def made(made_as: str, sizes: Mapping[str, float | None]) -> Made | None:
    """What one piece weighs that is `made_as` one of NEEDED; None while a size that it asks for is not given.

    Sizes by the names in NEEDED, units in the names; areas above 0 to 1000 m². A width is the diameter of what is
    round, the outside one of a tube, whose thickness is its wall. Formulas, ranges and sources as `weight.laminate`,
    `weight.film_mass_kg_m2` and `by_size`. Raises TradeError outside the ranges and for another making.
    """
    one_of("made as", made_as, NEEDED)
    usual = {"density_kg_m3": USUAL_KG_M3.get(made_as)}
    given = {name: usual.get(name) if sizes.get(name) is None else sizes[name] for name in NEEDED[made_as]}
    known = {name: size for name, size in given.items() if size is not None}
    if len(known) < len(given):
        return None
    if made_as == LAMINATE:
        found = laminate(known["glass_g_m2"], known["glass_fraction"])
        return Made(_area(known) * found.mass_kg_m2, found.thickness_mm)
    if made_as == FILM:
        return Made(_area(known) * film_mass_kg_m2(known["film_um"], known["density_kg_m3"]), known["film_um"] / 1000)
    length, width, density = known["length_mm"], known["width_mm"], known["density_kg_m3"]
    if made_as == BLOCK:
        return Made(by_size.block_mass_kg(length, width, known["height_mm"], density))
    if made_as == ROUND_BAR:
        return Made(by_size.round_bar_mass_kg(width, length, density))
    thickness = known["thickness_mm"]
    if made_as == PLATE:
        return Made(by_size.block_mass_kg(length, width, thickness, density))
    if made_as == ROUND_TUBE:
        return Made(by_size.tube_mass_kg(width, thickness, length, density))
    return Made(by_size.square_tube_mass_kg(width, known["height_mm"], thickness, length, density))


def _area(known: Mapping[str, float]) -> float:
    return in_range("area", known["area_m2"], 0, LARGEST_M2, "m²", above_low=True)
