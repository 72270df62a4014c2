"""One answer written: what it needs, what shows it, and the snag that it raises or ends. For the services beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.checks import verdicts, wording
from siteapp.checks.models import CheckAnswer, CheckLine
from siteapp.people.services import all_people
from siteapp.snags.services import CHECK_MET, end_with_check, open_snags, raise_snag, snags
from siteapp.store import entries
from siteapp.store.errors import StoreError, Superseded
from siteapp.store.models import Entry
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Select
    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer


@dataclass(frozen=True)
class Given:
    """An answer with what shows it, by hand or worked out; the fields are those of `CheckAnswer`."""

    verdict: str
    reading: float | None = None
    instrument: str | None = None
    note: str | None = None
    second_name: str | None = None
    second_id: str | None = None
    calculation: str | None = None
    inputs: str | None = None
    outcome: str | None = None
    particulars_id: str | None = None


def append(
    session: Session,
    writer: Writer,
    piece: PieceNow,
    line: CheckLine,
    given: Given,
    *,
    photos: Sequence[PhotoUse],
    corrects: Sequence[str],
) -> str:
    """Write an answer that was found good; returns its entry's id. Raises what `services.answer` says of `corrects`."""
    refuse_foreign(session, line, corrects)
    body = CheckAnswer(
        list_id=line.entry_id,
        line_key=line.line_key,
        unit=line.unit if given.reading is not None else None,
        **vars(given),
    )
    entry = entries.append(
        session,
        writer,
        kind="check_answer",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[body],
        photos=photos,
        corrects=corrects,
    )
    # Asked after the entry was written: only from then on does its chain keep other writers out on PostgreSQL.
    others = tuple(found for found in standing_answers(session, line) if found != entry.id)
    if others:
        raise Superseded(line.entry_id, others)
    spot = {"list_id": line.entry_id, "line_key": line.line_key}
    if given.verdict == verdicts.MET:
        end_with_check(session, writer, piece=piece, how=CHECK_MET, **spot)
    elif given.verdict == verdicts.NOT_MET and not _snag_open(session, piece, line):
        words = wording.snag(line.words, given.note)
        raise_snag(session, writer, piece=piece, words=words, photos=photos, answer_id=entry.id, **spot)
    return entry.id


def line_of(session: Session, piece: PieceNow, list_id: str, line_key: str) -> CheckLine:
    """A line of one of the piece's lists. Raises StoreError when there is none."""
    query = select(CheckLine).join(Entry, Entry.id == CheckLine.entry_id)
    query = query.where(Entry.piece_id == piece.piece_id, CheckLine.line_key == line_key)
    # Compared here: a damaged id is not on the list either, while the database would refuse to look for it.
    line = next((row for row in session.scalars(query) if row.entry_id == list_id), None)
    if line is None:
        raise StoreError(_("This check is not on the piece's list. Open the page again."))
    return line


def refuse_foreign(session: Session, line: CheckLine, corrects: Sequence[str]) -> None:
    """Raise StoreError when one of these entries is no answer to this line."""
    if corrects and not set(session.scalars(_answers_to(line))).issuperset(corrects):
        raise StoreError(_("What this corrects is not an answer to this check. Open the page again."))


def refuse_unproved(
    session: Session, writer: Writer, line: CheckLine, given: Given, photos: Sequence[PhotoUse]
) -> None:
    """Raise FieldProblem, by field, when what a line asks for is missing or outside its limits."""
    if line.calculation is not None:
        raise FieldProblem("verdict", wording.not_by_hand())
    if line.quantity is not None:
        if given.reading is None:
            raise FieldProblem("reading", wording.missing_reading(line))
        if not verdicts.within(line, given.reading):
            raise FieldProblem("reading", wording.outside(line, given.reading))
    if line.photo and not photos:
        raise FieldProblem("photos", wording.missing_photo())
    if line.second:
        _refuse_alone(session, writer, given)


def _refuse_alone(session: Session, writer: Writer, given: Given) -> None:
    if not given.second_name:
        raise FieldProblem("second_name", wording.missing_second())
    own = next((one.name for one in all_people(session) if one.person_id == writer.by_id), None)
    itself = given.second_id is not None and given.second_id == writer.by_id
    if itself or (own is not None and same_name(own, given.second_name)):
        raise FieldProblem("second_name", wording.same_person(given.second_name))


def _snag_open(session: Session, piece: PieceNow, line: CheckLine) -> bool:
    spot = (line.entry_id, line.line_key)
    return any((one.said.list_id, one.said.line_key) == spot for one in open_snags(session, piece.piece_id))


def snags_of(session: Session, piece: PieceNow, line: CheckLine, given: Entry) -> tuple[bool, list[str]]:
    """Whether an answer raised a snag that is open, and the endings that it gave to this line's snags."""
    raised, ended = False, []
    for one in snags(session, piece.piece_id):
        if (one.said.list_id, one.said.line_key) != (line.entry_id, line.line_key):
            continue
        raised = raised or (one.open and one.said.answer_id == given.id)
        by_it = one.end is not None and one.end.chain == given.chain and one.end.seq > given.seq
        if one.end and one.ended and one.ended.how == CHECK_MET and by_it:
            ended.append(one.end.id)
    return raised, ended


def _answers_to(line: CheckLine) -> Select[tuple[str]]:
    query = select(CheckAnswer.entry_id).join(Entry, Entry.id == CheckAnswer.entry_id)
    return query.where(CheckAnswer.list_id == line.entry_id, CheckAnswer.line_key == line.line_key)


def standing_answers(session: Session, line: CheckLine) -> list[str]:
    """The ids of the answers to a line that stand."""
    return list(session.scalars(_answers_to(line).where(entries.standing())))


def same_name(one: str, other: str) -> bool:
    """Whether two names are the same, but for case and blanks around them."""
    return one.strip().casefold() == other.strip().casefold()
