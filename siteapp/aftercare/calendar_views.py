"""Care dates as calendar files: of one piece, and of all."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from siteapp.aftercare import calendar, services
from siteapp.aftercare.room import room
from siteapp.pieces.services import find_all
from siteapp.pieces.views import piece_or_404
from siteapp.web import current
from siteapp.web.access import FITTER, MAKER, access
from siteapp.web.files import file_answer
from siteapp.web.i18n import _
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from werkzeug.wrappers import Response


@room.get("/p/<number>/aftercare/calendar.ics")
@access(FITTER)
def of_piece(number: str) -> Response:
    """The care dates of a piece."""
    piece = piece_or_404(number)
    session = current.reading()
    link = workshop(session).link(piece.number)
    title = piece.particulars.title
    dates = [(piece.number, title, link, one) for one in services.care_dates(session, piece.piece_id)]
    return _answer(dates, _("Care of %(title)s", title=title), f"care-{piece.number}.ics")


@room.get("/aftercare/calendar.ics")
@access(MAKER)
def of_all() -> Response:
    """The care dates of every piece."""
    session = current.reading()
    said = workshop(session)
    pieces = find_all(session, services.cared_numbers(session))
    dates = [
        (piece.number, piece.particulars.title, said.link(piece.number), one)
        for piece in pieces.values()
        for one in services.care_dates(session, piece.piece_id)
    ]
    return _answer(dates, _("Care of all pieces"), "care.ics")


def _answer(dates: list[tuple[str, str, str | None, services.CareNow]], name: str, file_name: str) -> Response:
    made = calendar.calendar_file(dates, name=name, stamp=datetime.now(UTC).replace(microsecond=0))
    return file_answer(made, calendar.MEDIA_TYPE, file_name, saved=True)
