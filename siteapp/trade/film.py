"""Paint film as it was put on: measured with a comb gauge, or estimated from what was used; how far the paint goes.

The product's data sheet overrules.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import mean
from typing import TYPE_CHECKING

from siteapp.trade.coating import (
    FILM_ASSUMPTIONS,
    FILM_SOURCE,
    SPREADING_ASSUMPTIONS,
    SPREADING_SOURCE,
    THICKEST_UM,
    THINNEST_UM,
    dry_film_um,
    film_from_use_um,
    spreading_rate_m2_per_l,
    volume_needed_l,
)
from siteapp.trade.errors import TradeError, in_range
from siteapp.trade.findings import Findings
from siteapp.trade.verdicts import CANNOT_TELL, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.trade.verdicts import Verdict

GAUGE, USED = "comb gauge", "volume used"
FEWEST = 3  # readings of a zone (ours): one place says nothing of the next
MOST_READINGS = 60

GAUGE_SOURCE = f"wet film by comb gauge (ISO 2808, from memory), at once after it was put on; {FILM_SOURCE}"
USED_SOURCE = f"mean film = volume used × volume solids / area; {SPREADING_SOURCE}"
GAUGE_ASSUMPTIONS = (
    *FILM_ASSUMPTIONS,
    "every reading lies within the target, which asks more than rules that let some lie under it",
)
USED_ASSUMPTIONS = (*SPREADING_ASSUMPTIONS, "an estimate of the mean, which says nothing of the thinnest place")


@dataclass(frozen=True)
class Film:
    """The film of one coat in µm: `dry_um` of its mean, `low_um` and `high_um` of its thinnest and thickest reading.

    None is not known. `how` is `comb gauge` or `volume used`.
    """

    how: str
    wet_um: float | None
    dry_um: float | None
    low_um: float | None
    high_um: float | None
    target_um: float | None
    most_um: float | None
    verdict: Verdict
    reasons: tuple[str, ...]
    assumptions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class Coverage:
    """Paint for an area: litres and kilograms needed, how far a litre goes, what is left over; None is not known."""

    needed_l: float
    needed_kg: float | None
    rate_m2_per_l: float
    left_l: float | None
    verdict: Verdict
    reasons: tuple[str, ...]
    assumptions: tuple[str, ...] = SPREADING_ASSUMPTIONS
    source: str = SPREADING_SOURCE


def film_from_gauge(
    readings_um: Sequence[float],
    volume_solids: float | None,
    *,
    thinned: float = 0.0,
    target_um: float | None = None,
    most_um: float | None = None,
) -> Film:
    """The film of one coat from comb-gauge readings of its wet film (0.1…20 000 µm each, 1 to 60 of them).

    `volume_solids` and `thinned` as `coating.dry_film_um`; `target_um` and `most_um` the dry film the sheet asks for,
    least and most. *Not met* when a reading's dry film lies outside; *met* from three readings on, all inside;
    otherwise *cannot tell*. Source: GAUGE_SOURCE. Assumes GAUGE_ASSUMPTIONS. Raises TradeError outside the ranges.
    """
    if not 1 <= len(readings_um) <= MOST_READINGS:
        message = f"readings of the wet film are {len(readings_um)}; allowed is 1 to {MOST_READINGS}"
        raise TradeError(message)
    for one in readings_um:
        in_range("wet film", one, THINNEST_UM, THICKEST_UM, "µm")
    _target(target_um, most_um)
    findings = Findings()
    wet = mean(readings_um)
    dry = low = high = None
    if volume_solids is None:
        findings.cannot_tell("the volume solids are not known; they are on the data sheet")
    else:
        dry, low, high = (dry_film_um(one, volume_solids, thinned) for one in (wet, min(readings_um), max(readings_um)))
    if len(readings_um) < FEWEST:
        findings.cannot_tell(f"{len(readings_um)} of at least {FEWEST} readings")
    _within(findings, low, high, target_um, most_um)
    told = tuple(findings.reasons)
    return Film(GAUGE, wet, dry, low, high, target_um, most_um, findings.verdict, told, GAUGE_ASSUMPTIONS, GAUGE_SOURCE)


def film_from_volume(
    volume_l: float,
    area_m2: float,
    volume_solids: float | None,
    *,
    loss: float = 0.0,
    target_um: float | None = None,
    most_um: float | None = None,
) -> Film:
    """The mean film of one coat from the paint that was used, before thinning; ranges as `coating.film_from_use_um`.

    An estimate: it may be *not met*, never *met*. Source: USED_SOURCE. Assumes USED_ASSUMPTIONS. Raises TradeError
    outside the ranges.
    """
    _target(target_um, most_um)
    findings = Findings()
    dry = None
    if volume_solids is None:
        film_from_use_um(volume_l, area_m2, 1.0, loss)  # refuses what cannot be
        findings.cannot_tell("the volume solids are not known; they are on the data sheet")
    else:
        dry = film_from_use_um(volume_l, area_m2, volume_solids, loss)
    _within(findings, dry, dry, target_um, most_um)
    findings.cannot_tell("estimated from the volume used; a gauge shows the film")
    told = tuple(findings.reasons)
    return Film(USED, None, dry, None, None, target_um, most_um, findings.verdict, told, USED_ASSUMPTIONS, USED_SOURCE)


def built_up(
    coats: Sequence[Film | None], *, target_um: float | None = None, most_um: float | None = None
) -> tuple[float | None, Verdict, tuple[str, ...]]:
    """The dry film of some coats together, µm, and how it stands to their common target; None is a coat unmeasured.

    By the thinnest and thickest readings where they were measured. *Met* only when every coat was measured with a
    gauge.
    """
    _target(target_um, most_um)
    findings = Findings()
    known = [one for one in coats if one is not None and one.dry_um is not None]
    if len(known) < len(coats) or not coats:
        findings.cannot_tell(
            f"the film of {len(coats) - len(known)} coats is not known" if coats else "no coat is on it"
        )
    if any(one.how == USED for one in known):
        findings.cannot_tell("some of it is an estimate from the volume used")
    low = sum(one.low_um if one.low_um is not None else one.dry_um or 0.0 for one in known)
    high = sum(one.high_um if one.high_um is not None else one.dry_um or 0.0 for one in known)
    whole = len(known) == len(coats) and bool(coats)
    _within(findings, low if whole else None, high if known else None, target_um, most_um)
    total = sum(one.dry_um or 0.0 for one in known) if known else None
    return total, findings.verdict, tuple(findings.reasons)


def coverage(
    area_m2: float,
    dry_um: float,
    volume_solids: float,
    *,
    loss: float = 0.0,
    coats: int = 1,
    in_tins_l: float | None = None,
    density_g_ml: float | None = None,
) -> Coverage:
    """Paint for `coats` of `dry_um` each on `area_m2`; ranges as `coating.volume_needed_l`, `in_tins_l` 0…100 000.

    Enough in the tins is an estimate: *not met* when it is plainly too little, else *cannot tell*. Source:
    SPREADING_SOURCE.
    """
    needed = volume_needed_l(area_m2, dry_um, volume_solids, loss, coats)
    rate = spreading_rate_m2_per_l(volume_solids, dry_um, loss)
    kg = None if density_g_ml is None else needed * in_range("density", density_g_ml, 0.1, 10, "g/ml")
    if in_tins_l is None:
        return Coverage(needed, kg, rate, None, CANNOT_TELL, ("what is in the tins is not known",))
    left = in_range("in the tins", in_tins_l, 0, 100_000, "l") - needed
    words = "by the sheet's figures" if left >= 0 else f"{-left:.2g} l too little by the sheet's figures"
    return Coverage(needed, kg, rate, left, NOT_MET if left < 0 else CANNOT_TELL, (words,))


def _target(target: float | None, most: float | None) -> None:
    for name, value in (("dry film asked for", target), ("most dry film", most)):
        if value is not None:
            in_range(name, value, THINNEST_UM, THICKEST_UM, "µm")
    if target is not None and most is not None and most < target:
        message = f"most dry film is {most:g} µm; allowed is at least what is asked for, {target:g} µm"
        raise TradeError(message)


def _within(
    findings: Findings, low: float | None, high: float | None, target: float | None, most: float | None
) -> None:
    if target is None:
        findings.cannot_tell(
            "no dry film is asked for: the data sheet has it for a coat, the map of zones for all of them"
        )
    elif low is not None and low < target:
        findings.not_met(f"{low:.0f} µm dry at the thinnest; {target:g} µm are asked for")
    if most is not None and high is not None and high > most:
        findings.not_met(f"{high:.0f} µm dry at the thickest; at most {most:g} µm are allowed")
