"""The start page: today's pieces, and the pieces in hand by what happens to them next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from siteapp.aftercare.services import due
from siteapp.checks.services import standing_of
from siteapp.journey.faces import faces, title_photos
from siteapp.journey.services import STAGE_KINDS, STAGES, WORDS, latest_by_kind, steps
from siteapp.store.entries import standing
from siteapp.store.models import Entry
from siteapp.visits.services import jobs_visited_on
from siteapp.web.dates import now

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable
    from datetime import date

    from sqlalchemy.orm import Session

    from siteapp.journey.faces import Face
    from siteapp.journey.services import Stage, Step

MOST_IN_HAND = 120  # a workshop has fewer in hand; the rest is found by searching
MOST_TODAY = 12
MOST_FOUND = 40
SOON_DAYS = 30


@dataclass(frozen=True)
class Line:
    """A piece in a list: what it is, where it stands, and the hold point that stops it, if one does."""

    face: Face
    photo: str | None
    steps: tuple[Step, ...]
    hold: str

    @property
    def next(self) -> Step:
        """What happens to it next."""
        return next(step for step in self.steps if step.state == "now")


@dataclass(frozen=True)
class Group:
    """The pieces to which the same happens next."""

    stage: Stage
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class InHand:
    """Pieces not handed over yet, those touched last first; `more` is how many are not shown."""

    groups: tuple[Group, ...]
    more: int


def in_hand(session: Session, most: int = MOST_IN_HAND) -> InHand:
    """The pieces in hand by what happens to them next, in the order of the journey; care that is due soon last."""
    touched: dict[str, datetime] = {}
    gone: set[str] = set()
    query = select(Entry.piece_id, Entry.kind, func.max(Entry.recorded_at)).where(Entry.kind.in_(STAGE_KINDS))
    for piece_id, kind, at in session.execute(query.group_by(Entry.piece_id, Entry.kind)):
        if piece_id is None:
            continue
        touched[piece_id] = max(at, touched.get(piece_id, at))
        if kind == "handover":
            gone.add(piece_id)
    waiting = sorted((one for one in touched if one not in gone), key=lambda one: touched[one], reverse=True)
    cared = [one.piece_id for one in due(session, now().date(), SOON_DAYS)]
    shown = lines(session, faces(session, [*waiting[:most], *cared[:most]]).values())
    order = {piece_id: place for place, piece_id in enumerate([*waiting, *cared])}
    shown.sort(key=lambda line: order[line.face.piece_id])
    groups = (Group(stage, tuple(line for line in shown if line.next.stage is stage)) for stage in STAGES)
    return InHand(tuple(group for group in groups if group.lines), max(0, len(waiting) - most))


def today(session: Session, day: date) -> list[Line]:
    """The pieces of the jobs that are visited on this day, or else those that something happened to today."""
    jobs = jobs_visited_on(session, day)
    if jobs:
        # What has moved away since is not there any more.
        gone = select(Entry.piece_id).where(Entry.kind == "moved", standing())
        query = select(Entry.piece_id).where(Entry.kind == "piece", Entry.job_id.in_(tuple(jobs)))
        query = query.where(Entry.piece_id.not_in(gone))
    else:
        began = datetime.combine(day, time()).astimezone().astimezone(UTC)
        # Asked by kind, since entries are in order of time within their kind.
        query = select(Entry.piece_id).where(Entry.kind.in_(tuple(WORDS)), Entry.recorded_at >= began)
        query = query.where(Entry.piece_id.is_not(None)).group_by(Entry.piece_id)
        query = query.order_by(func.max(Entry.recorded_at).desc())
    found = [piece_id for piece_id in session.scalars(query.limit(MOST_TODAY)) if piece_id]
    return lines(session, faces(session, found).values())


def lines(session: Session, found: Iterable[Face]) -> list[Line]:
    """These pieces as lines, in the order given, in a fixed number of queries."""
    shown = list(found)
    piece_ids: Collection[str] = [face.piece_id for face in shown]
    kinds = latest_by_kind(session, piece_ids)
    checked = standing_of(session, piece_ids)
    photos = title_photos(session, [face.revision_id for face in shown])
    told = []
    for face in shown:
        stands = checked.get(face.piece_id)
        path = steps(kinds.get(face.piece_id, {}), stands)
        now_at = next(step.stage.key for step in path if step.state == "now")
        holds = [hold.words for hold in stands.holds if hold.stage == now_at] if stands else []
        told.append(Line(face, photos.get(face.revision_id), path, holds[0] if holds else ""))
    return told
