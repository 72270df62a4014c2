"""Patches of colour for a screen: the sample and each zone's mean side by side, drawn as SVG."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from siteapp.finishing.colour.state import reading_of
from siteapp.trade.colour import Srgb, lab_to_srgb
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from siteapp.finishing.colour.state import ColourNow
    from siteapp.trade.colour import Lab

WIDE, HIGH = 320, 96


@dataclass(frozen=True)
class Patch:
    """One patch: whose it is, and what a screen shows of it."""

    name: str
    shown: Srgb


def patches(now: ColourNow) -> list[Patch]:
    """The sample's patch first, then a zone's each; only of what was measured."""
    sample = reading_of(now.sample)
    told: list[tuple[str, Lab]] = [(now.sample.name, sample.lab)] if sample else []
    told += [(zone.name, zone.match.mean) for zone in now.zones if zone.match and zone.match.mean]
    return [Patch(name, lab_to_srgb(lab)) for name, lab in told]


def drawn(found: list[Patch]) -> Markup:
    """The patches touching each other, so that an edge between them is seen; named for those who do not see it."""
    if not found:
        return Markup()
    wide = WIDE / len(found)
    rects = Markup().join(
        Markup('<rect x="{}" y="0" width="{}" height="{}" fill="{}"/>').format(
            f"{place * wide:.2f}", f"{wide:.2f}", HIGH, one.shown.hex
        )
        for place, one in enumerate(found)
    )
    words = _("Patches: %(names)s", names=", ".join(f"{one.name} {one.shown.hex}" for one in found))
    return Markup('<svg viewBox="0 0 {} {}" width="480" role="img" aria-label="{}" class="plan">{}</svg>').format(
        WIDE, HIGH, escape(words), rects
    )
