"""Finish, colour and touching up on a certificate."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.records import Fact, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from siteapp.documents.certificate.finish_records import ColourMatch, ColourZone, TouchUpKit
    from siteapp.documents.certificate.records import CertificateRecord

    Say = Callable[[str], str]

DASH = "–"


def sections(record: CertificateRecord, say: Say) -> Iterator[Section]:
    """Give the finish, the colours as measured, and the kit that stays."""
    yield Section(
        heading=say("Finish"),
        key="finish",
        paragraphs=record.finish or (say("Finish not recorded."),),
        facts=(Fact(say("Touching up"), record.touch_up),),
        photos=tuple(use for use in record.photos if use.role == "finish"),
    )
    if record.kit:
        yield _kit(record.kit, say)
    for colour in record.colours:
        yield _colour(colour, say)


def _kit(kit: TouchUpKit, say: Say) -> Section:
    return Section(
        heading=say("Touch-up kit"),
        key="kit",
        facts=(
            Fact(say("Where it is kept"), kit.kept),
            Fact(say("Keeps until"), pages.day(kit.keeps_until, say), kit.keeps_why),
        ),
        table=Table(
            columns=(say("What is in it"), say("How much"), say("Batch"), say("Keeps until")),
            rows=tuple(
                (one.what, one.amount or DASH, one.batch or DASH, pages.day(one.keeps_until, say) or say("not known"))
                for one in kit.things
            ),
            widths=(40, 18, 20, 22),
        )
        if kit.things
        else None,
    )


def _colour(colour: ColourMatch, say: Say) -> Section:
    read_with = ", ".join(part for part in (colour.instrument, colour.illuminant, colour.observer) if part)
    return Section(
        heading=say("Colour: %s") % colour.sample,
        key="colour",
        facts=(
            Fact(say("Sample made of"), colour.made_of),
            Fact(say("Sample, L* a* b*"), _lab(colour) or say("not measured")),
            Fact(say("Sheen of the sample"), _gloss(colour.gloss, colour.gloss_deg, say)),
            Fact(say("Read with"), read_with or None),
            Fact(say("Agreed to be near enough"), _tolerance(colour, say)),
            Fact(say("The client's answer"), _answer(colour, say), colour.light),
        ),
        table=Table(
            columns=(say("Zone"), "L* a* b*", say("ΔE2000 of mean / worst"), say("Sheen"), say("Answer")),
            rows=tuple(_zone(one, colour, say) for one in colour.zones),
            figures=(2,),
            widths=(26, 22, 20, 14, 18),
        )
        if colour.zones
        else None,
        note=say(
            "Figures hold for that instrument, light and observer. Paint ages; a screen or a print shows no colour."
        ),
    )


def _lab(said: ColourMatch | ColourZone) -> str | None:
    if said.l is None or said.a is None or said.b is None:
        return None
    return " ".join(pages.figure(value) for value in (said.l, said.a, said.b))


def _gloss(gloss: float | None, degrees: int | None, say: Say) -> str | None:
    if gloss is None:
        return None
    return say("%(gloss)s gloss units at %(angle)s°") % {"gloss": pages.figure(gloss), "angle": degrees or "?"}


def _tolerance(colour: ColourMatch, say: Say) -> str | None:
    told = []
    if colour.tolerance is not None:
        told.append(say("ΔE2000 at most %s") % pages.figure(colour.tolerance))
    if colour.gloss_tolerance is not None:
        told.append(say("sheen within %s gloss units") % pages.figure(colour.gloss_tolerance))
    return "; ".join(told) or None


def _answer(colour: ColourMatch, say: Say) -> str | None:
    if colour.client_yes is None:
        return None
    yes = say("yes") if colour.client_yes else say("no")
    return f"{yes}: “{colour.client_said}”" if colour.client_said else yes


def _zone(one: ColourZone, colour: ColourMatch, say: Say) -> tuple[str, ...]:
    count = "" if one.count is None else "\n" + (say("1 reading") if one.count == 1 else say("%s readings") % one.count)
    figures = " / ".join(pages.figure(value, 2) if value is not None else DASH for value in (one.delta_e, one.worst))
    sheen = DASH if one.gloss is None else f"{pages.figure(one.gloss)} ({colour.gloss_deg or '?'}°)"
    return (f"{one.zone}{count}", _lab(one) or DASH, figures, sheen, say(one.verdict or "cannot tell"))
