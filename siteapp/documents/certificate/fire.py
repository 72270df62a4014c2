"""Fire and heat on a certificate: evidence and its reach, limits, the appliance, what a heat test measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.measures import number_and_unit
from siteapp.documents.records import MET, Fact, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from siteapp.documents.certificate.fire_records import Appliance, FireReport, HeatTest, PartLimit, Probe
    from siteapp.documents.certificate.records import CertificateRecord, Fire

    Say = Callable[[str], str]

DASH = "–"


def sections(record: CertificateRecord, say: Say) -> Iterator[Section]:
    """Give what is known of fire, in reading order; the condition first."""
    fire = record.fire
    yield Section(
        heading=say("What is known of fire"),
        key="fire",
        stop=stop_words(record, say),
        facts=(
            Fact(say("Fire class"), fire.fire_class),
            Fact(say("Evidence"), fire.evidence),
            *_covers(fire, say),
            Fact(say("Surface at most"), number_and_unit(fire.heat_limit_c, "°C", 0)),
            Fact(say("Must not touch it"), "\n".join(record.keep_away) or None),
        ),
        note=say("Local rules on fire and the appliance maker's clearances come first."),
    )
    for report in fire.reports:
        yield _report(report, say)
    if fire.limits:
        yield _limits(fire.limits, say)
    if fire.appliance:
        yield _appliance(fire.appliance, say)
    for test in fire.tests:
        yield _test(test, say)


def stop_words(record: CertificateRecord, say: Say) -> str | None:
    """Give what must hold before any fire is lit; None when a test is met and nothing was said."""
    tested = any(test.verdict == MET for test in record.fire.tests)
    untested = say("No fire is lit below or beside the piece until a heat test there has been recorded.")
    return record.fire.condition or (None if tested else untested)


def _covers(fire: Fire, say: Say) -> tuple[Fact, ...]:
    if fire.does_not_cover is None:
        return (Fact(say("What the evidence covers, and what not"), fire.covers),)
    return (
        Fact(say("What the evidence covers"), fire.covers),
        Fact(say("What it does not cover"), fire.does_not_cover),
    )


def _report(report: FireReport, say: Say) -> Section:
    tested = "\n".join(part for part in (report.tested and say(report.tested), report.layers) if part)
    return Section(
        heading=say("Fire report %s") % report.report,
        key="fire-report",
        facts=(
            Fact(say("What was tested"), tested or None),
            Fact(say("Laboratory"), report.laboratory),
            Fact(say("Standard"), report.standard),
            Fact(say("Result, as it is written there"), report.result),
            Fact(say("Reported on"), pages.day(report.reported_on, say)),
            Fact(say("What it covers"), report.covers),
            Fact(say("What it does not cover"), report.covers_not),
        ),
    )


def _limits(limits: tuple[PartLimit, ...], say: Say) -> Section:
    return Section(
        heading=say("How warm its parts may get"),
        key="heat-limits",
        table=Table(
            columns=(say("Part"), say("At most"), say("Known from")),
            rows=tuple(
                (
                    "\n".join(part for part in (say(one.part), one.named) if part),
                    number_and_unit(one.limit_c, "°C", 0) or say("not known"),
                    "\n".join(part for part in (one.known_from and say(one.known_from), one.document) if part)
                    or say("not recorded"),
                )
                for one in limits
            ),
            figures=(1,),
            widths=(36, 16, 48),
        ),
    )


def _appliance(said: Appliance, say: Say) -> Section:
    about = ", ".join(part for part in (said.kind and say(said.kind), said.model) if part)
    commissioned = "\n".join(
        part for part in (said.commissioned and say(said.commissioned), said.commissioning) if part
    )
    return Section(
        heading=say("The appliance"),
        key="appliance",
        facts=(
            Fact(say("Appliance"), about or None),
            Fact(say("Fuel"), said.fuel and say(said.fuel)),
            Fact(say("Rated output"), number_and_unit(said.output_kw, "kW")),
            Fact(say("Instructions"), said.instructions),
            Fact(say("Commissioning"), commissioned or None),
        ),
        table=Table(
            columns=(say("What stands near it"), say("Measured"), say("Asked for"), say("By")),
            rows=tuple(
                (
                    " · ".join(part for part in (one.thing, one.place and say(one.place)) if part),
                    number_and_unit(one.measured_mm, "mm", 0) or say("not measured"),
                    number_and_unit(one.asked_mm, "mm", 0) or DASH,
                    "\n".join(part for part in (one.verdict and say(one.verdict), one.by) if part),
                )
                for one in said.distances
            ),
            figures=(1, 2),
            widths=(34, 17, 17, 32),
        )
        if said.distances
        else None,
    )


def _test(test: HeatTest, say: Say) -> Section:
    return Section(
        heading=say("Heat test"),
        key="heat-test",
        facts=(
            Fact(say("On"), pages.day(test.on, say), test.by),
            Fact(say("Fuel"), test.fuel),
            Fact(say("Output"), test.output),
            Fact(say("Logged for"), number_and_unit(test.minutes, "min", 0)),
            Fact(say("Room then"), number_and_unit(test.room_c, "°C")),
            Fact(say("Hottest that the room gets"), number_and_unit(test.hottest_room_c, "°C")),
            Fact(say("Margin kept to the limits"), number_and_unit(test.margin_c, "°C")),
            Fact(say("Answer"), test.verdict and say(test.verdict)),
        ),
        table=Table(
            columns=(say("Probe"), say("Where"), say("Highest measured"), say("Plateau measured")),
            rows=tuple(_probe(probe, say) for probe in test.probes),
            figures=(2, 3),
            widths=(14, 46, 20, 20),
        )
        if test.probes
        else None,
        note=say(
            "Temperatures as they were measured with that fire on that day; a larger fire, another fuel or a hotter "
            "room makes them higher. The answer counts the rise to the hottest room and the margin."
        ),
    )


def _probe(probe: Probe, say: Say) -> tuple[str, ...]:
    where = ", ".join(part for part in (probe.spot and say(probe.spot), probe.where) if part)
    meter = probe.thermometer or say("thermometer not named")
    error = "" if probe.error_c is None else f" ± {number_and_unit(probe.error_c, '°C')}"
    return (
        probe.label,
        f"{where or say('not recorded')}\n{meter}{error}",
        number_and_unit(probe.highest_c, "°C") or say("none"),
        number_and_unit(probe.plateau_c, "°C") or say("none"),
    )
