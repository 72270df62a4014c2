"""Which photos stand on a certificate, in which role and with which words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siteapp.arrival.services import arrivals
from siteapp.documents.records import PhotoUse
from siteapp.pieces.slots import BACK, CRATE, TARGET, WORDS
from siteapp.web.dates import day_words
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.finishing.state import SessionState
    from siteapp.pieces.services import PieceNow
    from siteapp.store.models import EntryPhoto

NOT_OF_THE_PIECE = {CRATE, TARGET}
MOST = 40  # a certificate is to be read, not to be an archive


def photo_uses(
    session: Session, piece: PieceNow, states: Sequence[SessionState], *, at_site: bool
) -> tuple[PhotoUse, ...]:
    """The piece's own photos, the first as title; with `at_site` those of arrival and finishing too.

    Photos of checks and meters stay out: they show walls and hands. One photo stands once.
    """
    uses: dict[str, PhotoUse] = {}
    for place, photo in enumerate(piece.photos):
        _add(uses, photo, "title" if place == 0 else "piece", photo.caption)
    if at_site:
        for arrival in arrivals(session, piece.piece_id)[:1]:
            when = arrival.entry.happened_at
            for photo in arrival.photos:
                if photo.slot in NOT_OF_THE_PIECE:
                    continue
                words = WORDS.get(photo.slot, photo.slot)
                role = "back" if photo.slot == BACK else "arrival"
                _add(uses, photo, role, _("%(what)s, on arrival, %(day)s", what=words, day=_day(when)))
        for state in states:
            zone = state.begun.said.zone
            _add_all(uses, state.begun.photos, _("%(zone)s before, %(day)s", zone=zone, day=_day(state.begun.at)))
            for told in state.closes:
                _add_all(uses, told.photos, _("%(zone)s after, %(day)s", zone=zone, day=_day(told.at)))
    return tuple(uses.values())[:MOST]


def _add_all(uses: dict[str, PhotoUse], photos: Iterable[EntryPhoto], words: str) -> None:
    for photo in photos:
        _add(uses, photo, "finish", words)


def _add(uses: dict[str, PhotoUse], photo: EntryPhoto, role: str, words: str | None) -> None:
    uses.setdefault(photo.sha256, PhotoUse(photo.sha256, photo.caption or words, role))


def _day(instant: datetime) -> str:
    return day_words(instant.astimezone().date())
