"""Where everything stands on a label: each line of type, rule and code with its place in mm from the upper left.

The back label and the card are one design, the card with more facts and room for notes; the lower-edge label is a strip
of the same. Type is made smaller in steps until all is on it; what has no room at 6 pt is cut at a word, and named.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.documents import fitting
from siteapp.documents.fitting import DISPLAY, ITALIC, MM_PER_PT, SANS, SMALLEST_PT, STRONG
from siteapp.documents.label import codes as label_codes
from siteapp.documents.label import words as label_words
from siteapp.documents.label.parts import ACCENT, FAINT, LEADING, Box, Laid, Rule, put_line
from siteapp.documents.label.sizes import CARD, EDGE, LabelError

if TYPE_CHECKING:
    from collections.abc import Callable

    from siteapp.documents.label.sizes import LabelForm
    from siteapp.documents.label.words import LabelFact
    from siteapp.documents.records import LabelRecord

    Say = Callable[[str], str]

BORDER_MM = 3.5
STRIP_BORDER_MM = 2.0
TRACKING_EM = 0.08  # of the number, whose letters are read one by one
TITLE_LONGEST, WHAT_LONGEST = 160, 120
TITLE_SHARES = (1.75, 1.4, 1.05)
NOTE_LINE_MM = 6.5


def lay(record: LabelRecord, form: LabelForm, say: Say) -> Laid:
    """Lay a label out. Raises `qr.QrTooSmall`, and LabelError when its words have no room even at 6 pt."""
    laid = Laid(form)
    if form.kind == EDGE:
        _strip(laid, record, say)
        return laid
    inner = Box(BORDER_MM, BORDER_MM, form.width_mm - 2 * BORDER_MM, form.height_mm - 2 * BORDER_MM)
    if form.kind == CARD:
        inner = _notes(laid, inner, say)
    room = label_codes.under(laid, record, inner, say) if form.tall else label_codes.beside(laid, record, inner, say)
    for share in TITLE_SHARES:
        words = Laid(form)
        _words(words, record, room, share, say)
        # A smaller title leaves more room for what has to be known before the piece is lifted.
        if not set(words.cut) - {say("Title")}:
            break
    return Laid(form, words.texts + laid.texts, words.rules + laid.rules, laid.codes, words.cut)


def _notes(laid: Laid, inner: Box, say: Say) -> Box:
    """Keep room for notes at the foot of a card."""
    rows = max(2, int(inner.height * 0.22 // NOTE_LINE_MM))
    high = rows * NOTE_LINE_MM
    top = inner.y + inner.height - high
    put_line(laid, say("Notes"), inner.x, top, 7, face=STRONG, colour=ACCENT)
    for row in range(1, rows + 1):
        laid.rules.append(Rule(inner.x, top + row * NOTE_LINE_MM - 0.2, inner.width, 0.15, FAINT))
    return Box(inner.x, inner.y, inner.width, inner.height - high - 1.5)


def _words(laid: Laid, record: LabelRecord, room: Box, title_share: float, say: Say) -> None:
    """Set maker, title, number, facts and the caution into a column."""
    facts = (label_words.card_facts if laid.form.kind == CARD else label_words.back_facts)(record, say)
    base = max(SMALLEST_PT, min(20.0, min(room.height / (46 + 3 * len(facts)), room.width / 54) * 7.6))
    y = room.y
    maker = fitting.fitted(
        label_words.plain(record.maker, say, WHAT_LONGEST), SANS, fitting.sizes(base * 0.86), room.width, 1
    )
    title = fitting.fitted(
        label_words.plain(record.title, say, TITLE_LONGEST),
        DISPLAY,
        fitting.sizes(base * title_share, base * TITLE_SHARES[-1]),
        room.width,
        2,
    )
    what = fitting.fitted(
        label_words.plain(record.what, say, WHAT_LONGEST) or say("what it is: not recorded"),
        ITALIC,
        fitting.sizes(base),
        room.width,
        1,
    )
    for name, part, face in (
        (say("Maker"), maker, SANS),
        (say("Title"), title, DISPLAY),
        (say("What it is"), what, ITALIC),
    ):
        for words in part.lines:
            y += put_line(laid, words, room.x, y, part.size_pt, face=face)
        if part.cut:
            laid.cut.append(name)
    y = _number(laid, record, room, y, base)
    foot = _caution(laid, room, base, say)
    _facts(laid, facts, Box(room.x, y, room.width, foot - y), base)


def _number(laid: Laid, record: LabelRecord, room: Box, y: float, base: float) -> float:
    """Set the piece's number between two rules; gives where it ends."""
    size = base * 2
    while fitting.width_mm(record.number_grouped, STRONG, size, TRACKING_EM) > room.width:
        size *= fitting.SHRINK
    air = base * MM_PER_PT * 0.3
    laid.rules.append(Rule(room.x, y + air, room.width))
    high = put_line(laid, record.number_grouped, room.x, y + air + 0.5, size, face=STRONG, tracking_em=TRACKING_EM)
    laid.rules.append(Rule(room.x, y + air + 0.7 + high, room.width))
    return y + air + 1 + high + air


def _caution(laid: Laid, room: Box, base: float, say: Say) -> float:
    """Set the caution at the foot; gives where it begins."""
    words = say(
        "Lift and hang by the local rules, with a competent person. Print on film with toner or pigment ink: "
        "no thermal printing near heat."
    )
    size = max(SMALLEST_PT, base * 0.72)
    lines = fitting.broken(words, SANS, size, room.width)
    y = top = room.y + room.height - len(lines) * size * MM_PER_PT * LEADING
    for line in lines:
        y += put_line(laid, line, room.x, y, size)
    return top


def _facts(laid: Laid, facts: list[LabelFact], room: Box, base: float) -> None:
    """Set the facts, names at the left, as large as all of them have room; at 6 pt the longest are cut."""
    for size in fitting.sizes(base):
        told = [_set(fact, size, room, facts) for fact in facts]
        if all(len(one.lines) <= fact.most for one, fact in zip(told, facts, strict=True)) and (
            _height(told, size) <= room.height
        ):
            break
    else:
        size = SMALLEST_PT
        most = [min(fact.most, len(one.lines)) for one, fact in zip(told, facts, strict=True)]
        told = [_set(fact, size, room, facts, count) for fact, count in zip(facts, most, strict=True)]
        while _height(told, size) > room.height:
            # What is needed before lifting is cut last.
            longest = max(range(len(most)), key=lambda at: (most[at] > 1, not facts[at].strong, most[at]))
            if most[longest] == 1:
                message = (
                    f"label height: {laid.form.height_mm:g} mm is too little for its words at {SMALLEST_PT:g} pt, the "
                    f"smallest type; give it {_height(told, size) - room.height:.1f} mm more"
                )
                raise LabelError("height", message)
            most[longest] -= 1
            told = [_set(fact, size, room, facts, count) for fact, count in zip(facts, most, strict=True)]
        laid.cut += [fact.name for fact, one in zip(facts, told, strict=True) if one.cut]
    y = room.y
    indent = _indent(facts, size)
    for fact, one in zip(facts, told, strict=True):
        put_line(laid, fact.name, room.x, y, size, face=STRONG, colour=ACCENT)
        for words in one.lines:
            y += put_line(laid, words, room.x + indent, y, size, face=STRONG if fact.strong else SANS)
        y += size * MM_PER_PT * 0.3


def _indent(facts: list[LabelFact], size: float) -> float:
    return max(fitting.width_mm(fact.name, STRONG, size) for fact in facts) + size * MM_PER_PT * 0.8


def _set(fact: LabelFact, size: float, room: Box, facts: list[LabelFact], most: int = 1000) -> fitting.Set:
    face = STRONG if fact.strong else SANS
    return fitting.cut(fact.words, face, size, room.width - _indent(facts, size), most)


def _height(told: list[fitting.Set], size: float) -> float:
    lines = sum(len(one.lines) for one in told)
    return (lines * LEADING + (len(told) - 1) * 0.3) * size * MM_PER_PT


def _strip(laid: Laid, record: LabelRecord, say: Say) -> None:
    """Lay the lower-edge label out: number, title, weight, people, a condition, who to ask; one code at the right."""
    form = laid.form
    high = form.height_mm - 2 * STRIP_BORDER_MM
    side = min(high, form.width_mm * 0.4)
    left = form.width_mm - STRIP_BORDER_MM - side
    label_codes.single(laid, record, left, STRIP_BORDER_MM + (high - side) / 2, side, say)
    wide = left - STRIP_BORDER_MM - 1.5
    rows = [
        # name, words, face, share of the type's size, most lines, may be cut
        (say("Number"), record.number_grouped, STRONG, 1.5, 1, False),
        (say("Title"), label_words.plain(record.title, say, TITLE_LONGEST), DISPLAY, 1.2, 1, True),
        (say("Weight"), label_words.edge_lift(record, say), STRONG, 1.0, 3, False),
        (say("Ask"), label_words.edge_ask(record, say), SANS, 1.0, 2, True),
    ]
    if record.condition:
        rows.insert(-1, (say("Heat"), label_words.plain(record.condition, say), STRONG, 1.0, 2, False))
    for base in fitting.sizes(min(16.0, high / 6.6 / MM_PER_PT)):
        told = [
            fitting.fitted(words, face, fitting.sizes(base * share, SMALLEST_PT if may else base), wide, most)
            for _name, words, face, share, most, may in rows
        ]
        # A long title gets smaller by itself.
        if not any(one.cut for one in told if one is not told[1]) and _strip_height(told) <= high:
            break
    for (name, _words_of, _face, _share, _most, may), one in zip(rows, told, strict=True):
        if one.cut and may:
            laid.cut.append(name)
        elif one.cut or _strip_height(told) > high:
            message = (
                f"label width: {form.width_mm:g} × {form.height_mm:g} mm is too little for number, weight, people and "
                f"conditions at {SMALLEST_PT:g} pt, the smallest type; make it wider"
            )
            raise LabelError("width", message)
    y = STRIP_BORDER_MM + (high - _strip_height(told)) / 2
    for (_name, _words_of, face, _share, _most, _may), one in zip(rows, told, strict=True):
        for words in one.lines:
            y += put_line(laid, words, STRIP_BORDER_MM, y, one.size_pt, face=face)


def _strip_height(told: list[fitting.Set]) -> float:
    return sum(len(one.lines) * one.size_pt * MM_PER_PT * LEADING for one in told)
