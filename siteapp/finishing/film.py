"""What the film of a coat comes to, from comb-gauge readings or from what was used; and of a zone's coats together."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from siteapp.finishing.models import COMB_GAUGE
from siteapp.trade.coating import THICKEST_UM, THINNEST_UM
from siteapp.trade.film import Coverage, Film, built_up, coverage, film_from_gauge, film_from_volume
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from siteapp.finishing.models import Coat, Product, SurfaceZone
    from siteapp.finishing.state import Told

CALCULATION = "film 1"
MOST_READINGS = 60
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


class NoReadings(ValueError):
    """What was typed as readings is none; the message says which part."""


@dataclass(frozen=True)
class ZoneFilm:
    """The dry film on a zone, µm, against what its coats together should be; and paint for it, where that is known."""

    dry_um: float | None
    target_um: float | None
    most_um: float | None
    verdict: str
    reasons: tuple[str, ...]
    needed: Coverage | None
    used_l: float


def readings_of(text: str | None) -> list[float]:
    """Comb-gauge readings as typed, "120 130 115", in µm. Raises NoReadings for what is no number in 0.1…20 000."""
    found = []
    for part in re.split(r"[\s;/]+", (text or "").strip()):
        if not part:
            continue
        if not NUMBER.fullmatch(part) or not THINNEST_UM <= (value := float(part.replace(",", "."))) <= THICKEST_UM:
            message = _(
                "“%(part)s” is no reading. Give numbers of 0.1 to 20 000 µm with spaces between.", part=part[:40]
            )
            raise NoReadings(message)
        found.append(value)
    if len(found) > MOST_READINGS:
        raise NoReadings(_("%(count)s are too many. Give at most %(most)s.", count=len(found), most=MOST_READINGS))
    return found


def work_out(facts: dict[str, Any], product: Product | None) -> dict[str, Any]:
    """The columns of a coat's film; empty where nothing was measured or used. Raises TradeError for what cannot be.

    Volume solids and the film asked for are the coat's own where typed, else the product's.
    """
    solids = _first(facts.get("volume_solids_percent"), product.volume_solids_percent if product else None)
    target = _first(facts.get("target_um"), product.target_um if product else None)
    most = _first(facts.get("target_most_um"), product.target_most_um if product else None)
    asked = {"volume_solids_percent": solids, "target_um": target, "target_most_um": most}
    share = None if solids is None else solids / 100
    gauge, volume, area = facts.get("gauge") or [], facts.get("volume_l"), facts.get("area_m2")
    if gauge:
        thinned = (facts.get("thinned_percent") or 0.0) / 100
        film = film_from_gauge(gauge, share, thinned=thinned, target_um=target, most_um=most)
    elif volume is not None and area is not None:
        loss = (facts.get("loss_percent") or 0.0) / 100
        film = film_from_volume(volume, area, share, loss=loss, target_um=target, most_um=most)
    else:
        return asked
    return asked | {
        "film_how": film.how,
        "dry_um": film.dry_um,
        "dry_low_um": film.low_um,
        "dry_high_um": film.high_um,
        "film_verdict": film.verdict,
        "film_reasons": "; ".join(film.reasons) or None,
        "film_source": f"{film.source}; {_('taken for granted')}: {'; '.join(film.assumptions)}",
        "film_calculation": CALCULATION,
    }


def of_zone(coats: Sequence[Told[Coat]], zone: SurfaceZone | None, product: Product | None) -> ZoneFilm:
    """The film on a zone after its coats, and the paint that the rest of it takes by the sheet."""
    films = [_kept(one.said) for one in coats]
    target, most = (zone.target_um, zone.target_most_um) if zone else (None, None)
    total, verdict, reasons = built_up(films, target_um=target, most_um=most)
    used = sum(one.said.volume_l or 0.0 for one in coats)
    return ZoneFilm(total, target, most, verdict, reasons, _needed(zone, product), used)


def _needed(zone: SurfaceZone | None, product: Product | None) -> Coverage | None:
    if zone is None or product is None or zone.area_m2 is None:
        return None
    if product.volume_solids_percent is None or product.target_um is None:
        return None
    solids = product.volume_solids_percent / 100
    return coverage(zone.area_m2, product.target_um, solids, coats=zone.coats or 1, density_g_ml=product.density_g_ml)


def _kept(said: Coat) -> Film | None:
    """A film as it was worked out when its coat was kept."""
    if said.film_how is None or said.film_verdict is None:
        return None
    measured = said.film_how == COMB_GAUGE
    return Film(
        how=said.film_how,
        wet_um=said.wet_um,
        dry_um=said.dry_um,
        low_um=said.dry_low_um if measured else None,
        high_um=said.dry_high_um if measured else None,
        target_um=said.target_um,
        most_um=said.target_most_um,
        verdict=said.film_verdict,  # type: ignore[arg-type]
        reasons=(),
        assumptions=(),
        source=said.film_source or "",
    )


def _first(typed: float | None, sheet: float | None) -> float | None:
    return sheet if typed is None else typed
