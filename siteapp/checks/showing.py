"""What the page of checks shows of a stage: its lists and lines with their forms, names of people, words."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from siteapp.checks import lists, wording
from siteapp.checks.calculations import known
from siteapp.checks.forms import AnswerForm, ReleaseForm, TakingBackForm, answer_form, release_form, with_ids
from siteapp.people.services import all_people
from siteapp.snags.services import open_snags

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from sqlalchemy.orm import Session

    from siteapp.checks.calculations import Calculation
    from siteapp.checks.state import Answer, LineState, ListState, OpenHold, Release, StageState
    from siteapp.pieces.services import PieceNow
    from siteapp.web.forms import RoomForm

# For as long as this the page offers to take an answer back; a script shortens it to ten seconds of seeing it.
LATELY = timedelta(minutes=2)
Spot = tuple[str, str]  # list id and line key


@dataclass(frozen=True)
class Shown:
    """A line as the page shows it: with its form, people's names, and its earlier answers as history."""

    line: LineState
    spot: str  # begins the ids of its elements
    form: AnswerForm
    people: Mapping[str, str]
    taking_back: TakingBackForm | None  # where this person answered just now
    release: ReleaseForm | None  # where a maker may release it, or take the release back
    snag: str | None  # id of the open snag that it raised

    @property
    def earlier(self) -> list[dict[str, Any]]:
        """Its earlier answers, latest first."""
        return [
            {"when": one.at, "by": self.by(one.by_id), "words": wording.answered(one), "note": one.note or ""}
            for one in self.line.earlier
        ]

    @property
    def calculation(self) -> Calculation | None:
        """What works it out; None where it is answered by hand."""
        return known(self.line.calculation)

    def by(self, person_id: str | None) -> str:
        """A person's name; empty when not known."""
        return self.people.get(person_id or "", "")

    def facts(self, said: Answer) -> list[tuple[str, str]]:
        """What an answer was worked out from and what it came to, in words."""
        return wording.facts(said)

    def worked_out_by(self, said: Answer) -> str:
        """What worked an answer out, in words."""
        return wording.worked_out_by(said)

    @property
    def releases(self) -> tuple[Release, ...]:
        """The releases of this line, oldest first."""
        return self.line.releases


@dataclass(frozen=True)
class ShownList:
    """A list as the page shows it."""

    state: ListState
    lines: list[Shown]
    release: ReleaseForm | None  # where a maker may set it aside, or take that back


@dataclass
class Page:
    """Everything that the page shows of one stage. `refused` is a form that was sent and not taken."""

    piece: PieceNow
    stages: tuple[StageState, ...]
    stage: StageState
    maker: bool
    person_id: str | None
    people: Mapping[str, str]
    crew: list[str]  # names offered for the second person
    refused: RoomForm | None = None
    at: tuple[str, str | None] | None = None  # list id and line key that the refused form is about
    lists: list[ShownList] = field(default_factory=list)

    @property
    def workable(self) -> int:
        """How many lines are left that the program can work out from what is recorded."""
        shown = [one for each in self.lists for one in each.lines if one.line.left]
        return sum(1 for one in shown if one.calculation and one.calculation.work_out)

    @property
    def following(self) -> Shown | None:
        """The first line that is neither met nor released."""
        return next((one for shown in self.lists for one in shown.lines if one.line.left), None)

    def spot(self, hold: OpenHold) -> str:
        """What begins the ids of the elements of a hold point on this page."""
        return next(
            one.spot
            for shown in self.lists
            for one in shown.lines
            if (one.line.list_id, one.line.key) == (hold.list_id, hold.line_key)
        )

    @property
    def next_stage(self) -> StageState | None:
        """The next stage in which something is left."""
        later = self.stages[self.stages.index(self.stage) + 1 :]
        return next((one for one in later if one.left), None)

    @property
    def loose(self) -> RoomForm | None:
        """A refused form that has no place of its own on the page."""
        kept = isinstance(self.refused, AnswerForm | ReleaseForm)
        return None if kept else self.refused


def page(
    session: Session,
    piece: PieceNow,
    stages: tuple[StageState, ...],
    stage: str,
    *,
    person_id: str | None,
    maker: bool,
    refused: RoomForm | None = None,
    at: tuple[str, str | None] | None = None,
) -> Page:
    """The page of one stage of a piece."""
    everybody = all_people(session)
    state = next(one for one in stages if one.stage == stage)
    crew = [one.name for one in everybody if one.active and one.person_id != person_id]
    people = {one.person_id: one.name for one in everybody}
    made = Page(piece, stages, state, maker, person_id, people, crew, refused, at)
    snags = {(one.said.list_id, one.said.line_key): one.entry.id for one in open_snags(session, piece.piece_id)}
    where = spots(state)
    made.lists = [
        ShownList(
            one,
            [_shown(made, one, line, where, snags) for line in one.lines],
            _release(made, one, None, one.list_id[:8]),
        )
        for one in state.lists
    ]
    return made


def spots(state: StageState) -> dict[Spot, str]:
    """What begins the ids of each line's elements: its key, or with a number where two lists have the same key."""
    found: dict[Spot, str] = {}
    counts: dict[str, int] = {}
    for line in state.lines:
        counts[line.key] = counts.get(line.key, 0) + 1
        number = counts[line.key]
        found[line.list_id, line.key] = line.key if number == 1 else f"{line.key}--{number}"
    return found


def current_stage(stages: Iterable[StageState]) -> str:
    """The stage to begin with: the first one with lines left, else the last one that is open, else the first."""
    known = list(stages)
    left = next((one.stage for one in known if one.left), None)
    return left or next((one.stage for one in reversed(known) if one.opened), lists.READY)


def _shown(
    made: Page, opened: ListState, line: LineState, where: Mapping[Spot, str], snags: Mapping[Any, str]
) -> Shown:
    spot = where[line.list_id, line.key]
    form = made.refused if made.at == (line.list_id, line.key) and isinstance(made.refused, AnswerForm) else None
    if form is not None and form.newer:
        form.look_again(line)
    return Shown(
        line=line,
        spot=spot,
        form=form or answer_form(line, spot),
        people=made.people,
        taking_back=_taking_back(made, line),
        release=_release(made, opened, line, spot),
        snag=snags.get((line.list_id, line.key)),
    )


def _taking_back(made: Page, line: LineState) -> TakingBackForm | None:
    answer = line.answer
    lately = answer is not None and datetime.now(UTC) - answer.recorded_at < LATELY
    if answer is None or not lately or answer.by_id != made.person_id or len(line.standing) > 1:
        return None
    return TakingBackForm(data={"list_id": line.list_id, "answer": answer.entry_id})


def _release(made: Page, opened: ListState, line: LineState | None, spot: str) -> ReleaseForm | None:
    """The form by which a maker lets a hold point or a list go, or takes that back; None where there is nothing to."""
    if not made.maker:
        return None
    before = line.releases if line else opened.releases
    standing = any(one.stands and one.released for one in before)
    # What was answered after a release brings the hold point back: then it is released anew and not taken back.
    released = bool(line.hold and line.left) if line else not standing and opened.left > 0
    if not released and not standing:
        return None
    form = release_form(opened.list_id, line, opened, released=released)
    if isinstance(made.refused, ReleaseForm) and made.at == (opened.list_id, line.key if line else None):
        if made.refused.newer:
            made.refused.look_again(form)
        form = made.refused
    return with_ids(form, f"release-{spot}")
