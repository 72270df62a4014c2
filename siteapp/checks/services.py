"""Check lists opened, answered, released. The only code that writes their rows."""

from __future__ import annotations

from typing import TYPE_CHECKING
from uuid import UUID, uuid5

from siteapp.checks import answering, lists, reading, verdicts, working
from siteapp.checks.answering import Given
from siteapp.checks.lists import ARRIVED, FIXED, READY, STAGES, ListProblem
from siteapp.checks.models import VERDICTS, CheckLine, CheckList, CheckTakenBack
from siteapp.checks.releasing import release, releases
from siteapp.checks.state import Standing
from siteapp.checks.working import push, refresh, work_out, work_out_stage
from siteapp.people.services import all_people
from siteapp.snags.services import TAKEN_BACK, end_with_check
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.store.models import Entry
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from sqlalchemy.orm import Session

    from siteapp.checks.shelf import Shelved
    from siteapp.checks.state import OpenHold, StageState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

__all__ = [
    "ARRIVED",
    "FIXED",
    "READY",
    "answer",
    "answer_of_form",
    "open_holds",
    "open_lists",
    "push",
    "refresh",
    "release",
    "releases",
    "standing_of",
    "state",
    "states",
    "take_back",
    "work_out",
    "work_out_stage",
]


def open_lists(session: Session, writer: Writer, *, piece: PieceNow, stage: str) -> tuple[str, ...]:
    """Record every list of a stage that applies to the piece now and is not open, as its file has it; their entry ids.

    A list that is open already stays as it is. Raises ListProblem while a file that would apply cannot be used: half
    of what is to be checked would look like all of it.
    """
    if not _waiting(session, piece, stage):
        return ()
    # Read again behind the lock: two who open at once must not both find it closed.
    entries.keep_others_out(session, writer, piece.job_id)
    waiting = _waiting(session, piece, stage)
    faults = [fault for one in waiting if one.problem for fault in one.problem.faults]
    if faults:
        raise ListProblem(faults)
    opened = tuple(_record(session, writer, piece, one.found) for one in waiting if one.found)
    # What is known to be met needs nobody's finger. The rest waits for somebody: opening a list raises no snags.
    fresh = [line for line in working.lines_of(session, piece) if line.list_id in opened]
    working.fill(session, writer, piece, fresh, only=(verdicts.MET,))
    return opened


def answer(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    list_id: str,
    line_key: str,
    verdict: str,
    reading: float | None = None,
    instrument: str | None = None,
    note: str | None = None,
    second_name: str | None = None,
    second_id: str | None = None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Answer one line by hand; returns the id of the answer's entry.

    `verdict` is met, not met or cannot tell; `reading` is in the line's own unit; `second_name` is whoever saw it
    too, `second_id` their id if they are of the crew (found by the name if left out). Met needs what the line asks
    for: a reading within its limits, a photo, a second person who is not the one who answers. A line that is worked
    out is not met by hand. The other two answers never need anything. `corrects` names the answers that stand so far
    and that this one takes the place of. Not met raises a snag unless this line's is still open, met ends it.

    Raises FieldProblem for what is missing or outside its limits, Superseded when an answer stands that `corrects`
    does not name (somebody answered meanwhile), StoreError when the line is not one of this piece's.
    """
    line = answering.line_of(session, piece, list_id, line_key)
    if verdict not in VERDICTS:
        message = _("Answer: “%(verdict)s” is not one. Choose met, not met or cannot tell.", verdict=verdict)
        raise FieldProblem("verdict", message)
    if reading is not None and line.quantity is None:
        raise FieldProblem("reading", _("Reading: none is asked for here."))
    if second_name and second_id is None:
        second_id = next(
            (one.person_id for one in all_people(session) if answering.same_name(one.name, second_name)), None
        )
    given = Given(verdict, reading, instrument, note, second_name, second_id)
    if verdict == verdicts.MET:
        answering.refuse_unproved(session, writer, line, given, photos)
    return answering.append(session, writer, piece, line, given, photos=photos, corrects=corrects)


def take_back(
    session: Session, writer: Writer, *, piece: PieceNow, list_id: str, line_key: str, answer_id: str
) -> str | None:
    """Take back an answer that was given by mistake; its line is open again. Returns the entry's id.

    Only whoever gave it may. A snag that it raised ends, one that it ended is open again. An answer that is not here
    was never kept: then there is nothing to take back and None is given. Raises Superseded when it was answered again
    meanwhile, StoreError when it is somebody else's or belongs to another check.
    """
    line = answering.line_of(session, piece, list_id, line_key)
    entries.keep_others_out(session, writer, piece.job_id)
    given = session.get(Entry, answer_id)
    if given is None:
        return None
    answering.refuse_foreign(session, line, [answer_id])
    if given.by_id != writer.by_id:
        raise StoreError(_("Only whoever gave an answer can take it back. Answer again instead."))
    raised, ended = answering.snags_of(session, piece, line, given)
    if raised:
        end_with_check(session, writer, piece=piece, list_id=list_id, line_key=line_key, how=TAKEN_BACK)
    entry = entries.append(
        session,
        writer,
        kind="check_taken_back",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[CheckTakenBack(list_id=list_id, line_key=line_key)],
        corrects=[answer_id, *ended],
    )
    return entry.id


def answer_of_form(form_id: str) -> str:
    """The id of the entry that the answer sent with this form has, whether or not it has come here."""
    return str(uuid5(UUID(form_id), "entry/check_answer/1"))


def state(session: Session, piece: PieceNow, stage: str = FIXED) -> StageState:
    """Where the lists of one stage stand: every line with its answers, and the lists that are not open yet."""
    return reading.stage_of(states(session, piece), stage)


def states(session: Session, piece: PieceNow) -> tuple[StageState, ...]:
    """Where the lists of every stage stand, in the order of the stages."""
    return reading.states(session, [piece.piece_id])[piece.piece_id]


def open_holds(session: Session, piece: PieceNow) -> tuple[OpenHold, ...]:
    """Every hold point of a piece that is neither met nor released, in working order.

    A list of the stage fixed that applies and is not open counts as one.
    """
    return tuple(hold for one in states(session, piece) for hold in one.open_holds)


def standing_of(session: Session, piece_ids: Collection[str] | None) -> dict[str, Standing]:
    """How far the checks of many pieces have come, by piece id; of all pieces for None. The same few queries always."""
    return {
        piece_id: Standing(
            {one.stage: one.left for one in stages}, tuple(hold for one in stages for hold in one.open_holds)
        )
        for piece_id, stages in reading.states(session, piece_ids).items()
    }


def _waiting(session: Session, piece: PieceNow, stage: str) -> tuple[Shelved, ...]:
    if stage not in STAGES:
        raise StoreError(_("Stage: “%(stage)s” has no checks.", stage=stage))
    return state(session, piece, stage).waiting


def _record(session: Session, writer: Writer, piece: PieceNow, file: lists.ListFile) -> str:
    entry = entries.append(
        session,
        writer,
        kind="check_list",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[
            CheckList(stage=file.stage, name=file.name, file_digest=file.digest, list_key=file.key),
            *(_line_row(number, line) for number, line in enumerate(file.lines)),
        ],
    )
    return entry.id


def _line_row(number: int, line: lists.Line) -> CheckLine:
    asked = line.reading
    return CheckLine(
        position=number,
        line_key=line.key,
        words=line.words,
        why=line.why,
        hold=line.hold,
        photo=line.photo,
        quantity=asked.quantity if asked else None,
        unit=asked.unit if asked else None,
        low=asked.low if asked else None,
        high=asked.high if asked else None,
        second=line.second or None,
        calculation=line.calculation,
    )
