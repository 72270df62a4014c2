"""What stands in a fixing pack in words: its record turned into sections, in the order of the work."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from siteapp.documents import pages
from siteapp.documents.measures import number_and_unit, sizes_words, weight_words
from siteapp.documents.records import Fact, Section, Table
from siteapp.trade.anchors.cable_zones import DETECT, ZONES_SOURCE

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.documents.fixing_pack.records import FixingPack, PackPoint, PackReading

    Say = Callable[[str], str]

DASH: Final = "–"
ON_A_RAIL: Final = 3  # lines of the form for the anchors of one rail


def before(say: Say) -> Section:
    """Give what is settled before anybody drills."""
    return Section(
        heading=say("Before anybody drills"),
        stop=say("Never drill where a cable or pipe was found, or where nobody looked."),
        points=(
            say("The owner of the wall has agreed in writing to these holes and to this weight."),
            say(
                "Asbestos: whoever answers for the building has said in writing what is in the wall. Suspect material "
                "is left alone and sampled by people who are licensed for it."
            ),
            say(
                "Cables and pipes: both sides of the wall, over the whole field, before each hole, with a detector and "
                "with the drawings of the house. Cables are likeliest straight above, below and beside every socket "
                "and switch, within 150 mm of the top of the wall and within 150 mm of its corners."
            ),
            say(
                "If anything is found, stop and ask: the piece can be moved, the anchors designed anew. Cables, pipes "
                "and flues are moved by licensed people only, under the law of the place."
            ),
            say("Local rules and the judgement of a competent person on the spot come before this paper."),
        ),
        note=f"{say(DETECT)} {say('Source for the zones:')} {ZONES_SOURCE}.",
    )


def what_hangs(record: FixingPack, say: Say) -> Section:
    """Give what is going to hang there, and who answers for the anchors."""
    return Section(
        heading=say("What will hang there"),
        facts=(
            Fact(say("Measurements"), sizes_words(record.sizes, say)),
            Fact(say("Weight"), weight_words(record.weight, say), record.weight.how),
            Fact(say("Anchors designed by"), record.designed_by),
            Fact(say("Who to ask"), record.who_to_ask or record.maker),
        ),
    )


def places(record: FixingPack, say: Say) -> Section:
    """Give the table of places; the drawing stands above it."""
    return Section(
        heading=say("Where the anchors go"),
        facts=(
            Fact(say("Datum"), record.datum, say("All positions are measured from here.")),
            Fact(say("Level line"), _level(record, say)),
            Fact(
                say("Piece’s lower left corner"),
                say("%(x)s right of the datum, %(y)s above it")
                % {"x": number_and_unit(record.corner_x_mm, "mm"), "y": number_and_unit(record.corner_y_mm, "mm")},
            ),
        ),
        table=Table(
            columns=(say("Anchor"), say("Right of the datum, x"), say("Above the datum, y"), say("In the piece")),
            rows=tuple(
                (
                    point.label,
                    number_and_unit(point.x_mm, "mm") or DASH,
                    number_and_unit(point.y_mm, "mm") or DASH,
                    _hole(point, say),
                )
                for point in record.points
            ),
            figures=(1, 2),
            widths=(16, 25, 25, 34),
        ),
        note=say(
            "As one faces the wall: x to the right, y up; a minus sign means left of the datum or below it. Mark from "
            "the full-size template where there is one, and check by these figures: the two must agree within 1 mm."
        ),
    )


def loads(record: FixingPack, say: Say) -> Section:
    """Give what pulls on each anchor, or that nobody has worked it out."""
    if record.loads_why:
        return Section(
            heading=say("What pulls on each anchor"),
            caution=say("Loads: not worked out. Anchors are not chosen from this paper until they are."),
            paragraphs=(record.loads_why,),
        )
    return Section(
        heading=say("What pulls on each anchor"),
        caution=record.loads_caution,
        table=Table(
            columns=(say("Anchor"), say("Pull, out of the wall"), say("Shear, along the wall"), say("Decided by")),
            rows=tuple(
                (
                    point.label,
                    number_and_unit(point.pull_n, "N", 0) or say("not worked out"),
                    number_and_unit(point.shear_n, "N", 0) or say("not worked out"),
                    point.case or DASH,
                )
                for point in record.points
            ),
            figures=(1, 2),
            widths=(16, 22, 22, 40),
        ),
        points=record.loads_rest_on,
        note=say("The worst of all cases, factors included, for each anchor alone. %s") % (record.loads_source or ""),
    )


def wall(record: FixingPack, say: Say) -> Section:
    """Give what the wall must be, and how that is proved."""
    asked = record.wall_asked
    return Section(
        heading=say("What the wall must be, and how to prove it"),
        facts=(Fact(say("Asked for"), asked),),
        points=(
            say(
                "Drill one trial hole within the field, where no anchor goes, once cables, pipes and asbestos are "
                "settled. Watch the dust and the feel of the drill; measure how thick what carries is, and how far "
                "plaster or board stands in front of it. Take a photo of the hole and its dust."
            ),
            say("Sound means dry, whole and solid at every anchor: no crack, no old filling, nothing hollow behind."),
            say("An anchor never goes into a joint it was not approved for, into a flue, or into a lintel unasked."),
            say("Where the wall is another one, set nothing: write down what was found, and ask."),
        ),
    )


def anchors(record: FixingPack, say: Say) -> Section:
    """Give what is set and how."""
    return Section(
        heading=say("The anchors, and how to set them"),
        facts=(
            Fact(say("Anchor"), record.anchor),
            Fact(say("Approval document"), record.anchor_document),
            Fact(say("Drill"), number_and_unit(record.drill_mm, "mm")),
            Fact(say("Depth in the sound wall"), _at_least(number_and_unit(record.embedment_mm, "mm"), say)),
            Fact(say("Torque"), number_and_unit(record.torque_nm, "N m")),
            *((Fact(say("Note"), record.note),) if record.note else ()),
        ),
        points=(
            say(
                "Only this product, in this size. Another one is asked for first: its approval document has to cover "
                "this wall and this load."
            ),
            say(
                "Set it as its maker’s instructions say: drill, clean the hole as often as they ask, mind the date on "
                "the cartridge and the temperature of the wall, and touch nothing until it has cured."
            ),
            say("Depth counts from the face of the sound wall, not from plaster or board."),
            say("Write down each anchor as it is set. Nobody can see it afterwards."),
        ),
    )


def proving(record: FixingPack, say: Say) -> Section:
    """Give how many are pulled, at what load, for how long, and what that shows."""
    plan = record.proving
    facts: tuple[Fact, ...] = (Fact(say("Load of each test"), number_and_unit(record.proof_kn, "kN", 2)),)
    if plan:
        count = say("%(count)s of %(all)s, chosen by somebody who did not set them") % {
            "count": plan.count,
            "all": plan.of,
        }
        held = say("at least %s s, without moving on") % pages.figure(plan.hold_s, 0)
        facts = (Fact(say("How many"), count), *facts, Fact(say("Held"), held))
    return Section(
        heading=say("How the anchors are proved"),
        caution=None
        if record.proof_kn is not None
        else say("No proof load is given. Whoever designs the anchors says it; ask before the tester is set up."),
        facts=facts,
        points=(
            say("The gauge is in calibration on the day; its number and date stand on the form."),
            say("The frame stands clear of the anchor, so that it does not press on the wall that is being tested."),
            say("One anchor that gives way: stop, look for the reason, ask, and test at least twice as many."),
        ),
        note=f"{say(plan.shows)} {say('Source:')} {plan.source}." if plan else None,
    )


def measuring(record: FixingPack, say: Say) -> Section:
    """Give how the drilled holes are measured."""
    return Section(
        heading=say("What to measure afterwards"),
        caution=record.readings_why,
        points=(
            say(
                "From middle to middle, with one steel tape, to the millimetre. One person calls, one writes. Write "
                "what the tape says, not what the drawing has: what is expected is left out of the form on purpose."
            ),
            say("“From 100”: hold the tape at its 100 mm mark and write what it reads; the 100 is taken off later."),
            say(
                "Heights are read from one laser line, set once: above the line counts as plus, below it as minus. "
                "Any line will do."
            ),
            say("In inches is as good as in millimetres. Say which on the form."),
        ),
    )


def anchor_labels(record: FixingPack) -> list[str]:
    """Name every anchor that has a line of its own on the form: several behind a rail, as `A/1`, `A/2`."""
    return [
        label
        for point in record.points
        for label in ([f"{point.label}/{at}" for at in range(1, ON_A_RAIL + 1)] if point.rail else [point.label])
    ]


def reading_words(reading: PackReading, say: Say) -> tuple[str, str]:
    """Name a reading as it stands on the form, and how it is read."""
    if reading.b is None:
        return say("Height of %s") % reading.a, say("over the laser line")
    return f"{reading.a} – {reading.b}", say("from 100") if reading.from_100 else say("from 0")


def _level(record: FixingPack, say: Say) -> str | None:
    height = say("%s above the datum") % number_and_unit(record.level_mm, "mm") if record.level_mm is not None else None
    return ", ".join(part for part in (record.level_line, height) if part) or None


def _hole(point: PackPoint, say: Say) -> str:
    if point.rail:
        return say("rail: its own anchors as designed")
    if point.hole_mm is None:
        return say("size not given")
    across = number_and_unit(point.hole_mm, "mm")
    if point.slot_mm > 0:
        return say("slot %(across)s wide, %(along)s long") % {
            "across": across,
            "along": number_and_unit(point.hole_mm + point.slot_mm, "mm"),
        }
    return say("hole %s") % across


def _at_least(words: str | None, say: Say) -> str | None:
    return say("at least %s") % words if words else None
