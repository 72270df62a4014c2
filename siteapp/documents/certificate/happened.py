"""What happened to a piece on its way, as sections of its certificate: agreed, arrived, checked, released, left."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.records import Fact, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.documents.certificate.records import Agreed, Answer, CertificateRecord, Release, SnagLeft

    Say = Callable[[str], str]

DASH = "–"
QUOTES = '“”" \n'  # that somebody may have typed around what was said


def conditions_sections(record: CertificateRecord, say: Say) -> tuple[Section, ...]:
    """Give what must hold before and while the piece is used; none when nothing was put in writing."""
    if not record.conditions:
        return ()
    return (
        Section(
            heading=say("Conditions in writing"),
            key="conditions",
            points=record.conditions,
            note=say("Read by who took the piece over, before they signed."),
        ),
    )


def dates_section(record: CertificateRecord, say: Say) -> Section:
    """Give the days: made, hung, handed over."""
    return Section(
        heading=say("From the workshop to the wall"),
        key="dates",
        facts=(
            Fact(say("Made"), pages.day(record.made_on, say)),
            Fact(say("Hung"), pages.day(record.hung_on, say)),
            Fact(say("Handed over"), pages.day(record.handed_over_on, say)),
        ),
    )


def agreed_section(record: CertificateRecord, say: Say) -> Section:
    """Give what was agreed on the way, with its day, who said it, and what shows it."""
    return Section(
        heading=say("Agreed on the way"),
        key="agreed",
        paragraphs=() if record.agreed else (say("Nothing is recorded as agreed."),),
        table=Table(
            columns=(say("What"), say("When"), say("By whom, and what shows it")),
            rows=tuple(_agreed(one, say) for one in record.agreed),
            widths=(36, 20, 44),
        )
        if record.agreed
        else None,
    )


def _agreed(one: Agreed, say: Say) -> tuple[str, ...]:
    told = [part for part in (one.by, _quoted(one.said), one.evidence) if part]
    return one.what, pages.day(one.on, say) or say("day not recorded"), "\n".join(told) or say("not recorded")


def _quoted(words: str | None) -> str | None:
    return f"“{words.strip(QUOTES)}”" if words else None


def arrival_section(record: CertificateRecord, say: Say) -> Section:
    """Give the condition in which the piece reached the site."""
    came = record.arrival
    return Section(
        heading=say("Condition on arrival"),
        key="arrival",
        facts=(
            Fact(say("Looked at"), _by_at(came.by, came.at, say)),
            Fact(say("Found"), came.found, came.note),
            Fact(say("Tilt and shock indicators"), came.indicators),
        ),
        photos=tuple(use for use in record.photos if use.role == "arrival"),
    )


def checks_sections(record: CertificateRecord, say: Say) -> tuple[Section, ...]:
    """Give every check with its answer as it stood when the certificate was issued, list by list."""
    if not record.checks:
        return (Section(heading=say("Checks"), key="checks"),)
    found = []
    for name in dict.fromkeys(answer.list_name for answer in record.checks):
        told = (_answer(answer, say) for answer in record.checks if answer.list_name == name)
        rows = tuple(row for rows in told for row in rows)
        columns = (say("Check"), say("Answer"), say("Reading"), say("Who and when"))
        heading = say("Checks: %s") % name if name else say("Checks")
        found.append(Section(heading=heading, table=Table(columns, rows, widths=(44, 18, 12, 26))))
    words = say(
        "Each answer is what was found on the day; it stands for no other day and for nothing that is not named."
    )
    return (*found[:-1], replace(found[-1], key="checks", note=words))


def _answer(answer: Answer, say: Say) -> list[tuple[str, ...]]:
    line = say("%s (hold point)") % answer.line if answer.hold_point else answer.line
    verdict = say(answer.verdict) if answer.verdict else say("not answered")
    if answer.released_by:
        verdict += "\n" + say("released by %s") % answer.released_by
        verdict += f": {answer.release_reason}" if answer.release_reason else ""
    who = _by_at(answer.by, answer.at, say) or say("not recorded")
    row = (line, verdict, answer.reading or DASH, who)
    return [row, (answer.told,)] if answer.told else [row]


def releases_sections(record: CertificateRecord, say: Say) -> tuple[Section, ...]:
    """Give what was released although it was not met, by whom and why; none when nothing was."""
    if not record.releases:
        return ()
    return (
        Section(
            heading=say("Released, and why"),
            key="releases",
            table=Table(
                columns=(say("What"), say("Why"), say("Who and when")),
                rows=tuple(_release(one, say) for one in record.releases),
                widths=(38, 38, 24),
            ),
            note=say("Released means that the work went on by this person's decision. It does not mean met."),
        ),
    )


def _release(one: Release, say: Say) -> tuple[str, ...]:
    what = one.line or say("The whole list “%s”") % (one.list_name or DASH)
    return what, one.reason, _by_at(one.by, one.at, say) or say("not recorded")


def left_section(record: CertificateRecord, say: Say) -> Section:
    """Give the faults and snags that were left, open or accepted, and the checks that were not met."""
    return Section(
        heading=say("Faults and snags left"),
        key="left-open",
        table=Table(
            columns=(say("What, and where"), say("How it stands")),
            rows=tuple(_snag(one, say) for one in record.snags),
            widths=(56, 44),
        )
        if record.snags
        else None,
        points=record.left_open,
        paragraphs=() if record.left_open or record.snags else (say("Nothing was recorded as left."),),
    )


def _snag(one: SnagLeft, say: Say) -> tuple[str, ...]:
    what = "\n".join(part for part in (one.words, one.place) if part)
    if not one.accepted_by:
        return what, say("to be put right")
    stands = say("left as it is, accepted by %s") % (_by_at(one.accepted_by, one.at, say) or DASH)
    return what, f"{stands}\n“{one.said}”" if one.said else stands


def _by_at(by: str | None, at: str | None, say: Say) -> str | None:
    return ", ".join(part for part in (by, pages.instant(at, say)) if part) or None
