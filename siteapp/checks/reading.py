"""Reads where check lists stand, of one piece or of many, always in the same few queries."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.checks import shelf, verdicts
from siteapp.checks.lists import STAGES
from siteapp.checks.models import CheckAnswer, CheckLine, CheckList, CheckRelease, CheckTakenBack
from siteapp.checks.state import Answer, LineState, ListState, Release, StageState
from siteapp.pieces.models import Particulars
from siteapp.store.entries import standing
from siteapp.store.models import Entry, EntryCorrects, EntryPhoto

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from sqlalchemy import Row, Select
    from sqlalchemy.orm import Session

    from siteapp.checks.shelf import Shelved

# Past this many ids a database takes no more as parameters of one query; then all pieces are read.
MOST_IDS = 500
Spot = tuple[str, str]  # list id and line key


@dataclass
class _Read:
    """What the queries brought, by what it belongs to."""

    shelved: tuple[Shelved, ...]
    lists: dict[str, list[tuple[str, CheckList]]] = field(default_factory=dict)  # piece id: list id and list
    particulars: dict[str, tuple[str, Particulars]] = field(default_factory=dict)  # piece id: revision and particulars
    lines: dict[str, list[Row[Any]]] = field(default_factory=dict)  # list id
    answers: dict[Spot, list[tuple[Entry, CheckAnswer]]] = field(default_factory=dict)
    photos: dict[str, list[EntryPhoto]] = field(default_factory=dict)  # entry id
    corrected: set[str] = field(default_factory=set)
    taken_back: set[str] = field(default_factory=set)
    releases: dict[tuple[str, str | None], list[Release]] = field(default_factory=dict)


def states(session: Session, piece_ids: Collection[str] | None) -> dict[str, tuple[StageState, ...]]:
    """For each piece its stages in their order; of all pieces when no ids are given."""
    if piece_ids is not None and not piece_ids:
        return {}
    found = _read(session, piece_ids)
    wanted = found.particulars if piece_ids is None else piece_ids
    return {piece_id: _stages(found, piece_id) for piece_id in wanted}


def _read(session: Session, piece_ids: Collection[str] | None) -> _Read:
    few = piece_ids if piece_ids is not None and len(piece_ids) <= MOST_IDS else None

    def of_pieces(query: Select[Any]) -> Any:
        query = query if few is None else query.where(Entry.piece_id.in_(tuple(few)))
        return session.execute(query.order_by(Entry.recorded_at, Entry.id))

    found = _Read(shelf.shelf(session))
    revisions = select(Entry.piece_id, Entry.id, Particulars).join(Particulars, Particulars.entry_id == Entry.id)
    for piece_id, entry_id, said in of_pieces(revisions.where(standing())):
        found.particulars[piece_id] = (entry_id, said)
    opened = select(Entry.piece_id, Entry.id, CheckList).join(CheckList, CheckList.entry_id == Entry.id)
    for piece_id, entry_id, said in of_pieces(opened.where(standing())):
        found.lists.setdefault(piece_id, []).append((entry_id, said))
    # Rows, not objects: there are many lines, and nothing is written to them.
    lines = select(*CheckLine.__table__.columns).join(Entry, Entry.id == CheckLine.entry_id)
    lines = lines if few is None else lines.where(Entry.piece_id.in_(tuple(few)))
    for row in session.execute(lines.order_by(CheckLine.entry_id, CheckLine.position)):
        found.lines.setdefault(row.entry_id, []).append(row)
    for entry, said in of_pieces(select(Entry, CheckAnswer).join(CheckAnswer, CheckAnswer.entry_id == Entry.id)):
        found.answers.setdefault((said.list_id, said.line_key), []).append((entry, said))
    photos = select(EntryPhoto).join(Entry, Entry.id == EntryPhoto.entry_id).where(Entry.kind == "check_answer")
    photos = photos if few is None else photos.where(Entry.piece_id.in_(tuple(few)))
    for photo in session.scalars(photos.order_by(EntryPhoto.entry_id, EntryPhoto.position)):
        found.photos.setdefault(photo.entry_id, []).append(photo)
    _read_corrections(found, of_pieces)
    _read_releases(found, of_pieces)
    return found


def _read_corrections(found: _Read, of_pieces: Any) -> None:
    corrector = select(Entry.kind, EntryCorrects.corrects_id).join(EntryCorrects, EntryCorrects.entry_id == Entry.id)
    kinds = ("check_answer", "check_taken_back", "check_release")
    for kind, corrects_id in of_pieces(corrector.where(Entry.kind.in_(kinds))):
        found.corrected.add(corrects_id)
        if kind == CheckTakenBack.__tablename__:
            found.taken_back.add(corrects_id)


def _read_releases(found: _Read, of_pieces: Any) -> None:
    query = select(Entry, CheckRelease).join(CheckRelease, CheckRelease.entry_id == Entry.id)
    for entry, said in of_pieces(query):
        release = Release(
            entry_id=entry.id,
            list_id=said.list_id,
            line_key=said.line_key,
            released=said.released,
            reason=said.reason,
            seen=frozenset(said.seen.split()),
            by_id=entry.by_id,
            at=entry.happened_at,
            stands=entry.id not in found.corrected,
        )
        found.releases.setdefault((said.list_id, said.line_key), []).append(release)


def _stages(found: _Read, piece_id: str) -> tuple[StageState, ...]:
    revision, said = found.particulars.get(piece_id, (None, None))
    opened = [_list(found, list_id, row, revision) for list_id, row in found.lists.get(piece_id, ())]
    order = {one.key: place for place, one in enumerate(found.shelved)}
    opened.sort(key=lambda one: order.get(one.key, len(order)))
    keys = {one.key for one in opened}
    return tuple(
        StageState(
            stage,
            tuple(one for one in opened if one.stage == stage),
            tuple(one for one in shelf.for_piece(found.shelved, stage, said) if one.key not in keys),
        )
        for stage in STAGES
    )


def _list(found: _Read, list_id: str, said: CheckList, revision: str | None) -> ListState:
    set_aside = tuple(found.releases.get((list_id, None), ()))
    lines = tuple(_line(found, said, row, set_aside, revision) for row in found.lines.get(list_id, ()))
    return ListState(list_id, said.list_key or shelf.POINTS, said.stage, said.name, lines, set_aside)


def _line(
    found: _Read, opened: CheckList, row: Row[Any], set_aside: tuple[Release, ...], revision: str | None
) -> LineState:
    spot = (row.entry_id, row.line_key)
    return LineState(
        list_id=row.entry_id,
        list_name=opened.name,
        stage=opened.stage,
        key=row.line_key,
        words=row.words,
        why=row.why,
        hold=row.hold,
        photo=row.photo,
        second=bool(row.second),
        quantity=row.quantity,
        unit=row.unit,
        low=row.low,
        high=row.high,
        calculation=row.calculation,
        answers=tuple(_answer(found, row, entry, said, revision) for entry, said in found.answers.get(spot, ())),
        releases=tuple(found.releases.get(spot, ())),
        set_aside=set_aside,
    )


def _answer(found: _Read, row: Row[Any], entry: Entry, said: CheckAnswer, revision: str | None) -> Answer:
    photos = tuple(found.photos.get(entry.id, ()))
    stale = said.particulars_id is not None and said.particulars_id != revision
    shown = verdicts.Shown(said.reading, len(photos), said.second_name, said.calculation is not None, stale)
    return Answer(
        entry_id=entry.id,
        verdict=verdicts.worth(row, said.verdict, shown),
        said=said.verdict,
        reading=said.reading,
        unit=said.unit,
        instrument=said.instrument,
        note=said.note,
        second_name=said.second_name,
        calculation=said.calculation,
        inputs=_told(said.inputs),
        outcome=_told(said.outcome),
        by_id=entry.by_id,
        at=entry.happened_at,
        recorded_at=entry.recorded_at,
        photos=photos,
        stands=entry.id not in found.corrected,
        stale=stale,
        taken_back=entry.id in found.taken_back,
    )


def _told(text: str | None) -> Mapping[str, Any]:
    told = json.loads(text) if text else {}
    return told if isinstance(told, dict) else {}


def stage_of(stages: Iterable[StageState], stage: str) -> StageState:
    """The state of one stage among all."""
    return next(one for one in stages if one.stage == stage)
