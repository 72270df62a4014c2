"""A recipe for touching up, in plain words put together from what was recorded. Nothing is invented."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.finishing.models import ClimateReading
from siteapp.finishing.names import plain, same
from siteapp.finishing.state import sessions
from siteapp.web.figures import written
from siteapp.web.i18n import _, ngettext

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.finishing.models import Coat, Product
    from siteapp.finishing.state import SessionState, Told


def recipe(session: Session, piece_id: str) -> str | None:
    """How the surface was made, zone by zone, and what its products say of touching up; None without a coat.

    Words for a person to look over before a certificate carries them: the crew's notes stand in them as noted.
    """
    states = sessions(session, piece_id)
    zones: dict[str, list[Told[Coat]]] = {}
    for state in states:
        for coat in state.coats:
            zones.setdefault(plain(coat.said.zone), []).append(coat)
    if not zones:
        return None
    parts = [_zone(coats) for coats in zones.values()]
    return "\n\n".join([*parts, *_of_products(states), *_climates(states)])


def _zone(coats: Sequence[Told[Coat]]) -> str:
    """The coats of one zone in their order, those of one product and batch that lie on one another in one line."""
    ordered = sorted(coats, key=lambda one: (one.said.number, one.at))
    runs: list[list[Coat]] = []
    for coat in (one.said for one in ordered):
        last = runs[-1][-1] if runs else None
        if last and same(last.product, coat.product) and same(last.batch or "", coat.batch or ""):
            runs[-1].append(coat)
        else:
            runs.append([coat])
    return "\n".join([_("%(zone)s:", zone=ordered[0].said.zone), *(_run(run) for run in runs)])


def _run(coats: Sequence[Coat]) -> str:
    first = coats[0]
    batch = _("batch %(batch)s", batch=first.batch) if first.batch else _("batch not recorded")
    numbers = ", ".join(dict.fromkeys(str(coat.number) for coat in coats))
    words = [
        f"{first.product}, {batch}",
        ngettext("coat %(numbers)s", "coats %(numbers)s", len(coats), numbers=numbers),
    ]
    films = [f"{written(coat.wet_um, 0)} µm" for coat in coats if coat.wet_um is not None]
    words.append(
        _("wet film %(films)s", films=", ".join(dict.fromkeys(films))) if films else _("wet film not measured")
    )
    noted = dict.fromkeys(coat.note for coat in coats if coat.note)
    return "– " + "; ".join(words) + "." + "".join(" " + _("Noted: %(note)s", note=note) for note in noted)


def _of_products(states: Sequence[SessionState]) -> list[str]:
    """What the products' latest revisions say of touching up and keeping, with the sheet it is from."""
    found: dict[str, Product] = {}
    for state in states:
        for coat in state.coats:
            for revision in state.products.get(coat.said.product_id or "", ()):
                if revision.stands:
                    found[revision.said.product_id] = revision.said
    told: list[str] = []
    for said in found.values():
        lines = [
            _("Touching up: %(words)s", words=said.touch_up) if said.touch_up else None,
            _("An opened tin keeps: %(words)s", words=said.keeps_until) if said.keeps_until else None,
            _("Source: %(sheet)s", sheet=said.sheet) if said.sheet else None,
        ]
        if said.touch_up or said.keeps_until:
            name = f"{said.name} ({said.maker})" if said.maker else said.name
            told.append("\n".join([f"{name}:", *(line for line in lines if line)]))
    return told


def _climates(states: Sequence[SessionState]) -> list[str]:
    """Which data sheets the climates of the coats were held against."""
    told: dict[str, None] = {}
    for state in states:
        readings = {one.entry.id: one.said for one in state.climates}
        readings |= {one.entry.id: one.said for one in state.corrected if isinstance(one.said, ClimateReading)}
        for coat in state.coats:
            said = readings.get(coat.said.climate_id or "")
            if said and said.limits_source:
                words = _("Climate limits of %(product)s: %(source)s", product=said.product, source=said.limits_source)
                told[words if said.product else said.limits_source] = None
    return ["\n".join(told)] if told else []
