"""Figures with their units, sizes and weights, as every document writes them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.records import ESTIMATED, WEIGHED

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.documents.certificate.records import Sizes, Weight

    Say = Callable[[str], str]


def number_and_unit(value: float | None, unit: str, places: int = 1) -> str | None:
    """Write a figure with its unit, a space that does not break between them; None stays None."""
    return None if value is None else f"{pages.figure(value, places)}\u00a0{unit}"


def weight_words(weight: Weight, say: Say) -> str | None:
    """Write the weight with where it came from."""
    mass = number_and_unit(weight.mass_kg, "kg")
    if mass is None:
        return None
    if weight.origin == WEIGHED:
        return say("%s, weighed") % mass
    if weight.origin == ESTIMATED:
        return say("about %s, estimated and not weighed") % mass
    return say("%s, where it came from is not recorded") % mass


def sizes_words(sizes: Sizes, say: Say) -> str | None:
    """Write height, width and depth, those that are known; None when none is."""
    told = [
        f"{name} {number_and_unit(value, 'mm', 0)}"
        for name, value in (
            (say("height"), sizes.height_mm),
            (say("width"), sizes.width_mm),
            (say("depth"), sizes.depth_mm),
        )
        if value is not None
    ]
    return ", ".join(told) or None
