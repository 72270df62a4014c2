"""What stands in a hanging plan in words: its record turned into sections, in the order in which they are needed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from siteapp.documents.measures import number_and_unit, sizes_words, weight_words
from siteapp.documents.records import Fact, Section, Table

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.documents.hanging_plan.records import HangingPlan, PlanStep

    Say = Callable[[str], str]

DASH: Final = "–"


def stands(record: HangingPlan, say: Say) -> Section:
    """Give how the plan stood when it was printed."""
    not_met = record.verdict == "not met"
    open_words = say("This plan is not met yet. Nobody lifts by it until what stands here is settled.")
    return Section(
        heading=say("How this plan stands"),
        stop=open_words if not_met else None,
        caution=say("This plan cannot be told yet: something is missing.") if record.verdict == "cannot tell" else None,
        facts=(Fact(say("On the day of printing"), say(record.verdict)),),
        points=record.reasons,
        note=f"{say('Source:')} {record.source}." if record.source else None,
    )


def stopping(record: HangingPlan, say: Say) -> Section:
    """Give who calls, and how everything stops: the first thing that is read out."""
    return Section(
        heading=say("Who calls, and how everything stops"),
        stop=record.stop_call,
        caution=None if record.stop_call else say("How everything stops is not agreed. Agree it before anybody lifts."),
        facts=(
            Fact(say("Calls the moves"), record.calls),
            Fact(say("Guide, and do not lift"), ", ".join(record.guides) or None),
            Fact(say("Lift"), ", ".join(record.lifters) or None),
            Fact(say("Busy at once"), None if record.people is None else say("%s people") % record.people),
        ),
        points=(
            say("Anybody may call the stop. It is obeyed first and talked about afterwards."),
            say("Read every step out before the first one, and walk it empty-handed once."),
        ),
    )


def piece(record: HangingPlan, say: Say) -> Section:
    """Give what is lifted: sizes, weights, where the weight sits, where it is held."""
    return Section(
        heading=say("What is lifted"),
        facts=(
            Fact(say("Measurements"), sizes_words(record.sizes, say)),
            Fact(say("Weight"), weight_words(record.weight, say), record.weight.how),
            Fact(say("In its crate"), weight_words(record.gross, say)),
            Fact(say("Balance point"), _balance(record, say)),
            Fact(say("Taken hold of"), record.lift_points),
            Fact(say("Way up"), record.way_up),
            Fact(say("Must not touch it"), record.keep_away),
        ),
    )


def steps(record: HangingPlan, say: Say) -> Section:
    """Give the steps in their order."""
    return Section(
        heading=say("Step by step"),
        table=Table(
            columns=(say("Step"), say("Who and how"), say("Weighs"), say("May be lifted so"), say("Answer")),
            rows=tuple(_row(place, one, say) for place, one in enumerate(record.steps, 1)),
            figures=(2, 3),
            widths=(20, 38, 12, 15, 15),
        ),
        note=say(
            "“May be lifted so” is a published filter for the people named, or what stands on the aid’s plate. It is "
            "where somebody competent begins to look closer, not a limit up to which nothing happens."
        ),
    )


def fastening(record: HangingPlan, say: Say) -> Section:
    """Give the order of the nuts, and what else there is to say."""
    facts = (
        Fact(say("Order of the nuts"), record.nuts),
        Fact(say("Aids"), "; ".join(record.aids) or say("arms alone")),
    )
    return Section(
        heading=say("Making it fast"),
        facts=(*facts, *((Fact(say("Note"), record.note),) if record.note else ())),
        points=(
            say("Nobody lets go before whoever calls has seen every point hold and has said so."),
            say("Hands stay out from between piece and wall; what is stuck is lifted off again, never forced."),
        ),
    )


def cautions(say: Say) -> Section:
    """Give what is watched whatever the plan says, and what it rests on."""
    return Section(
        heading=say("Before anybody lifts"),
        points=(
            say("Nobody lifts from a ladder. People stand on the floor or on a work platform with a rail."),
            say(
                "Hoist, slings, platform and what they stand on or hang from are rated, in date, seen by somebody "
                "competent."
            ),
            say("Nobody stands or walks beneath it. The floor is clear, dry and closed to others; doors are wedged."),
            say("Anchors have cured and were proved; the holes were measured and the piece goes on to them."),
            say(
                "Local rules for lifting by hand and the judgement of a competent person on the spot come before this "
                "paper."
            ),
        ),
    )


def rests_on(record: HangingPlan, say: Say) -> Section:
    """Give what was taken for granted."""
    return Section(heading=say("What this rests on"), points=tuple(say(one) for one in record.assumptions))


def _row(place: int, one: PlanStep, say: Say) -> tuple[str, ...]:
    how = "\n".join(part[:1].upper() + part[1:] for part in (one.people, one.how, one.note) if part)
    return (
        f"{place}. {one.step}",
        how or say("not said"),
        number_and_unit(one.weight_kg, "kg") or DASH,
        number_and_unit(one.may_kg, "kg") or DASH,
        say(one.verdict) if one.verdict else DASH,
    )


def _balance(record: HangingPlan, say: Say) -> str | None:
    there = record.balance
    told = [
        f"{number_and_unit(value, 'mm', 0)} {words}" + (f" ({say(how)})" if how else "")
        for value, words, how in (
            (there.x_mm, say("from the left"), there.x_how),
            (there.y_mm, say("up"), there.y_how),
            (there.z_mm, say("out from the wall"), there.z_how),
        )
        if value is not None
    ]
    return ", ".join(told) or None
