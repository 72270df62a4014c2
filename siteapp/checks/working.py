"""Checks that are worked out, answered: by what is recorded, or by what another room pushes. For the services."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import rfc8785

from siteapp.checks import answering, calculations, reading
from siteapp.checks.answering import Given
from siteapp.checks.models import VERDICTS
from siteapp.store import entries
from siteapp.store.errors import StoreError
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from sqlalchemy.orm import Session

    from siteapp.checks.state import LineState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer


def push(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    calculation: str,
    verdict: str,
    inputs: Mapping[str, Any],
    outcome: Mapping[str, Any],
    version: str,
    photos: Sequence[PhotoUse] = (),
    particulars_id: str | None = None,
) -> tuple[str, ...]:
    """Answer every open line that asks for this calculation by what it came to; returns the answers' entry ids.

    `inputs` and `outcome` are plain JSON values, kept with the answer; `version` is the calculation's. With
    `particulars_id`, the revision it was worked out from, the answer counts as cannot tell once they are revised.
    It takes the place of what stands; nothing happens where no such line is open.
    """
    given = Given(
        verdict,
        calculation=f"{calculation} ({version})",
        inputs=_json(inputs),
        outcome=_json(outcome),
        particulars_id=particulars_id,
    )
    found = [line for line in lines_of(session, piece) if line.calculation == calculation]
    return tuple(_worked_out(session, writer, piece, line, given, photos) for line in found)


def work_out(session: Session, writer: Writer, *, piece: PieceNow, list_id: str, line_key: str) -> str:
    """Work a line out from what is recorded now and answer it by that; returns the answer's entry id.

    Raises StoreError when the line is not one of this piece's, or is not worked out from what is recorded.
    """
    line = next((one for one in lines_of(session, piece) if (one.list_id, one.key) == (list_id, line_key)), None)
    given = _found(session, piece, line.calculation) if line else None
    if line is None or given is None:
        raise StoreError(_("This check is not worked out from what is recorded. Open the page again."))
    return _worked_out(session, writer, piece, line, given, ())


def work_out_stage(session: Session, writer: Writer, *, piece: PieceNow, stage: str) -> tuple[str, ...]:
    """Work out anew every line of a stage that is worked out from what is recorded; returns the answers' entry ids.

    A line whose answer would be the one that stands is left alone.
    """
    return fill(session, writer, piece, [line for line in lines_of(session, piece) if line.stage == stage])


def refresh(session: Session, writer: Writer, *, piece: PieceNow, calculation: str) -> tuple[str, ...]:
    """Work out anew every open line that asks for this calculation, after something it stands on was recorded.

    Returns the answers' entry ids; a line whose answer would be the one that stands is left alone.
    """
    asked = [line for line in lines_of(session, piece) if line.calculation == calculation]
    return fill(session, writer, piece, asked)


def fill(
    session: Session,
    writer: Writer,
    piece: PieceNow,
    lines: Sequence[LineState],
    only: Collection[str] = VERDICTS,
) -> tuple[str, ...]:
    """Answer each of these lines by what it works out to now, unless that stands or is none of `only`.

    Returns the answers' entry ids. Lines that are not worked out from what is recorded are left alone.
    """
    found = {name: _found(session, piece, name) for name in {line.calculation for line in lines if line.calculation}}
    written = []
    for line in lines:
        given = found.get(line.calculation or "")
        if given and given.verdict in only and not _says_so(line, given):
            written.append(_worked_out(session, writer, piece, line, given, ()))
    return tuple(written)


def lines_of(session: Session, piece: PieceNow) -> list[LineState]:
    """Every line of every open list of a piece."""
    stages = reading.states(session, [piece.piece_id])[piece.piece_id]
    return [line for one in stages for line in one.lines]


def _found(session: Session, piece: PieceNow, name: str | None) -> Given | None:
    """What a calculation gives now; None when it is not worked out from what is recorded."""
    calculation = calculations.known(name)
    if calculation is None or calculation.work_out is None:
        return None
    found = calculation.work_out(session, piece)
    return Given(
        found.verdict,
        calculation=calculation.said,
        inputs=_json(found.inputs),
        outcome=_json(found.outcome),
        particulars_id=piece.revision.id,
    )


def _says_so(line: LineState, given: Given) -> bool:
    """Whether the one answer that stands says the same, worked out from the same."""
    if len(line.standing) != 1 or line.standing[0].stale:
        return False
    stands = line.standing[0]
    before = (stands.said, stands.calculation, _json(stands.inputs), _json(stands.outcome))
    return before == (given.verdict, given.calculation, given.inputs, given.outcome)


def _worked_out(
    session: Session,
    writer: Writer,
    piece: PieceNow,
    line: LineState,
    given: Given,
    photos: Sequence[PhotoUse],
) -> str:
    row = answering.line_of(session, piece, line.list_id, line.key)
    entries.keep_others_out(session, writer, piece.job_id)
    return answering.append(
        session, writer, piece, row, given, photos=photos, corrects=answering.standing_answers(session, row)
    )


def _json(values: Mapping[str, Any]) -> str:
    return rfc8785.dumps(dict(values)).decode("utf-8")
