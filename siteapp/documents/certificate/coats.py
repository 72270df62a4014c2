"""The coats of a certificate: what went on where, when, and in which climate."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.records import MET, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from siteapp.documents.certificate.records import Coat

    Say = Callable[[str], str]


def coats_section(coats: Sequence[Coat], say: Say) -> Section:
    """Give the section of coats: a row a coat, its climate with inputs, dew point, margin, answer and limits."""
    return Section(
        heading=say("Coats"),
        key="coats",
        table=Table(
            columns=(say("Coat"), say("When"), say("Climate as it went on")),
            rows=tuple((_what(coat, say), _when(coat, say), _climate(coat, say)) for coat in coats),
            widths=(34, 22, 44),
        )
        if coats
        else None,
        note=say(
            "Margin is how far the surface was above the dew point of the air (Magnus formula; Alduchov and "
            "Eskridge, 1996). The answer takes the instruments' errors into account."
        )
        if coats
        else None,
    )


def _what(coat: Coat, say: Say) -> str:
    first = coat.product if coat.number is None else f"{coat.number}. {coat.product}"
    lines = [first, coat.area or say("area not recorded")]
    lines.append(say("batch %s") % coat.batch if coat.batch else say("batch not recorded"))
    if coat.wet_um is not None:
        lines.append(say("%s µm wet") % pages.figure(coat.wet_um, 0))
    lines += _film(coat, say)
    if coat.note:
        lines.append(coat.note)
    return "\n".join(lines)


def _film(coat: Coat, say: Say) -> list[str]:
    """The dry film, how it is known and what was asked for; an estimate of it says that it is one."""
    if coat.dry_um is None:
        return []
    told = [say("%s µm dry") % pages.figure(coat.dry_um, 0)]
    if coat.dry_low_um is not None and coat.dry_low_um != coat.dry_um:
        told.append(say("thinnest %s µm") % pages.figure(coat.dry_low_um, 0))
    told += [say("from the %s") % say(coat.film_how)] if coat.film_how else []
    if coat.target_um is not None:
        told.append(say("asked for: %s µm") % pages.figure(coat.target_um, 0))
    return [", ".join(told) + (f" ({say(coat.film_verdict)})" if coat.film_verdict else "")]


def _when(coat: Coat, say: Say) -> str:
    return "\n".join(part for part in (pages.instant(coat.at, say), coat.by) if part) or say("not recorded")


def _climate(coat: Coat, say: Say) -> str:
    told = [
        say("%(what)s %(value)s") % {"what": what, "value": f"{pages.figure(value)}\u00a0{unit}"}
        for what, value, unit in (
            (say("air"), coat.air_c, "°C"),
            (say("humidity"), coat.relative_humidity, "%"),
            (say("surface"), coat.surface_c, "°C"),
            (say("dew point"), coat.dew_point_c, "°C"),
            (say("margin"), coat.margin_c, "°C"),
        )
        if value is not None
    ]
    lines = [", ".join(told) or say("climate not recorded"), say(coat.verdict) if coat.verdict else say("cannot tell")]
    if coat.limits_source:
        lines.append(say("limits: %s") % coat.limits_source)
    if coat.reason and coat.verdict != MET:
        lines.append(say("applied all the same: %s") % coat.reason)
    return "\n".join(lines)
