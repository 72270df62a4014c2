"""What stands in a condition report in words: its record turned into sections, in reading order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.condition.records import METALWORK, STRUCTURE, SURFACE
from siteapp.documents.measures import number_and_unit, sizes_words, weight_words
from siteapp.documents.records import Fact, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from siteapp.documents.certificate.records import HangingPoint, Layer
    from siteapp.documents.condition.records import ConditionRecord, LookRecord, Spot

    Say = Callable[[str], str]

DASH = "–"


def before_the_photos(record: ConditionRecord, say: Say) -> list[Section]:
    """Give the sections that come before the photos: what the piece is, who looked, what was found."""
    return [
        _identification(record, say),
        _description(record, say),
        _materials(record, say),
        _hanging_points(record, say),
        _examination(record, say),
        _earlier(record, say),
        _condition(record.look, say),
    ]


def recommendations(record: ConditionRecord, say: Say) -> Section:
    """Give the section of what should be done."""
    return Section(
        heading=say("What should be done"),
        paragraphs=(record.look.advice or say("No recommendation was recorded."),),
    )


def marks_table(spots: Iterable[Spot], say: Say) -> Table | None:
    """Give the table that explains numbered marks; None without marks."""
    rows = tuple((str(spot.number), spot.kind or say("kind not said"), spot.note or DASH) for spot in spots)
    return Table((say("Mark"), say("Kind"), say("Note")), rows, widths=(9, 27, 64)) if rows else None


def title_of(look: LookRecord, say: Say) -> str:
    """Name a look by its reason and its day: `Arrival, 15 June 2026`."""
    day = pages.day(look.at[:10], say) if look.at else say("day not recorded")
    return f"{look.reason}, {day}"


def _identification(record: ConditionRecord, say: Say) -> Section:
    maker = record.maker
    return Section(
        heading=say("Identification"),
        facts=(
            Fact(say("Title"), record.title),
            Fact(say("Piece number"), record.piece_number),
            Fact(say("Type of object"), record.object_type),
            Fact(say("Made by"), ", ".join(part for part in (maker.name, maker.place) if part) if maker else None),
            Fact(say("Made"), pages.day(record.made_on, say)),
            Fact(say("Measurements"), sizes_words(record.sizes, say)),
            Fact(say("Weight"), weight_words(record.weight, say), record.weight.how),
        ),
    )


def _description(record: ConditionRecord, say: Say) -> Section:
    return Section(
        heading=say("Description"),
        paragraphs=(record.description or say("No description was recorded."),),
        facts=(Fact(say("Finish"), record.finish),),
    )


def _materials(record: ConditionRecord, say: Say) -> Section:
    return Section(
        heading=say("Materials and construction"),
        facts=(Fact(say("Materials"), record.materials),),
        table=Table(
            columns=(say("Layer, from the face inwards"), say("Thickness"), say("Mass")),
            rows=tuple(_layer(layer) for layer in record.build_up),
            figures=(1, 2),
            widths=(68, 16, 16),
        )
        if record.build_up
        else None,
    )


def _hanging_points(record: ConditionRecord, say: Say) -> Section:
    return Section(
        heading=say("Hanging points"),
        table=Table(
            columns=(say("Point"), say("To the right"), say("Up"), say("Hole"), say("Note")),
            rows=tuple(_point(point) for point in record.hanging_points),
            figures=(1, 2, 3),
            widths=(12, 16, 16, 14, 42),
        )
        if record.hanging_points
        else None,
        note=say("Measured from the lower left corner, seen from the front. As made; not measured at this look.")
        if record.hanging_points
        else None,
    )


def _examination(record: ConditionRecord, say: Say) -> Section:
    look = record.look
    corrected = None
    if look.corrected:
        once = say("put right once since") if look.corrected == 1 else say("put right %s times since") % look.corrected
        corrected = ", ".join(part for part in (once, pages.instant(look.corrected_at, say)) if part)
    facts = [
        Fact(say("Where"), record.place),
        Fact(say("Reason"), look.reason),
        Fact(say("Date"), pages.instant(look.at, say), corrected),
        Fact(say("Examined by"), look.by),
        Fact(say("Light and method"), look.light),
        Fact(say("Surroundings"), look.surroundings),
    ]
    if look.indicators:
        facts.append(Fact(say("Crate and indicators"), look.indicators))
    return Section(heading=say("The look"), facts=tuple(facts))


def _earlier(record: ConditionRecord, say: Say) -> Section:
    return Section(
        heading=say("Condition before"),
        paragraphs=() if record.earlier else (say("No look before this one is recorded."),),
        table=Table(
            columns=(say("Look"), say("Found"), say("Note")),
            rows=tuple(
                (
                    "\n".join(part for part in (title_of(one, say), one.by) if part),
                    one.found or say("not recorded"),
                    one.note or DASH,
                )
                for one in record.earlier
            ),
            widths=(37, 19, 44),
        )
        if record.earlier
        else None,
    )


def _condition(look: LookRecord, say: Say) -> Section:
    return Section(
        heading=say("Condition now"),
        facts=(
            Fact(say("General"), "\n".join(part for part in (look.found, look.note) if part) or None),
            Fact(say("Structure"), _about(look, STRUCTURE, say)),
            Fact(say("Surface"), _about(look, SURFACE, say)),
            Fact(say("Metalwork"), _about(look, METALWORK, say)),
            *((Fact(say("Other marks"), _about(look, None, say)),) if _marks(look, None) else ()),
        ),
        note=say(
            "Told by the numbered marks: cracks, dents, losses and loose parts under structure; scratches, abrasion, "
            "chips and stains under surface; corrosion, and whatever is marked on photos of the metalwork, under "
            "metalwork. Where no mark was set nothing is said, neither good nor bad."
        ),
    )


def _marks(look: LookRecord, about: str | None) -> list[tuple[str, Spot]]:
    return [(side.name, spot) for side in look.sides for spot in side.spots if spot.about == about]


def _about(look: LookRecord, about: str | None, say: Say) -> str:
    lines = []
    for name, spot in _marks(look, about):
        words = {"number": spot.number, "kind": spot.kind or say("kind not said"), "side": name}
        line = say("%(number)s  %(kind)s, %(side)s") % words
        lines.append(f"{line}: {pages.clipped(spot.note, 160)}" if spot.note else line)
    return "\n".join(lines) or say("no mark set")


def _layer(layer: Layer) -> tuple[str, ...]:
    words = [layer.material, *(part for part in (layer.generic, layer.note) if part)]
    return (
        "\n".join(words),
        number_and_unit(layer.thickness_mm, "mm") or DASH,
        number_and_unit(layer.mass_kg, "kg") or DASH,
    )


def _point(point: HangingPoint) -> tuple[str, ...]:
    sizes = (number_and_unit(value, "mm") or DASH for value in (point.x_mm, point.y_mm, point.hole_mm))
    return (point.label, *sizes, point.note or "")
