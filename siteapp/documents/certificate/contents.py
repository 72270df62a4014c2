"""What stands in a certificate, in reading order: the record's fields turned into parts and their sections."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.certificate import finish, fire, happened, hung
from siteapp.documents.certificate.coats import coats_section
from siteapp.documents.measures import number_and_unit, sizes_words, weight_words
from siteapp.documents.records import WEIGHED, Fact, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from siteapp.documents.certificate.records import CertificateRecord, HangingPoint, Layer

    Say = Callable[[str], str]

DASH = "–"
SHOWN_ELSEWHERE = {"title", "back", "arrival", "finish"}


@dataclass(frozen=True)
class Part:
    """A part of the certificate: its heading, and the sections in it."""

    key: str
    heading: str
    sections: tuple[Section, ...]


def parts(record: CertificateRecord, say: Say) -> list[Part]:
    """Give the parts of a certificate in reading order, the record's own extra sections put in their places.

    The template adds to the last one what no section holds: signatures, proof, room for later owners.
    """
    made: list[tuple[str, str, list[Section]]] = [
        (
            "piece",
            say("The piece"),
            [
                _description(record, say),
                happened.dates_section(record, say),
                happened.agreed_section(record, say),
                _build_up(record, say),
                *_photos(record, say),
            ],
        ),
        (
            "hangs",
            say("How it hangs and comes down"),
            [
                _weight(record, say),
                _hanging(record, say),
                *hung.sections(record, say),
                _taking_down(record, say),
            ],
        ),
        ("surface", say("Surface and colour"), [*finish.sections(record, say), coats_section(record.coats, say)]),
        ("heat", say("Fire and heat"), list(fire.sections(record, say))),
        (
            "living",
            say("Living with it"),
            [_care(record, say), _wear(record, say), _hazards(record, say), _moving(record, say)],
        ),
        (
            "found",
            say("As it was found and checked"),
            [
                happened.arrival_section(record, say),
                *happened.checks_sections(record, say),
                *happened.releases_sections(record, say),
                happened.left_section(record, say),
            ],
        ),
        (
            "given",
            say("Handed over"),
            [*happened.conditions_sections(record, say), _rights(record, say)],
        ),
    ]
    lists = [sections for _key, _heading, sections in made]
    for extra in record.sections:
        _place(extra, lists)
    return [Part(key, heading, tuple(sections)) for key, heading, sections in made]


def glance(record: CertificateRecord, say: Say) -> tuple[Fact, ...]:
    """Give what somebody in front of the piece needs first, in a few words each."""
    return (
        Fact(say("Weight"), weight_words(record.weight, say)),
        Fact(say("To lift"), people_words(record.people_to_lift, say)),
        Fact(say("Hangs on"), ", ".join(point.label for point in record.hanging_points) or None, record.way_up),
        Fact(say("Surface at most"), number_and_unit(record.fire.heat_limit_c, "°C", 0)),
        Fact(say("Must not touch it"), "\n".join(record.keep_away) or None),
        Fact(say("Never clean it with"), "\n".join(record.care_never) or None),
        Fact(say("When to look it over"), "\n".join(record.inspections) or None),
        Fact(say("Who to ask"), "\n".join(_contact(record)) or None),
    )


def _place(extra: Section, lists: list[list[Section]]) -> None:
    """Put a section behind the one it names, else at the end."""
    for sections in lists:
        for at, one in enumerate(sections):
            if extra.after and one.key == extra.after:
                sections.insert(at + 1, extra)
                return
    lists[-1].append(extra)


def _photos(record: CertificateRecord, say: Say) -> tuple[Section, ...]:
    uses = tuple(use for use in record.photos if use.role not in SHOWN_ELSEWHERE)
    return (Section(heading=say("Photos of the piece"), key="photos", photos=uses),) if uses else ()


def people_words(text: str | None, say: Say) -> str:
    """Write who lifts; a bare number is a number of people."""
    if not text:
        return say("not worked out")
    if text.isdecimal():
        return say("1 person") if int(text) == 1 else say("%s people") % text
    return text


def _description(record: CertificateRecord, say: Say) -> Section:
    said = record.object_id
    return Section(
        heading=say("Description"),
        key="description",
        facts=(
            Fact(say("Type of object"), said.type_of_object),
            Fact(say("Title"), said.title or record.title),
            Fact(say("Maker"), said.maker or record.maker.name),
            Fact(say("Date or period"), pages.day(said.date_or_period or record.made_on, say)),
            Fact(say("Materials and techniques"), said.materials_and_techniques),
            Fact(say("Measurements"), said.measurements or sizes_words(record.sizes, say)),
            Fact(say("Inscriptions and markings"), said.inscriptions_and_markings),
            Fact(say("Subject"), said.subject),
            Fact(say("Distinguishing features"), said.distinguishing_features),
            Fact(say("Description"), said.description),
        ),
        note=say("Under the headings of Object ID, the open standard for describing cultural objects."),
    )


def _build_up(record: CertificateRecord, say: Say) -> Section:
    return Section(
        heading=say("What it is made of"),
        key="build-up",
        table=Table(
            columns=(say("Layer, from the face inwards"), say("Thickness"), say("Mass")),
            rows=tuple(_layer(layer) for layer in record.build_up),
            figures=(1, 2),
            widths=(68, 16, 16),
        )
        if record.build_up
        else None,
    )


def _layer(layer: Layer) -> tuple[str, ...]:
    words = [layer.material, *(part for part in (layer.generic, layer.note) if part)]
    return (
        "\n".join(words),
        number_and_unit(layer.thickness_mm, "mm") or DASH,
        number_and_unit(layer.mass_kg, "kg") or DASH,
    )


def _weight(record: CertificateRecord, say: Say) -> Section:
    weight = record.weight
    found = ", ".join(part for part in (pages.day(weight.on, say), weight.by) if part)
    return Section(
        heading=say("Weight and lifting"),
        key="weight",
        caution=None
        if weight.origin == WEIGHED
        else say("The weight was not taken on scales. Weigh the piece before it is lifted or hung again."),
        facts=(
            Fact(say("Weight"), weight_words(weight, say), weight.how),
            *((Fact(say("Found"), found),) if found else ()),
            Fact(say("To lift"), people_words(record.people_to_lift, say)),
            Fact(say("Way up"), record.way_up),
            *hung.balance_facts(record, say),
        ),
        note=say(
            "Lifting and hanging follow the local rules and a competent person's judgement; anchors follow their "
            "maker's approval document."
        ),
    )


def _hanging(record: CertificateRecord, say: Say) -> Section:
    return Section(
        heading=say("Hanging points"),
        key="hanging",
        table=Table(
            columns=(say("Point"), say("To the right"), say("Up"), say("Hole"), say("Note")),
            rows=tuple(_point(point) for point in record.hanging_points),
            figures=(1, 2, 3),
            widths=(12, 16, 16, 14, 42),
        )
        if record.hanging_points
        else None,
        note=say("Measured from the lower left corner, seen from the front.") if record.hanging_points else None,
    )


def _point(point: HangingPoint) -> tuple[str, ...]:
    return (
        point.label,
        number_and_unit(point.x_mm, "mm") or DASH,
        number_and_unit(point.y_mm, "mm") or DASH,
        number_and_unit(point.hole_mm, "mm") or DASH,
        point.note or "",
    )


def _taking_down(record: CertificateRecord, say: Say) -> Section:
    return Section(
        heading=say("How it comes off the wall"),
        key="taking-down",
        facts=hung.loosening_facts(record, say),
        points=record.taking_down,
        photos=tuple(use for use in record.photos if use.role == "back"),
    )


def _care(record: CertificateRecord, say: Say) -> Section:
    return Section(
        heading=say("Care"),
        key="care",
        facts=(
            Fact(say("Do"), "\n".join(record.care_do) or None),
            Fact(say("Never"), "\n".join(record.care_never) or None),
        ),
    )


def _wear(record: CertificateRecord, say: Say) -> Section:
    return Section(
        heading=say("Wear to expect, and when to look"),
        key="wear",
        facts=(
            Fact(say("Expected wear"), "\n".join(record.expected_wear) or None),
            Fact(say("Inspections"), "\n".join(record.inspections) or None),
        ),
    )


def _hazards(record: CertificateRecord, say: Say) -> Section:
    return Section(heading=say("If it is cut, drilled or burnt"), key="hazards", points=record.hazards)


def _moving(record: CertificateRecord, say: Say) -> Section:
    return Section(
        heading=say("If it moves, or sounds loose"),
        key="moves",
        stop=say("Keep everybody from under it, put nothing against it, and ask before anybody touches it."),
        facts=(Fact(say("Who to ask"), "\n".join(_contact(record)) or None),),
    )


def _contact(record: CertificateRecord) -> Iterable[str]:
    return record.who_to_call or record.maker.contact


def _rights(record: CertificateRecord, say: Say) -> Section:
    return Section(
        heading=say("Rights"),
        key="rights",
        facts=(
            Fact(say("Copyright"), record.copyright_line),
            Fact(say("Moral rights"), record.moral_rights),
        ),
    )
