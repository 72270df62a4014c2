"""Colour, touch-up kit and fire as a certificate carries them: measured figures, nothing extrapolated."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from siteapp.documents.certificate import finish_records as finish
from siteapp.documents.certificate import fire_records as fire
from siteapp.finishing.colour.state import colours
from siteapp.finishing.kit.services import kit_now
from siteapp.handover.gathered import day_of
from siteapp.heat.appliance.services import appliance_now, distances_now
from siteapp.heat.evidence.services import evidence, limits_now
from siteapp.heat.testing.state import fire_state, judged
from siteapp.people.services import names

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.finishing.colour.state import ColourNow, ZoneNow
    from siteapp.heat.testing.state import HeatTestNow
    from siteapp.pieces.services import PieceNow


def colours_told(session: Session, piece_id: str) -> tuple[finish.ColourMatch, ...]:
    """Each sample, what was read against it, and what the client said."""
    return tuple(_colour(now) for now in colours(session, piece_id))


def kit_told(session: Session, piece_id: str) -> finish.TouchUpKit | None:
    """The touch-up kit as it stands; None where none was put together."""
    now = kit_now(session, piece_id)
    if now is None:
        return None
    said = now.version.said
    things = tuple(finish.KitThing(item.what, item.amount, item.batch, item.keeps_until) for item in now.items)
    return finish.TouchUpKit(said.kept, said.keeps_until, said.keeps_why, things)


def fire_told(session: Session, piece: PieceNow) -> dict[str, Any]:
    """Reports, limits, appliance and the latest heat test, as fields of a certificate's `Fire`."""
    reports = tuple(
        fire.FireReport(
            report=one.said.report,
            tested=one.said.tested,
            layers=one.said.tested_words,
            laboratory=one.said.laboratory,
            standard=one.said.standard,
            result=one.said.result,
            reported_on=one.said.reported_on,
            covers=one.said.covers,
            covers_not=one.said.covers_not,
        )
        for one in reversed(evidence(session, piece.piece_id))
    )
    limits = tuple(
        fire.PartLimit(row.part, row.named, row.limit_c, row.known_from, row.document)
        for row in limits_now(session, piece.piece_id).rows
        if not row.absent
    )
    state = fire_state(session, piece)
    tests = (_test(session, state.test, state.verdict),) if state.test else ()
    return {"reports": reports, "limits": limits, "appliance": _appliance(session, piece), "tests": tests}


def _colour(now: ColourNow) -> finish.ColourMatch:
    said, given = now.sample, now.answer.said if now.answer else None
    return finish.ColourMatch(
        sample=said.name,
        made_of=said.made_of,
        l=said.l,
        a=said.a,
        b=said.b,
        gloss=said.gloss,
        gloss_deg=said.gloss_deg,
        instrument=said.instrument,
        illuminant=said.illuminant,
        observer=said.observer,
        tolerance=said.tolerance,
        gloss_tolerance=said.gloss_tolerance,
        zones=tuple(_zone(zone) for zone in now.zones),
        client_yes=given.yes if given else None,
        client_said=given.client_words if given else None,
        light=given.light if given else None,
    )


def _zone(zone: ZoneNow) -> finish.ColourZone:
    match, mean = zone.match, zone.match.mean if zone.match else None
    return finish.ColourZone(
        zone=zone.name,
        count=len(zone.readings),
        l=round(mean.l, 2) if mean else None,
        a=round(mean.a, 2) if mean else None,
        b=round(mean.b, 2) if mean else None,
        delta_e=round(match.delta_e, 3) if match and match.delta_e is not None else None,
        worst=round(match.worst, 3) if match and match.worst is not None else None,
        gloss=round(zone.gloss.mean, 2) if zone.gloss and zone.gloss.mean is not None else None,
        verdict=match.verdict if match else (zone.gloss.verdict if zone.gloss else None),
    )


def _appliance(session: Session, piece: PieceNow) -> fire.Appliance | None:
    described = appliance_now(session, piece.piece_id)
    if described is None:
        return None
    said = described.said
    held = distances_now(session, piece).held
    return fire.Appliance(
        kind=said.kind,
        model=said.model,
        fuel=said.fuel,
        output_kw=said.output_kw,
        instructions=said.instructions,
        commissioned=said.commissioned,
        commissioning=said.commissioning,
        distances=tuple(
            fire.Distance(
                one.thing.name,
                one.thing.place,
                one.thing.distance_mm,
                one.asked_mm,
                one.verdict,
                "the plate" if one.by == "plate" else one.by or None,
            )
            for one in held
        ),
    )


def _test(session: Session, test: HeatTestNow, verdict: str) -> fire.HeatTest:
    """What the probes measured; the plateau only where one was."""
    found = judged(test, limits_now(session, test.begun.entry.piece_id or ""))
    said = test.begun.said
    probes = []
    for probe in test.probes:
        read = found.tests.get(probe.label)
        probes.append(
            fire.Probe(
                label=probe.label,
                spot=probe.spot,
                where=probe.placed,
                thermometer=probe.thermometer,
                error_c=probe.error_c,
                highest_c=round(read.peak_c, 1) if read and read.peak_c is not None else None,
                plateau_c=round(read.plateau_c, 1)
                if read and read.plateau_c is not None and read.long_enough
                else None,
            )
        )
    logged = max((read.minutes for read in found.tests.values()), default=None)
    by = names(session, [test.begun.entry.by_id]).get(test.begun.entry.by_id or "")
    return fire.HeatTest(
        on=day_of(test.lit_at),
        fuel=said.fuel,
        output=said.output,
        minutes=round(logged, 1) if logged is not None else None,
        room_c=said.room_c,
        hottest_room_c=said.hottest_room_c,
        margin_c=said.margin_c,
        verdict=verdict,
        by=by,
        probes=tuple(probes),
    )
