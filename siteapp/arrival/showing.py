"""Arrivals as their page shows them: beside the look before dispatch, with marks, readings and what was left open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.arrival import climate, rules, services
from siteapp.checks import services as checks
from siteapp.dispatch.services import dispatches
from siteapp.marks.services import marks_of
from siteapp.pieces.slots import WORDS
from siteapp.trade.verdicts import MET

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

    from siteapp.checks.state import OpenHold
    from siteapp.dispatch.services import Dispatched
    from siteapp.marks.models import PhotoMark
    from siteapp.pieces.services import PieceNow
    from siteapp.web.i18n import Lazy


@dataclass(frozen=True)
class Pair:
    """The photos of one slot before dispatch and on arrival, by SHA-256."""

    words: str | Lazy
    before: tuple[str, ...]
    after: tuple[str, ...]


@dataclass(frozen=True)
class Shown:
    """One arrival: the look before it left, photos slot by slot, marks, indicators on record, wait and readings."""

    arrived: services.Arrived
    dispatched: Dispatched | None
    pairs: tuple[Pair, ...]
    marks: tuple[PhotoMark, ...]
    marks_before: tuple[PhotoMark, ...]
    fitted: dict[str, str]
    wait: climate.Wait | None
    readings: tuple[services.Unwrapped, ...]

    @property
    def waits(self) -> bool:
        """Whether the time to acclimatise is still of use: until the climate has been read to be met."""
        return self.wait is not None and not any(one.said.verdict == MET for one in self.readings[:1])

    def people(self) -> Iterator[str | None]:
        """Who wrote what is shown here."""
        for one in (self.arrived, *self.readings):
            yield from (entry.by_id for entry in (one.entry, *one.replaced))


def shown(session: Session, piece: PieceNow) -> list[Shown]:
    """Every arrival of a piece that stands, the latest first."""
    arrivals = services.arrivals(session, piece.piece_id)
    left = dispatches(session, piece.piece_id)
    readings = services.unwraps(session, piece.piece_id)
    crate = services.crate_record(session, piece)
    marks = marks_of(session, [one.entry.id for one in (*arrivals, *left)])
    told = []
    for arrived in arrivals:
        before = next((one for one in left if one.at <= arrived.at), None)
        told.append(
            Shown(
                arrived=arrived,
                dispatched=before,
                pairs=_pairs(before, arrived),
                marks=marks[arrived.entry.id],
                marks_before=marks[before.entry.id] if before else (),
                fitted=rules.recorded_as_fitted(crate),
                wait=climate.wait_after(arrived, crate),
                readings=tuple(one for one in readings if services.of_arrival(arrived, one.said.arrival_id)),
            )
        )
    return told


def left_with(session: Session, piece: PieceNow) -> tuple[OpenHold, ...]:
    """The hold points of *made ready* that are open although the piece has left; none where no list was opened."""
    return checks.state(session, piece, checks.READY).open_holds


def _pairs(before: Dispatched | None, after: services.Arrived) -> tuple[Pair, ...]:
    sides = (before.photos if before else (), after.photos)
    slots = dict.fromkeys([*WORDS, *(photo.slot for photos in sides for photo in photos)])
    pairs = (
        Pair(WORDS.get(slot, slot), tuple(before.slot(slot)) if before else (), tuple(after.slot(slot)))
        for slot in slots
    )
    return tuple(pair for pair in pairs if pair.before or pair.after)
