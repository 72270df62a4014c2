"""Aftercare recorded: care dates, later visits, moves, keepers. The only code that writes their rows."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from siteapp.aftercare.models import DONE, CareDate, Keeper, LaterVisit, Moved
from siteapp.aftercare.state import (
    CareNow,
    Due,
    KeeperNow,
    PlaceNow,
    care_dates,
    cared_numbers,
    dropped_dates,
    due,
    handed_over,
    keeper_now,
    keepers,
    later_visits,
    moves,
    place_now,
)
from siteapp.pieces.writing import append, refuse_foreign
from siteapp.store.entries import correctors
from siteapp.store.errors import StoreError
from siteapp.store.revisions import all_bodies
from siteapp.trade.months import MOST_MONTHS
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import PhotoUse, Writer

__all__ = [
    "CareNow",
    "Due",
    "KeeperNow",
    "PlaceNow",
    "care_dates",
    "cared_numbers",
    "dropped_dates",
    "due",
    "handed_over",
    "keeper_now",
    "keepers",
    "later_visits",
    "moves",
    "place_now",
    "record_keeper",
    "record_move",
    "record_visit",
    "set_care_date",
]


def set_care_date(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    what: str,
    due_on: str,
    every_months: int | None = None,
    dropped: bool = False,
    corrects: Sequence[str] = (),
) -> str:
    """Say what is to be done to a piece on a day (ISO 8601), and every so many months (1 to 600) after it was done.

    `corrects` names the care date that this one revises; `dropped` takes it out. Visits that answered the one revised
    do not count for this one: its day is the day it says. Returns the entry's id. Raises FieldProblem for a day or
    months that cannot be, StoreError for a care date of another piece, Superseded.
    """
    refuse_foreign(
        session,
        piece,
        CareDate,
        corrects,
        _("What this revises is not a care date of this piece. Open the page again."),
    )
    _refuse_no_day("due_on", due_on)
    if every_months is not None and not 1 <= every_months <= MOST_MONTHS:
        message = _("Every: %(months)s months is not taken. Give 1 to %(most)s.", months=every_months, most=MOST_MONTHS)
        raise FieldProblem("every_months", message)
    body = CareDate(what=what, due_on=due_on, every_months=every_months, dropped=dropped)
    return append(session, writer, piece, "care_date", body, corrects=corrects)


def record_visit(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    what: str,
    done_on: str,
    done_by: str,
    found: str | None = None,
    note: str | None = None,
    care_date_id: str | None = None,
    photos: Sequence[PhotoUse] = (),
    corrects: Sequence[str] = (),
) -> str:
    """Keep what was done to a piece after its handover, on a day (ISO 8601); returns the entry's id.

    `care_date_id` is the care date that it answers; if that was revised meanwhile, it answers the one that stands.
    Raises FieldProblem for another word than DONE has or a care date that is not this piece's, StoreError before the
    handover, Superseded.
    """
    _refuse_not_handed_over(session, piece)
    refuse_foreign(
        session, piece, LaterVisit, corrects, _("What this corrects is not a visit to this piece. Open the page again.")
    )
    if what not in DONE:
        raise FieldProblem("what", _("What was done: “%(what)s” is not an answer here.", what=what))
    _refuse_no_day("done_on", done_on)
    body = LaterVisit(
        what=what,
        done_on=done_on,
        done_by=done_by,
        found=found,
        note=note,
        care_date_id=_standing_care(session, piece, care_date_id),
    )
    return append(session, writer, piece, "aftercare", body, photos=photos, corrects=corrects)


def record_move(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    place: str,
    moved_on: str,
    address: str | None = None,
    moved_by: str | None = None,
    note: str | None = None,
    corrects: Sequence[str] = (),
) -> str:
    """Keep that a piece is somewhere else from a day (ISO 8601) on; returns the entry's id.

    Raises as `record_visit`.
    """
    _refuse_not_handed_over(session, piece)
    refuse_foreign(
        session, piece, Moved, corrects, _("What this corrects is not a move of this piece. Open the page again.")
    )
    _refuse_no_day("moved_on", moved_on)
    body = Moved(place=place, address=address, moved_on=moved_on, moved_by=moved_by, note=note)
    return append(session, writer, piece, "moved", body, corrects=corrects)


def record_keeper(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    name: str,
    since: str,
    contact: str | None = None,
    note: str | None = None,
    corrects: Sequence[str] = (),
) -> str:
    """Keep who has a piece from a day (ISO 8601) on; returns the entry's id. Raises as `record_visit`."""
    _refuse_not_handed_over(session, piece)
    refuse_foreign(
        session, piece, Keeper, corrects, _("What this corrects is not a keeper of this piece. Open the page again.")
    )
    _refuse_no_day("since", since)
    body = Keeper(name=name, contact=contact, since=since, note=note)
    return append(session, writer, piece, "keeper", body, corrects=corrects)


def _refuse_not_handed_over(session: Session, piece: PieceNow) -> None:
    if not handed_over(session, piece.piece_id):
        raise StoreError(_("This piece has not been handed over yet: aftercare begins with the handover."))


def _refuse_no_day(field: str, text: str) -> None:
    try:
        date.fromisoformat(text)
    except ValueError:
        raise FieldProblem(field, _("“%(text)s” is no day. Give one such as 2026-11-25.", text=text)) from None


def _standing_care(session: Session, piece: PieceNow, care_date_id: str | None) -> str | None:
    """The care date that stands of the one named, which a phone may have named before it was revised."""
    if care_date_id is None:
        return None
    known = {entry.id for entry, _said in all_bodies(session, CareDate, piece_id=piece.piece_id)}
    if care_date_id not in known:
        raise FieldProblem("care_date_id", _("Answers: this is not a care date of this piece. Choose it again."))
    while newer := [one for one in correctors(session, [care_date_id]) if one in known]:
        care_date_id = newer[-1]
    return care_date_id
