"""When the room may be used again after coats: hours as the products' data sheets have them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from siteapp.finishing.names import plain
from siteapp.finishing.state import sessions
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sqlalchemy.orm import Session

    from siteapp.finishing.models import Coat
    from siteapp.finishing.state import SessionState, Told

# The longest that a product's form takes: a coat older than this keeps no room closed by what is not known of it.
LONGEST_ROOM_H = 720


@dataclass(frozen=True)
class RoomAgain:
    """When the room may be used again, by the last coat of the product that asks for the longest.

    `at`, `hours`, `product`, `source` and `last_coat` are None when no product gives its hours. `unknown` names the
    products that give none: then nobody can tell, and `at` is only the earliest that it can be.
    """

    at: datetime | None
    hours: float | None
    product: str | None
    source: str | None
    last_coat: datetime | None
    unknown: tuple[str, ...] = ()

    def verdict(self, now: datetime) -> str:
        """*Not met* before its time, *cannot tell* when a product gives no hours, *met* when all hours are over."""
        if self.at is not None and now < self.at:
            return NOT_MET
        return CANNOT_TELL if self.unknown else MET


def room_again(state: SessionState) -> RoomAgain | None:
    """When the room may be used again after one session; None when it has no coat.

    Each product counts from its last coat, with the hours that it gave when the coat was recorded or that it gives
    now, whichever are more: a sheet that was read wrongly is put right for coats on the wall too.
    """
    return _worst([state])


def piece_room_again(session: Session, piece_id: str, now: datetime | None = None) -> RoomAgain | None:
    """The same over all sessions of a piece; None when no coat of the last 720 h is on it (the longest taken here)."""
    since = (now or datetime.now(UTC)) - timedelta(hours=LONGEST_ROOM_H)
    return _worst(sessions(session, piece_id), since)


def _worst(states: Iterable[SessionState], since: datetime | None = None) -> RoomAgain | None:
    told: list[RoomAgain] = []
    unknown: dict[str, str] = {}
    for state in states:
        for coat in _last_of_each(state):
            if since is not None and coat.at < since:
                continue
            hours, source = _hours(state, coat)
            if hours is None:
                unknown.setdefault(plain(coat.said.product), coat.said.product)
            else:
                until = coat.at + timedelta(hours=hours)
                told.append(RoomAgain(until, hours, coat.said.product, source, coat.at))
    if not told and not unknown:
        return None
    nothing = RoomAgain(None, None, None, None, None)
    worst = max(told, key=lambda one: one.at or datetime.min.replace(tzinfo=UTC), default=nothing)
    return RoomAgain(worst.at, worst.hours, worst.product, worst.source, worst.last_coat, tuple(unknown.values()))


def _last_of_each(state: SessionState) -> Iterator[Told[Coat]]:
    last: dict[str, Told[Coat]] = {}
    for coat in sorted(state.coats, key=lambda one: one.at):
        last[coat.said.product_id or plain(coat.said.product)] = coat
    return iter(last.values())


def _hours(state: SessionState, coat: Told[Coat]) -> tuple[float | None, str | None]:
    """Hours and data sheet; no hours when the product is not on the list, or any revision that stands gives none."""
    revisions = state.products.get(coat.said.product_id or "", ())
    now = [one for one in revisions if one.stands]
    if not now or any(one.said.room_again_hours is None for one in now):
        return None, None
    then = [one for one in revisions if one.entry.recorded_at <= coat.entry.recorded_at][-1:]
    most = max((*now, *then), key=lambda one: one.said.room_again_hours or 0)
    return most.said.room_again_hours, most.said.sheet
