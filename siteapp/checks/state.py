"""Where a piece's check lists stand: read from what is recorded, never kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.checks import verdicts
from siteapp.checks.models import CheckAnswer, CheckLine, CheckList
from siteapp.checks.wording import limits_words
from siteapp.store.revisions import all_bodies, photos_of, standing_bodies
from siteapp.web.figures import typed_again
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.store.models import Entry, EntryPhoto


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
    by_id: str | None
    at: datetime
    photos: tuple[EntryPhoto, ...]
    stands: bool

    @property
    def measured(self) -> str:
        """The reading with its unit, nothing rounded; empty without one."""
        return "" if self.reading is None else f"{typed_again(self.reading)} {self.unit or ''}".rstrip()


@dataclass(frozen=True)
class LineState:
    """One line of a recorded list with its answers, oldest first. Limits are in `unit`, both included."""

    list_id: str
    key: str
    words: str
    why: str
    hold: bool
    photo: bool
    quantity: str | None
    unit: str | None
    low: float | None
    high: float | None
    answers: tuple[Answer, ...]

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
        """The answers that were corrected, latest first."""
        return tuple(one for one in reversed(self.answers) if not one.stands)

    @property
    def verdict(self) -> str:
        """Met, not met or cannot tell: the worst of the answers that stand; cannot tell while there is none."""
        return verdicts.worst(one.verdict for one in self.standing)


@dataclass(frozen=True)
class OpenHold:
    """A hold point that stops the work, with the words that name it. No line: its whole list is not open yet."""

    stage: str
    words: str
    verdict: str
    line_key: str | None = None


@dataclass(frozen=True)
class ListState:
    """The list of one stage; `name` is None while it is not open."""

    stage: str
    name: str | None
    lines: tuple[LineState, ...]

    @property
    def opened(self) -> bool:
        """Whether the list is recorded."""
        return self.name is not None

    @property
    def left(self) -> int | None:
        """How many lines are not met; None while the list is not open and nobody can tell."""
        return sum(line.verdict != verdicts.MET for line in self.lines) if self.opened else None

    @property
    def open_holds(self) -> tuple[OpenHold, ...]:
        """The hold points that are not met, in working order."""
        if not self.opened:
            words = _("The checks for “%(stage)s” are not open yet: record the arrival first.", stage=self.stage)
            return (OpenHold(self.stage, words, verdicts.CANNOT_TELL),)
        return tuple(
            OpenHold(self.stage, line.words, line.verdict, line.key)
            for line in self.lines
            if line.hold and line.verdict != verdicts.MET
        )


def list_state(session: Session, piece_id: str, stage: str) -> ListState:
    """The list of one stage of a piece. Where two machines opened it apart, the lines of both must be met."""
    opened = [
        (entry.id, said.name)
        for entry, said in standing_bodies(session, CheckList, piece_id=piece_id)
        if said.stage == stage
    ]
    if not opened:
        return ListState(stage, None, ())
    list_ids = [list_id for list_id, _name in opened]
    query = select(CheckLine).where(CheckLine.entry_id.in_(list_ids)).order_by(CheckLine.position)
    rows = sorted(session.scalars(query), key=lambda row: list_ids.index(row.entry_id))
    answers = _answers(session, piece_id)
    lines = tuple(_line_state(row, answers.get((row.entry_id, row.line_key), [])) for row in rows)
    return ListState(stage, opened[0][1], lines)


Given = tuple["Entry", CheckAnswer, tuple["EntryPhoto", ...], bool]


def _answers(session: Session, piece_id: str) -> dict[tuple[str, str], list[Given]]:
    everything = all_bodies(session, CheckAnswer, piece_id=piece_id)
    stands = {entry.id for entry, _said in standing_bodies(session, CheckAnswer, piece_id=piece_id)}
    photos = photos_of(session, [entry.id for entry, _said in everything])
    found: dict[tuple[str, str], list[Given]] = {}
    for entry, said in everything:
        given = (entry, said, tuple(photos.get(entry.id, ())), entry.id in stands)
        found.setdefault((said.list_id, said.line_key), []).append(given)
    return found


def _line_state(row: CheckLine, given: list[Given]) -> LineState:
    return LineState(
        list_id=row.entry_id,
        key=row.line_key,
        words=row.words,
        why=row.why,
        hold=row.hold,
        photo=row.photo,
        quantity=row.quantity,
        unit=row.unit,
        low=row.low,
        high=row.high,
        answers=tuple(
            Answer(
                entry_id=entry.id,
                verdict=verdicts.worth(row, said=said.verdict, reading=said.reading, photos=len(photos)),
                said=said.verdict,
                reading=said.reading,
                unit=said.unit,
                instrument=said.instrument,
                note=said.note,
                by_id=entry.by_id,
                at=entry.happened_at,
                photos=photos,
                stands=stands,
            )
            for entry, said, photos, stands in given
        ),
    )
