"""What goes into the pot: grams of each part, as they are poured onto one scale, and the catalyst."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from wtforms import Form

from siteapp.trade.coating import (
    CATALYST_ASSUMPTIONS,
    CATALYST_SOURCE,
    DENSEST_G_ML,
    LARGEST_MIX_G,
    LARGEST_PART,
    LEAST_CATALYST_PERCENT,
    MIX_ASSUMPTIONS,
    MIX_SOURCE,
    MOST_CATALYST_PERCENT,
    THINNEST_G_ML,
    catalyst,
    catalyst_g,
    mix_by_mass,
    parts_by_mass,
)
from siteapp.web.fields import Choice, Figure
from siteapp.web.i18n import _, _l

if TYPE_CHECKING:
    from siteapp.web.fieldbase import Problem
    from siteapp.web.i18n import Lazy

LEAST_G = 0.1
SMALLEST_PART = 0.001
ASSUMPTIONS = (*MIX_ASSUMPTIONS, *CATALYST_ASSUMPTIONS)
SOURCES = (MIX_SOURCE, CATALYST_SOURCE)
PARTS = ("a", "b", "thinner")
CATALYST = ("resin_g", "catalyst_percent", "catalyst_density")
PARTS_FIELDS = ("total_g", *(f"part_{name}" for name in PARTS), *(f"density_{name}" for name in PARTS))


@dataclass(frozen=True)
class Poured:
    """One part in the order of pouring: its grams, and what the scale reads once it is in."""

    part: str
    grams: float
    scale_g: float


@dataclass(frozen=True)
class Mixed:
    """What was worked out: the parts, the catalyst's grams, and its ml when its density is known."""

    poured: dict[str, Poured]
    catalyst_g: float | None
    catalyst_ml: float | None


def pour(total_g: float, parts: dict[str, float], densities: dict[str, float] | None) -> tuple[Poured, ...]:
    """Grams of each part by `trade.coating.mix_by_mass`; `parts` by volume when `densities` (g/ml) are given.

    Raises TradeError for figures that cannot be.
    """
    by_mass = parts if densities is None else parts_by_mass(parts, densities)
    scale_g, poured = 0.0, []
    for part, grams in mix_by_mass(total_g, by_mass).items():
        scale_g += grams
        poured.append(Poured(part, grams, scale_g))
    return tuple(poured)


def _part(label: Lazy) -> Figure:
    return Figure(label, low=SMALLEST_PART, high=LARGEST_PART)


def _density(label: Lazy) -> Figure:
    return Figure(label, unit="g/ml", low=THINNEST_G_ML, high=DENSEST_G_ML)


class MixForm(Form):
    """A mix as the data sheet gives it. It records nothing, so it has no id and is asked for by its address."""

    total_g = Figure(_l("Total wanted"), unit="g", low=LEAST_G, high=LARGEST_MIX_G)
    by = Choice(
        _l("The data sheet gives its parts"),
        choices=[("mass", _l("by mass")), ("volume", _l("by volume"))],
        default="mass",
    )
    part_a = _part(_l("Part A"))
    part_b = _part(_l("Part B"))
    part_thinner = _part(_l("Thinner"))
    density_a = _density(_l("Density of A"))
    density_b = _density(_l("Density of B"))
    density_thinner = _density(_l("Density of the thinner"))
    resin_g = Figure(_l("Resin"), unit="g", low=LEAST_G, high=LARGEST_MIX_G)
    catalyst_percent = Figure(_l("Catalyst by mass"), unit="%", low=LEAST_CATALYST_PERCENT, high=MOST_CATALYST_PERCENT)
    catalyst_density = _density(_l("Density of the catalyst"))

    def validate(self, extra_validators: Any = None) -> bool:
        """Check every field, and ask for what a mix that was begun still needs."""
        super().validate(extra_validators)
        for name in self._needed():
            if self[name].is_blank():
                self[name].refuse(self[name].missing())
        return not any(field.errors for field in self)

    def problems(self) -> list[Problem]:
        """Label, message and element id of everything that is wrong, in the order of the page."""
        return [problem for field in self for problem in field.problems()]

    def mixed(self) -> Mixed:
        """What a valid form comes to. Raises TradeError for figures that cannot be."""
        poured: tuple[Poured, ...] = ()
        if self._begun("total_g", "part_a", "part_b"):
            parts = {name: self[f"part_{name}"].data or 0.0 for name in PARTS}
            densities = {name: self[f"density_{name}"].data or 1.0 for name in PARTS}
            poured = pour(self.total_g.data, parts, densities if self.by.data == "volume" else None)
        grams = ml = None
        if self._begun("resin_g", "catalyst_percent"):
            grams = catalyst_g(self.resin_g.data, self.catalyst_percent.data)
            if self.catalyst_density.data is not None:
                _grams, ml = catalyst(self.resin_g.data, self.catalyst_percent.data, self.catalyst_density.data)
        return Mixed({one.part: one for one in poured}, grams, ml)

    def _begun(self, *names: str) -> bool:
        return any(not self[name].is_blank() for name in names)

    def _needed(self) -> list[str]:
        needed = []
        if self._begun("total_g", *(f"part_{name}" for name in PARTS)):
            needed = ["total_g", "part_a", "part_b"]
            if self.by.data == "volume":
                needed += [f"density_{name}" for name in PARTS if name != "thinner" or self._begun("part_thinner")]
        if self._begun("resin_g", "catalyst_percent"):
            needed += ["resin_g", "catalyst_percent"]
        return needed


def assumptions() -> tuple[str, ...]:
    """What is taken for granted, in the reader's language."""
    return tuple(_(line) for line in ASSUMPTIONS)


def sources() -> tuple[str, ...]:
    """Where the rules come from, in the reader's language."""
    return tuple(_(line) for line in SOURCES)
