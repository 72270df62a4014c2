"""Where a piece's check lists stand, as plain values: answers, releases, hold points. Nothing of it is kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from siteapp.checks import verdicts
from siteapp.checks.lists import FIXED
from siteapp.checks.wording import limits_words
from siteapp.web.figures import typed_again
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import datetime

    from siteapp.checks.shelf import Shelved
    from siteapp.store.models import EntryPhoto


@dataclass(frozen=True)
class Answer:
    """One answer to a line. `said` is what the person answered, `verdict` what it is worth with its evidence."""

    entry_id: str
    verdict: str
    said: str
    reading: float | None
    unit: str | None
    instrument: str | None
    note: str | None
    second_name: str | None
    calculation: str | None  # name and version of what worked it out; None for an answer by hand
    inputs: Mapping[str, Any]
    outcome: Mapping[str, Any]
    by_id: str | None
    at: datetime
    recorded_at: datetime
    photos: tuple[EntryPhoto, ...]
    stands: bool
    stale: bool  # worked out from particulars that have been revised since
    taken_back: bool

    @property
    def measured(self) -> str:
        """The reading with its unit, nothing rounded; empty without one."""
        return "" if self.reading is None else f"{typed_again(self.reading)} {self.unit or ''}".rstrip()


@dataclass(frozen=True)
class Release:
    """A maker's word that the work may go on, or that it may not after all. No `line_key`: about the whole list.

    `seen` are the answers that stood then; `stands` says that no later word took its place.
    """

    entry_id: str
    list_id: str
    line_key: str | None
    released: bool
    reason: str
    seen: frozenset[str]
    by_id: str | None
    at: datetime
    stands: bool


def lets_go(releases: Iterable[Release], answers: Iterable[str]) -> bool:
    """Whether releases that stand let the work go on in spite of these answers, by entry id.

    An answer that a release does not name came after it and brings the hold point back. Where two machines disagree,
    the one that does not let go counts.
    """
    standing = [one for one in releases if one.stands]
    given = set(answers)
    return bool(standing) and all(one.released and given <= one.seen for one in standing)


@dataclass(frozen=True)
class LineState:
    """One line of a recorded list with its answers, oldest first. Limits are in `unit`, both included."""

    list_id: str
    list_name: str
    stage: str
    key: str
    words: str
    why: str
    hold: bool
    photo: bool
    second: bool
    quantity: str | None
    unit: str | None
    low: float | None
    high: float | None
    calculation: str | None
    answers: tuple[Answer, ...]
    releases: tuple[Release, ...]  # about this line, oldest first
    set_aside: tuple[Release, ...]  # about its whole list, oldest first

    @property
    def limits(self) -> str:
        """The limits of the reading in words; empty when there are none."""
        return limits_words(self)

    @property
    def standing(self) -> tuple[Answer, ...]:
        """The answers that stand: one, none, or several where two machines answered and nobody has chosen yet."""
        return tuple(one for one in self.answers if one.stands)

    @property
    def answer(self) -> Answer | None:
        """The latest answer that stands."""
        return self.standing[-1] if self.standing else None

    @property
    def earlier(self) -> tuple[Answer, ...]:
        """The answers that were corrected or taken back, latest first."""
        return tuple(one for one in reversed(self.answers) if not one.stands)

    @property
    def verdict(self) -> str:
        """Met, not met or cannot tell: the worst of the answers that stand; cannot tell while there is none."""
        return verdicts.worst(one.verdict for one in self.standing)

    @property
    def released(self) -> bool:
        """Whether a maker let the work go on in spite of what stands: by this line, or by its whole list."""
        given = [one.entry_id for one in self.standing]
        return lets_go(self.releases, given) or lets_go(self.set_aside, given)

    @property
    def left(self) -> bool:
        """Whether it is neither met nor released."""
        return self.verdict != verdicts.MET and not self.released


@dataclass(frozen=True)
class OpenHold:
    """A hold point that stops the work, with the words that name it. No line: its whole list is not open yet."""

    stage: str
    words: str
    verdict: str
    line_key: str | None = None
    list_id: str | None = None


@dataclass(frozen=True)
class ListState:
    """One list as it was recorded."""

    list_id: str
    key: str
    stage: str
    name: str
    lines: tuple[LineState, ...]
    releases: tuple[Release, ...]  # about the whole list, oldest first

    @property
    def left(self) -> int:
        """How many lines are neither met nor released."""
        return sum(line.left for line in self.lines)

    @property
    def open_holds(self) -> tuple[OpenHold, ...]:
        """The hold points that are neither met nor released, in working order."""
        return tuple(
            OpenHold(self.stage, line.words, line.verdict, line.key, line.list_id)
            for line in self.lines
            if line.hold and line.left
        )

    @property
    def set_aside(self) -> bool:
        """Whether a maker set it aside as a whole and nobody took that back."""
        standing = [one for one in self.releases if one.stands]
        return bool(standing) and all(one.released for one in standing)


@dataclass(frozen=True)
class StageState:
    """The lists of one stage: those that were opened, and those that apply to the piece now and were not.

    Where two machines opened one list apart, the lines of both must be met.
    """

    stage: str
    lists: tuple[ListState, ...]
    waiting: tuple[Shelved, ...] = field(default=())

    @property
    def opened(self) -> bool:
        """Whether a list of this stage is recorded."""
        return bool(self.lists)

    @property
    def lines(self) -> tuple[LineState, ...]:
        """The lines of every list that is open, in working order."""
        return tuple(line for one in self.lists for line in one.lines)

    @property
    def left(self) -> int | None:
        """How many lines are neither met nor released, those of lists that wait to be opened too.

        None while no list is open and nobody can tell.
        """
        if not self.opened:
            return None
        # A file that cannot be read holds nobody knows how many lines: at least one is left then.
        waiting = sum(len(one.found.lines) if one.found else 1 for one in self.waiting)
        return sum(one.left for one in self.lists) + waiting

    @property
    def open_holds(self) -> tuple[OpenHold, ...]:
        """The hold points that are neither met nor released; of the last stage also each list that is not open yet.

        What was to be looked at before the piece left or was unpacked is behind, so a list of those stages that was
        never opened stops nothing.
        """
        holds = [hold for one in self.lists for hold in one.open_holds]
        if self.stage == FIXED:
            words = [waiting_words(one) for one in self.waiting]
            if not self.lists and not self.waiting:
                words = [_("No check list is for this piece, so nobody can tell what is to be checked.")]
            holds += [OpenHold(self.stage, told, verdicts.CANNOT_TELL) for told in words]
        return tuple(holds)


def waiting_words(one: Shelved) -> str:
    """What is said of a list that applies and is not open."""
    if one.found:
        return _("The checks “%(name)s” are not open yet.", name=one.found.name)
    return _("The check list %(file)s cannot be used, so nobody can tell what it asks for.", file=one.file.name)


@dataclass(frozen=True)
class Standing:
    """How far a piece's checks have come: lines left by stage (None where no list is open), and its open holds."""

    left: Mapping[str, int | None]
    holds: tuple[OpenHold, ...]
