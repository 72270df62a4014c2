"""What a certificate says of how the piece hangs: wall as found, anchors as set and tested, where the weight sits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import pages
from siteapp.documents.measures import number_and_unit
from siteapp.documents.records import Fact, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from siteapp.documents.certificate.hung_records import Anchor, AnchorTest
    from siteapp.documents.certificate.records import CertificateRecord

    Say = Callable[[str], str]

DASH = "–"


def sections(record: CertificateRecord, say: Say) -> list[Section]:
    """The wall as found and the anchors as set; none of a piece that has neither these nor hanging points."""
    if not (record.hanging_points or record.wall or record.anchors):
        return []
    return [_wall(record, say), _anchors(record, say)]


def balance_facts(record: CertificateRecord, say: Say) -> tuple[Fact, ...]:
    """Where the weight sits and where it is taken hold of; what is not known is left out of a piece with neither."""
    told = record.balance
    facts: list[Fact] = []
    places = (
        (say("%s to the right"), told.x_mm, told.x_how),
        (say("%s up"), told.y_mm, told.y_how),
        (say("%s out from the wall"), told.z_mm, told.z_how),
    )
    known = [_place(words, size, how, say) for words, size, how in places if size is not None]
    if known:
        facts.append(
            Fact(say("Balance point"), "\n".join(known), say("From the lower left corner, as seen from the front."))
        )
    if record.lift_points:
        facts.append(Fact(say("Taken hold of"), "\n".join(record.lift_points)))
    return tuple(facts)


def loosening_facts(record: CertificateRecord, say: Say) -> tuple[Fact, ...]:
    """What whoever takes it down has to undo first, and with what: locks, tools, nuts."""
    locks = dict.fromkeys(one.locked for one in record.anchors if one.locked)
    facts = [Fact(say("Locked against lifting off"), "\n".join(locks))] if locks else []
    if record.tools:
        facts.append(Fact(say("Tools"), "\n".join(record.tools)))
    if record.nuts:
        facts.append(Fact(say("Nuts, in the order they were to be turned up"), "\n".join(record.nuts)))
    return tuple(facts)


def _wall(record: CertificateRecord, say: Say) -> Section:
    wall, heading = record.wall, say("The wall as found")
    if wall is None:
        return Section(heading=heading, key="wall")
    made = ", ".join(part for part in (wall.material, wall.material_words) if part)
    sound = None if wall.sound is None else say("yes") if wall.sound else say("no")
    return Section(
        heading=heading,
        key="wall",
        facts=(
            Fact(say("Made of"), made or None, wall.proved_by and say("known from: %s") % wall.proved_by),
            Fact(say("Thickness"), number_and_unit(wall.thickness_mm, "mm", 0)),
            Fact(say("Sound: dry, whole, nothing hollow"), sound),
            Fact(say("Between plate and sound wall"), number_and_unit(wall.gap_mm, "mm")),
            Fact(say("Cables and pipes, this side"), wall.services_front),
            Fact(say("Cables and pipes, other side"), wall.services_back),
            Fact(say("Found by"), _joined(wall.found_by, pages.day(wall.found_on, say))),
        ),
        note=say("What was looked for on that day. Look again before anything is drilled."),
    )


def _anchors(record: CertificateRecord, say: Say) -> Section:
    asked = record.anchors_asked
    facts = (
        Fact(say("Designed by"), asked.designed_by if asked else None),
        Fact(say("Asked for"), asked.product if asked else None),
        Fact(say("Approval document"), asked.document if asked else None),
    )
    return Section(
        heading=say("The anchors as set"),
        key="anchors",
        facts=facts if asked or record.anchors else (),
        table=Table(
            columns=(say("Anchor"), say("What it is"), say("Set and turned up"), say("Proof tests")),
            rows=tuple(_anchor(one, say) for one in record.anchors),
            widths=(11, 29, 29, 31),
        )
        if record.anchors
        else None,
        note=say("A proof test shows that an anchor was set well. It does not show what it, or the wall, can carry.")
        if record.anchors
        else None,
    )


def _anchor(one: Anchor, say: Say) -> tuple[str, ...]:
    hole = number_and_unit(one.drilled_mm, "mm")
    depth = number_and_unit(one.embedment_mm, "mm")
    what = (
        one.product,
        one.batch and say("batch %s") % one.batch,
        hole and say("hole %s") % hole,
        depth and say("%s deep") % depth,
    )
    torque = number_and_unit(one.torque_nm, "N\u00a0m")
    done = (
        _joined(one.set_by, pages.instant(one.set_at, say)),
        torque and say("turned up to %s") % torque,
        one.turned_by and say("by %s") % one.turned_by,
    )
    tests = [_test(test, say) for test in one.tests]
    return one.label, _lines(what) or DASH, _lines(done) or DASH, "\n".join(tests) or say("none recorded")


def _test(test: AnchorTest, say: Say) -> str:
    load, asked = number_and_unit(test.load_kn, "kN", 2), number_and_unit(test.asked_kn, "kN", 2)
    held, moved = number_and_unit(test.held_s, "s", 0), number_and_unit(test.movement_mm, "mm", 2)
    pulled = load and (say("%(load)s, asked for %(asked)s") % {"load": load, "asked": asked} if asked else load)
    return _lines(
        (
            pulled,
            _joined(held and say("held %s") % held, moved and say("moved %s") % moved),
            test.gauge and say("read on %s") % test.gauge,
            _joined(test.by, pages.instant(test.at, say)),
        )
    )


def _place(words: str, size_mm: float, how: str | None, say: Say) -> str:
    known = {"weighed": say("by scales"), "worked out": say("worked out, not measured")}
    told = known.get(how or "", say("assumed, not measured"))
    return f"{words % number_and_unit(size_mm, 'mm', 0)} ({told})"


def _joined(*parts: str | None) -> str | None:
    return ", ".join(part for part in parts if part) or None


def _lines(parts: Iterable[str | None]) -> str:
    return "\n".join(part for part in parts if part)
