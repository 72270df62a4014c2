"""Check lists opened, answered, read. The only code that writes their rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.checks import lists, verdicts, wording
from siteapp.checks.models import VERDICTS, CheckAnswer, CheckLine, CheckList
from siteapp.checks.state import ListState, OpenHold, list_state
from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.models import Entry
from siteapp.store.revisions import standing_bodies
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Select
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

FIXED = "fixed"


def open_list(session: Session, writer: Writer, *, piece: PieceNow, stage: str) -> str:
    """Record the list of a stage as its file has it now, once; returns the id of the list's entry.

    A list that is open already stays as it is. Two laptops' writers are kept apart by their chains; two writers of
    one laptop only if the caller has written an entry of this job before in the same transaction, as recording an
    arrival does. Raises `lists.ListProblem` when the file cannot be used.
    """
    for entry, said in standing_bodies(session, CheckList, piece_id=piece.piece_id):
        if said.stage == stage:
            return entry.id
    file = lists.load(stage)
    entry = entries.append(
        session,
        writer,
        kind="check_list",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[
            CheckList(stage=file.stage, name=file.name, file_digest=file.digest),
            *(_line_row(number, line) for number, line in enumerate(file.lines)),
        ],
    )
    return entry.id


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
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Answer one line; returns the id of the answer's entry.

    `verdict` is met, not met or cannot tell; `reading` is in the line's own unit. Met needs what the line asks for:
    a reading within its limits, a photo. The other two never need anything. `corrects` names the answers that stand
    so far and that this one takes the place of.

    Raises FieldProblem for what is missing or outside its limits, Superseded when an answer stands that `corrects`
    does not name (somebody answered meanwhile), StoreError when the line is not one of this piece's.
    """
    line = _line(session, piece, list_id, line_key)
    _refuse_foreign(session, line, corrects)
    if verdict not in VERDICTS:
        message = _("Answer: “%(verdict)s” is not one. Choose met, not met or cannot tell.", verdict=verdict)
        raise FieldProblem("verdict", message)
    if reading is not None and line.quantity is None:
        raise FieldProblem("reading", _("Reading: none is asked for here."))
    if verdict == verdicts.MET:
        _refuse_unproved(line, reading, photos)
    entry = entries.append(
        session,
        writer,
        kind="check_answer",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[
            CheckAnswer(
                list_id=list_id,
                line_key=line_key,
                verdict=verdict,
                reading=reading,
                unit=line.unit if reading is not None else None,
                instrument=instrument,
                note=note,
            )
        ],
        photos=photos,
        corrects=corrects,
    )
    # Asked after the entry was written: only from then on does its chain keep other writers out on PostgreSQL.
    others = tuple(found for found in _standing(session, line) if found != entry.id)
    if others:
        raise Superseded(list_id, others)
    return entry.id


def state(session: Session, piece: PieceNow, stage: str = FIXED) -> ListState:
    """Where the list of one stage stands: every line with its answers, or that it is not open yet."""
    return list_state(session, piece.piece_id, stage)


def open_holds(session: Session, piece_id: str) -> tuple[OpenHold, ...]:
    """Every hold point of a piece that is not met, in working order; a list that is not open yet counts as one."""
    return tuple(hold for stage in lists.STAGES for hold in list_state(session, piece_id, stage).open_holds)


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
    )


def _line(session: Session, piece: PieceNow, list_id: str, line_key: str) -> CheckLine:
    query = select(CheckLine).join(Entry, Entry.id == CheckLine.entry_id)
    query = query.where(Entry.piece_id == piece.piece_id, CheckLine.line_key == line_key)
    # Compared here: a damaged id is not on the list either, while the database would refuse to look for it.
    line = next((row for row in session.scalars(query) if row.entry_id == list_id), None)
    if line is None:
        raise StoreError(_("This check is not on the piece's list. Open the page again."))
    return line


def _refuse_foreign(session: Session, line: CheckLine, corrects: Sequence[str]) -> None:
    if corrects and not set(session.scalars(_answers_to(line))).issuperset(corrects):
        raise StoreError(_("What this corrects is not an answer to this check. Open the page again."))


def _refuse_unproved(line: CheckLine, reading: float | None, photos: Sequence[PhotoUse]) -> None:
    if line.quantity is not None:
        if reading is None:
            raise FieldProblem("reading", wording.missing_reading(line))
        if not verdicts.within(line, reading):
            raise FieldProblem("reading", wording.outside(line, reading))
    if line.photo and not photos:
        raise FieldProblem("photos", wording.missing_photo())


def _answers_to(line: CheckLine) -> Select[str]:
    query = select(CheckAnswer.entry_id).join(Entry, Entry.id == CheckAnswer.entry_id)
    return query.where(CheckAnswer.list_id == line.entry_id, CheckAnswer.line_key == line.line_key)


def _standing(session: Session, line: CheckLine) -> list[str]:
    return list(session.scalars(_answers_to(line).where(entries.standing())))
