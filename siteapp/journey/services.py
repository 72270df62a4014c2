"""Stage and history of pieces, read from the heads of their entries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from siteapp.jobs.services import all_jobs
from siteapp.pieces.services import pieces_of
from siteapp.store.models import Entry, EntryPhoto
from siteapp.web.i18n import _l

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.web.i18n import Lazy


@dataclass(frozen=True)
class Stage:
    """One stage of the journey: its name, the kind of entry that shows it is behind, and the page that does it."""

    key: str
    name: Lazy
    kind: str
    endpoint: str
    action: Lazy


STAGES = (
    Stage(
        "ready",
        _l("Made ready"),
        "particulars",
        "pieces.particulars",
        _l("Write the particulars"),
    ),
    Stage("arrived", _l("Arrived"), "arrival", "arrival.page", _l("Record the arrival")),
    Stage("fixed", _l("Fixed"), "", "checks.page", _l("Go on with the checks")),
    Stage(
        "finished",
        _l("Finished"),
        "finishing_close",
        "finishing.page",
        _l("Finish the surface"),
    ),
    Stage("handed over", _l("Handed over"), "handover", "handover.page", _l("Hand over")),
)

WORDS = {
    "piece": _l("Piece begun, number given"),
    "particulars": _l("Particulars written"),
    "arrival": _l("Arrival recorded"),
    "check_list": _l("List of checks opened"),
    "check_answer": _l("Check answered"),
    "finishing_session": _l("Finishing session begun"),
    "climate": _l("Climate read"),
    "coat": _l("Coat applied"),
    "finishing_close": _l("Finishing session ended"),
    "handover": _l("Handed over"),
    "certificate": _l("Certificate issued"),
    "certificate_withdrawal": _l("Certificate withdrawn"),
    "agreed": _l("Agreed with the client"),
    "crate": _l("Crate described"),
    "dispatch": _l("Looked over before dispatch"),
    "unwrap": _l("Climate read before unwrapping"),
    "marks": _l("Marks set on photos"),
    "check_taken_back": _l("Answer taken back"),
    "check_release": _l("Hold point released, or the release taken back"),
    "snag": _l("Snag raised"),
    "snag_close": _l("Snag ended"),
    "condition": _l("Condition looked over"),
    "care_date": _l("Care date set"),
    "aftercare": _l("Looked after"),
    "moved": _l("Moved to another place"),
    "keeper": _l("Another keeper"),
    "erasure": _l("Words erased on request"),
}


@dataclass(frozen=True)
class Step:
    """One stage of a piece's journey: `state` is `done`, `now` or `later`."""

    stage: Stage
    state: str
    at: datetime | None

    @property
    def name(self) -> Lazy:
        """What the stage is called."""
        return self.stage.name


@dataclass(frozen=True)
class Line:
    """A piece on the start page."""

    number: str
    title: str
    place: str
    photo: str | None
    steps: tuple[Step, ...]

    @property
    def next(self) -> Step | None:
        """What happens to it next; None when it has been handed over."""
        return next((step for step in self.steps if step.state == "now"), None)


def steps(kinds: Mapping[str, datetime], *, checks_left: int | None) -> tuple[Step, ...]:
    """The journey of a piece from the kinds of entry it has (with the time of the latest of each).

    `checks_left` is the number of checks not met, None when their list has not been opened.
    """
    told: list[Step] = []
    open_step = True
    for stage in STAGES:
        done = checks_left == 0 if stage.key == "fixed" else stage.kind in kinds
        state = "done" if done else ("now" if open_step else "later")
        open_step = open_step and done
        told.append(Step(stage, state, kinds.get(stage.kind) if done else None))
    return tuple(told)


def latest_by_kind(session: Session, piece_ids: Sequence[str] | None = None) -> dict[str, dict[str, datetime]]:
    """For each piece the kinds of entry it has, with the time of the latest of each."""
    query = select(Entry.piece_id, Entry.kind, func.max(Entry.recorded_at)).where(Entry.piece_id.is_not(None))
    if piece_ids is not None:
        query = query.where(Entry.piece_id.in_(piece_ids))
    found: dict[str, dict[str, datetime]] = {}
    for piece_id, kind, at in session.execute(query.group_by(Entry.piece_id, Entry.kind)):
        found.setdefault(piece_id, {})[kind] = at
    return found


def history(session: Session, piece: PieceNow) -> list[Entry]:
    """Everything that happened to a piece, newest first."""
    query = select(Entry).where(Entry.piece_id == piece.piece_id)
    return list(session.scalars(query.order_by(Entry.recorded_at.desc(), Entry.id)))


def lines(session: Session, checks_left: Mapping[str, int | None]) -> list[Line]:
    """Every piece for the start page, those still on their way first."""
    places = {entry.job_id: job.place for entry, job in all_jobs(session)}
    job_of = dict(session.execute(select(Entry.piece_id, Entry.job_id).where(Entry.kind == "piece")).all())
    kinds = latest_by_kind(session)
    photos = title_photos(session)
    told = [
        Line(
            number=number,
            title=particulars.title,
            place=places.get(job_of.get(piece_id), ""),
            photo=photos.get(particulars.entry_id),
            steps=steps(kinds.get(piece_id, {}), checks_left=checks_left.get(piece_id)),
        )
        for piece_id, number, particulars in pieces_of(session)
    ]
    return sorted(told, key=lambda line: line.next is None)


def title_photos(session: Session) -> dict[str, str]:
    """The first photo of each revision of particulars, by its entry."""
    query = (
        select(EntryPhoto.entry_id, EntryPhoto.sha256)
        .join(Entry, Entry.id == EntryPhoto.entry_id)
        .where(Entry.kind == "particulars", EntryPhoto.position == 0)
    )
    return dict(session.execute(query).all())
