"""Tables for people with a spreadsheet: CSV (RFC 4180) of one job or of all pieces.

No client, address or contact stands in them. A spreadsheet runs a cell that begins like a formula, also one that a
stranger wrote into a note; such words get an apostrophe before them, which spreadsheets do not show.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.aftercare.services import care_dates
from siteapp.checks.services import standing_of
from siteapp.checks.services import states as check_states
from siteapp.finishing.models import Coat
from siteapp.handover.certificates import certificates
from siteapp.journey.services import latest_by_kind, steps
from siteapp.people.services import names
from siteapp.pieces.services import find_all, pieces_of
from siteapp.snags.services import snags
from siteapp.store.columns import instant_text
from siteapp.store.entries import standing
from siteapp.store.models import Entry
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow

    Cell = str | float | int | None
    Rows = Iterable[Sequence[Cell]]

# What spreadsheets take for the beginning of a formula, behind white space too; full-width forms among them.
FORMULA = re.compile(r"\s*[=+\-@＝＋－＠]|[\t\r\n]")  # noqa: RUF001 - these are the ones
MEDIA_TYPE = "text/csv; charset=utf-8"


@dataclass(frozen=True)
class Sheet:
    """A table: its name in addresses, what it holds, its columns, and how its rows are read."""

    key: str
    title: str
    columns: tuple[str, ...]
    rows: Callable[[Session, list[PieceNow]], Rows]


def csv_file(session: Session, sheet: Sheet, job_id: str | None = None) -> bytes:
    """The table as a file in UTF-8 with a mark at its beginning, without which Excel takes it for something else."""
    numbers = [number for _id, number, _said in pieces_of(session, job_id)]
    pieces = list(find_all(session, numbers).values())
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(sheet.columns)
    for row in sheet.rows(session, pieces):
        writer.writerow([cell(one) for one in row])
    return out.getvalue().encode("utf-8-sig")


def cell(value: Cell) -> str:
    """A value as a cell: numbers with a point and no thousands, words that a spreadsheet takes for words."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float):
        return repr(value)
    return f"'{value}" if FORMULA.match(value) else value


def _pieces(session: Session, pieces: list[PieceNow]) -> Rows:
    ids = [piece.piece_id for piece in pieces]
    kinds = latest_by_kind(session, ids)
    standings = standing_of(session, ids)
    for piece in pieces:
        said = piece.particulars
        told = steps(kinds.get(piece.piece_id, {}), standings.get(piece.piece_id))
        following = next((str(step.name) for step in told if step.state == "now"), "")
        handed = kinds.get(piece.piece_id, {}).get("handover")
        issued = certificates(session, piece.piece_id)
        last = issued[-1] if issued else None
        yield (
            piece.number,
            said.title,
            said.object_type,
            following,
            said.mass_kg,
            said.mass_origin,
            said.lift_people,
            said.height_mm,
            said.width_mm,
            said.depth_mm,
            sum(1 for one in snags(session, piece.piece_id) if one.open),
            _at(handed),
            last.number if last else None,
            last.state if last else None,
        )


def _checks(session: Session, pieces: list[PieceNow]) -> Rows:
    for piece in pieces:
        lines = [(one, line) for stage in check_states(session, piece) for one in stage.lists for line in one.lines]
        people = names(session, [line.answer.by_id for _list, line in lines if line.answer])
        for one, line in lines:
            answer = line.answer
            yield (
                piece.number,
                one.name,
                line.words,
                line.hold,
                line.verdict,
                line.released,
                answer.reading if answer else None,
                answer.unit if answer else None,
                people.get(answer.by_id or "") if answer else None,
                _at(answer.at) if answer else None,
                answer.note if answer else None,
            )


def _snags(session: Session, pieces: list[PieceNow]) -> Rows:
    for piece in pieces:
        for one in snags(session, piece.piece_id):
            how = one.ended.how if one.ended else None
            ended = one.end.happened_at if one.end else None
            yield piece.number, one.said.words, one.said.place, _at(one.entry.happened_at), how, _at(ended)


def _coats(session: Session, pieces: list[PieceNow]) -> Rows:
    for piece in pieces:
        query = select(Entry, Coat).join(Coat, Coat.entry_id == Entry.id)
        query = query.where(Entry.piece_id == piece.piece_id, standing()).order_by(Entry.recorded_at, Entry.id)
        for entry, coat in session.execute(query):
            yield (
                piece.number,
                coat.zone,
                coat.number,
                coat.product,
                coat.batch,
                _at(entry.happened_at),
                coat.wet_um,
                coat.dry_um,
                coat.climate_verdict,
                coat.reason,
            )


def _care(session: Session, pieces: list[PieceNow]) -> Rows:
    for piece in pieces:
        for one in care_dates(session, piece.piece_id):
            due = one.due_on.isoformat() if one.due_on else None
            done = one.done_on.isoformat() if one.done_on else None
            yield piece.number, piece.particulars.title, one.said.what, due, one.said.every_months, done


def _at(instant: datetime | None) -> str | None:
    return instant_text(instant)[:19] + "Z" if instant else None


def sheets() -> tuple[Sheet, ...]:
    """Every table there is, named in the reader's language."""
    number, title = _("Piece number"), _("Title")
    return (
        Sheet(
            "pieces",
            _("Pieces"),
            (
                number,
                title,
                _("Type of object"),
                _("What happens next"),
                _("Weight (kg)"),
                _("Weight from"),
                _("People to lift"),
                _("Height (mm)"),
                _("Width (mm)"),
                _("Depth (mm)"),
                _("Snags open"),
                _("Handed over (UTC)"),
                _("Last certificate"),
                _("It"),
            ),
            _pieces,
        ),
        Sheet(
            "checks",
            _("Checks"),
            (
                number,
                _("List"),
                _("Check"),
                _("Hold point"),
                _("Answer"),
                _("Released"),
                _("Reading"),
                _("Unit"),
                _("By"),
                _("At (UTC)"),
                _("Note"),
            ),
            _checks,
        ),
        Sheet(
            "snags",
            _("Snags"),
            (number, _("What"), _("Where"), _("Raised (UTC)"), _("How it ended"), _("Ended (UTC)")),
            _snags,
        ),
        Sheet(
            "coats",
            _("Coats"),
            (
                number,
                _("Zone"),
                _("Coat"),
                _("Product"),
                _("Batch"),
                _("At (UTC)"),
                _("Wet film (µm)"),
                _("Dry film (µm)"),
                _("Climate"),
                _("Why all the same"),
            ),
            _coats,
        ),
        Sheet(
            "care",
            _("Care dates"),
            (number, title, _("What is to be done"), _("Next on"), _("Every months"), _("Last done")),
            _care,
        ),
    )
