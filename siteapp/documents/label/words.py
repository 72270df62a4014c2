"""What the labels of a piece say: facts with their names, and the words of the text code."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.documents import pages, qr, scripts
from siteapp.documents.records import ESTIMATED, WEIGHED

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from siteapp.documents.records import LabelRecord

    Say = Callable[[str], str]

TITLE_LONGEST = 60
LINE_LONGEST = 80
LONGEST = 300  # characters of one fact: more has no room on the largest label


@dataclass(frozen=True)
class LabelFact:
    """One fact: its name, its words, how many lines it may fill, and whether it is set strong."""

    name: str
    words: str
    most: int = 2
    strong: bool = False


def plain(text: str | None, say: Say, longest: int = LONGEST) -> str:
    """A text as it can be printed, cut to what may have room."""
    return pages.clipped(scripts.printable((text or "")[: longest * 4], say), longest) or ""


def weight(record: LabelRecord, say: Say) -> str:
    """The weight with where it comes from."""
    if record.weight_kg is None:
        return say("Weight not recorded: weigh it first")
    kilograms = pages.figure(record.weight_kg)
    if record.weight_origin == WEIGHED:
        return say("%s kg, weighed") % kilograms
    if record.weight_origin == ESTIMATED:
        return say("about %s kg, estimated: weigh it first") % kilograms
    return say("%s kg, source not recorded: weigh it first") % kilograms


def heat(record: LabelRecord, say: Say) -> str:
    """The condition before any fire, if there is one, then how warm the surface may get."""
    limit = record.heat_limit or say("limit not recorded: keep away from heat")
    return f"{record.condition}; {limit}" if record.condition else limit


def back_facts(record: LabelRecord, say: Say) -> list[LabelFact]:
    """Give the facts of the back label; what is not known is said."""
    missing = say("not recorded")
    told = [
        LabelFact(
            say("Weight"),
            say("not recorded: weigh it first") if record.weight_kg is None else weight(record, say),
            strong=True,
        ),
        LabelFact(say("To lift"), record.people_to_lift or say("not worked out: ask before lifting"), strong=True),
        LabelFact(say("Hangs by"), "; ".join(record.hanging_points) or missing, 3),
        LabelFact(say("Way up"), record.way_up or missing),
        LabelFact(say("Heat"), heat(record, say), 3, strong=record.condition is not None),
        LabelFact(say("Ask"), ", ".join(record.who_to_ask) or missing, 3),
    ]
    return [_printed(fact, say) for fact in told]


def card_facts(record: LabelRecord, say: Say) -> list[LabelFact]:
    """Give the facts of the card: those of the back label, how it comes off, care, and what must not touch it."""
    missing = say("not recorded")
    more = [
        LabelFact(say("Comes off"), record.take_down or say("not recorded: ask before you touch the fixings"), 3),
        LabelFact(say("Keep off it"), record.keep_away or missing),
        LabelFact(say("Care"), record.care or missing, 3),
        LabelFact(say("Never"), record.care_never or missing),
    ]
    facts = back_facts(record, say)
    return [*facts[:-1], *(_printed(fact, say) for fact in more), facts[-1]]


def edge_lift(record: LabelRecord, say: Say) -> str:
    """The line of the lower-edge label that is read before anybody lifts."""
    lift = record.people_to_lift or say("lifting not worked out: ask first")
    return plain(f"{weight(record, say)} · {lift}", say)


def edge_ask(record: LabelRecord, say: Say) -> str:
    """Who to ask, on one line."""
    who = ", ".join(record.who_to_ask)
    return plain(say("Ask: %s") % who if who else say("Who to ask is not recorded"), say)


def spoken(record: LabelRecord, say: Say, *, title_longest: int = 1000) -> list[str]:
    """Give the words of the text code, one line each, the most needed first; the number is among the first two.

    In the letters they were written in: a phone has typefaces that this paper has not.
    """
    lines = [record.number_grouped, _short(record.title, title_longest), weight(record, say)]
    lines.append(say("Lift: %s") % (record.people_to_lift or say("people not worked out")))
    if record.heat_limit or record.condition:
        lines.append(say("Heat: %s") % heat(record, say))
    if record.who_to_ask:
        lines.append(say("Ask: %s") % ", ".join(record.who_to_ask))
    if record.hanging_points:
        lines.append(say("Hangs by: %s") % "; ".join(record.hanging_points))
    if record.way_up:
        lines.append(say("Up: %s") % record.way_up)
    lines.append(record.maker)
    return lines


def text_code(record: LabelRecord, size_mm: float, say: Say) -> qr.Qr:
    """Give the code with as many of the words as stay readable at its size, from all of them downwards.

    Raises `qr.QrTooSmall` when not even number, title and weight do.
    """
    most = math.floor(size_mm / qr.SMALLEST_MODULE_MM)
    for longest in (1000, TITLE_LONGEST, TITLE_LONGEST // 2):
        lines = spoken(record, say, title_longest=longest)
        while len(lines) > 3:  # noqa: PLR2004 - number, title and weight stay
            code = _fitting(lines, most)
            if code is not None:
                return code
            lines.pop()
    for count in (3, 2):
        for longest in (LINE_LONGEST // 2, LINE_LONGEST // 5):
            code = _fitting([_short(line, longest) for line in lines[:count]], most)
            if code is not None:
                return code
    # The number alone finds the piece, and the words stand beside it.
    code = qr.make(record.number_grouped)
    qr.module_mm(size_mm, code.modules)
    return code


def unprintable(record: LabelRecord, say: Say) -> list[tuple[str, str]]:
    """What the paper cannot show in its own letters: name of the fact and the scripts it is written in."""
    texts = [
        (say("Title"), record.title),
        (say("Maker"), record.maker),
        (say("What it is"), record.what),
        (say("Hangs by"), " ".join(record.hanging_points)),
        (say("Way up"), record.way_up),
        (say("Comes off"), record.take_down),
        (say("Keep off it"), record.keep_away),
        (say("Care"), record.care),
        (say("Never"), record.care_never),
        (say("Ask"), " ".join(record.who_to_ask)),
    ]
    found = [(name, scripts.missing(text)) for name, text in texts]
    return [(name, scripts.named(lost, say)) for name, lost in found if lost]


def _printed(fact: LabelFact, say: Say) -> LabelFact:
    return LabelFact(fact.name, plain(fact.words, say), fact.most, fact.strong)


def _fitting(lines: Sequence[str], most_modules: int) -> qr.Qr | None:
    text = "\n".join(lines)
    # A square of n modules holds well under n² / 16 bytes at level Q: no need to try a longer text.
    if len(text.encode()) > most_modules**2 / 16:
        return None
    code = qr.make(text)
    return code if code.modules <= most_modules else None


def _short(text: str, longest: int) -> str:
    return pages.clipped(text, longest) or ""
