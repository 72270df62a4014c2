"""Where finishing sessions stand: read from what is recorded, never kept."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Generic, TypeVar

from sqlalchemy import select

from siteapp.finishing.models import ClimateReading, Coat, FinishingClose, FinishingSession, Product
from siteapp.finishing.names import same
from siteapp.store.entries import standing
from siteapp.store.models import Entry, EntryCorrects
from siteapp.store.revisions import EARLY, all_bodies, believed, photos_of, standing_bodies
from siteapp.trade.verdicts import CANNOT_TELL, MET, NOT_MET
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping

    from sqlalchemy.orm import Session

    from siteapp.store.base import Body
    from siteapp.store.models import EntryPhoto

# Ours, no source: in four hours a morning becomes a noon. A data sheet that asks for more readings overrules it.
FRESH_HOURS = 4
FRESH_FOR = timedelta(hours=FRESH_HOURS)

MOST_NUMBER = 2**31  # above the number of any coat

WORSE = (MET, CANNOT_TELL, NOT_MET)

B = TypeVar("B", bound="Body")


@dataclass(frozen=True)
class Told(Generic[B]):
    """What one entry says: its head, its body, its photos, and whether it stands or was corrected."""

    entry: Entry
    said: B
    photos: tuple[EntryPhoto, ...]
    stands: bool
    first: Entry  # what it corrects, from one correction to the next; itself when it corrects nothing

    @property
    def at(self) -> datetime:
        """When it happened, UTC. A correction says what was so then: it does not make a reading younger."""
        return believed(self.first.at, self.first.recorded_at)


@dataclass(frozen=True)
class Revision:
    """One revision of a product, and whether it stands."""

    entry: Entry
    said: Product
    stands: bool


AnyTold = Told[FinishingSession] | Told[ClimateReading] | Told[Coat] | Told[FinishingClose]


@dataclass(frozen=True)
class SessionState:
    """One finishing session with everything that happened in it, oldest first; corrected entries apart."""

    begun: Told[FinishingSession]
    climates: tuple[Told[ClimateReading], ...]
    coats: tuple[Told[Coat], ...]
    closes: tuple[Told[FinishingClose], ...]
    corrected: tuple[AnyTold, ...]
    products: Mapping[str, tuple[Revision, ...]] = field(default_factory=dict)  # of its coats, by id, oldest first

    @property
    def session_id(self) -> str:
        """The id of the entry that began it; a correction of that changes no id."""
        return self.begun.first.id

    @property
    def close(self) -> Told[FinishingClose] | None:
        """How it ended; None while it is open."""
        return self.closes[-1] if self.closes else None

    @property
    def climate(self) -> Told[ClimateReading] | None:
        """The latest climate reading that stands; of two corrections of one reading the worse."""
        latest = [one for one in self.climates if one.first.id == self.climates[-1].first.id]
        return max(latest, key=lambda one: WORSE.index(one.said.verdict), default=None)


@dataclass(frozen=True)
class Wait:
    """How long a coat asks the next one of its zone to wait, by the data sheet as it was typed."""

    coat: Told[Coat]
    hours: float

    @property
    def zone(self) -> str:
        """The zone that waits."""
        return self.coat.said.zone

    @property
    def until(self) -> datetime:
        """The next coat not before this, UTC: hours from when the coat went on."""
        return self.coat.at + timedelta(hours=self.hours)


@dataclass(frozen=True)
class ForCoat:
    """Whether the climate lets a coat of one product go on: three answers, and why not."""

    climate: Told[ClimateReading] | None
    verdict: str
    why_not: tuple[str, ...]


def sessions(session: Session, piece_id: str) -> tuple[SessionState, ...]:
    """Every finishing session of a piece, oldest first."""
    begun = _told(session, FinishingSession, piece_id)
    climates = _told(session, ClimateReading, piece_id)
    coats = _told(session, Coat, piece_id)
    closes = _told(session, FinishingClose, piece_id)
    products = _products(session, coats)
    # Of two corrections of one beginning, made on two machines, the later counts; both stay in the record.
    latest = {one.first.id: one for one in begun if one.stands}
    states = [_state(one, begun, climates, coats, closes) for one in latest.values()]
    return tuple(replace(state, products=products) for state in states)


def session_state(session: Session, piece_id: str, session_id: str) -> SessionState | None:
    """One finishing session of a piece, or None when it has no such session."""
    return next((state for state in sessions(session, piece_id) if state.session_id == session_id), None)


def next_coat(states: Iterable[SessionState], zone: str) -> int:
    """The number that the next coat of a zone has, over all sessions of the piece."""
    numbers = [one.said.number for state in states for one in state.coats if same(one.said.zone, zone)]
    return max(numbers, default=0) + 1


def for_coat(state: SessionState, names: Collection[str] | None, at: datetime | None = None) -> ForCoat:
    """What the latest climate reading says of a coat of a product (None: whichever it was read for) applied `at`.

    `names` are the product's, any of which the reading may go by.

    A reading that is *not met* stops it. One that is too old, of another product, or later than the coat tells
    nothing of it: *cannot tell*.
    """
    latest = state.climate
    if latest is None:
        return ForCoat(None, CANNOT_TELL, (_("no climate was read in this session"),))
    said, at = latest.said, at or datetime.now(UTC)
    if said.verdict != MET:
        words = _("the latest climate reading is “%(verdict)s”: %(why)s", verdict=_(said.verdict), why=said.reasons)
        return ForCoat(latest, said.verdict, (words,))
    why_not: list[str] = []
    if at - latest.at > FRESH_FOR:
        words = _(
            "the latest climate reading is older than %(hours)s hours (our limit; the data sheet overrules)",
            hours=FRESH_HOURS,
        )
        why_not.append(words)
    if latest.at - at > EARLY:
        why_not.append(_("the climate was read after this coat, by the clocks of the devices"))
    if names is not None and not any(same(name, said.product or "") for name in names):
        words = _("the climate was held against the limits of “%(other)s”, not of this product", other=said.product)
        why_not.append(words)
    return ForCoat(latest, CANNOT_TELL if why_not else MET, tuple(why_not))


def waits(state: SessionState) -> tuple[Wait, ...]:
    """The wait of each zone of a session whose latest coat, or one under it, asks for one; the longest of each zone.

    A coat that went on early, with its reason, does not end the wait of the coat under it.
    """
    zones: list[str] = []
    for one in state.coats:
        if not any(same(one.said.zone, zone) for zone in zones):
            zones.append(one.said.zone)
    found = (wait_under(state, zone, MOST_NUMBER) for zone in zones)
    return tuple(wait for wait in found if wait)


def wait_under(state: SessionState, zone: str, number: int, apart: Collection[str] = ()) -> Wait | None:
    """The longest wait that the coats under coat `number` of a zone ask for; entries in `apart` do not count.

    None when no data sheet's hours were typed for them, which is not known, not *no wait*.
    """
    under = [
        Wait(one, one.said.recoat_hours)
        for one in state.coats
        if same(one.said.zone, zone)
        and one.said.number < number
        and one.entry.id not in apart
        and one.said.recoat_hours is not None
    ]
    return max(under, key=lambda wait: wait.until, default=None)


def early_for(state: SessionState, told: Told[Coat]) -> Wait | None:
    """The wait that a coat did not keep, None when it kept it or none was asked for."""
    wait = wait_under(state, told.said.zone, told.said.number, (told.entry.id,))
    return wait if wait and told.at < wait.until else None


def _told(session: Session, body: type[B], piece_id: str) -> list[Told[B]]:
    everything = all_bodies(session, body, piece_id=piece_id)
    heads = {entry.id: entry for entry, _said in everything}
    stands = {entry.id for entry, _said in standing_bodies(session, body, piece_id=piece_id)}
    photos = photos_of(session, heads)
    first = _firsts(session, heads)
    told = [
        Told(entry, said, tuple(photos.get(entry.id, ())), entry.id in stands, first[entry.id])
        for entry, said in everything
    ]
    return sorted(told, key=lambda one: (one.first.recorded_at, one.entry.recorded_at))


def _products(session: Session, coats: Iterable[Told[Coat]]) -> dict[str, tuple[Revision, ...]]:
    wanted = {one.said.product_id for one in coats if one.said.product_id}
    if not wanted:
        return {}
    query = select(Entry, Product, standing()).join(Product, Product.entry_id == Entry.id)
    found: dict[str, tuple[Revision, ...]] = {}
    for entry, said, stands in session.execute(
        query.where(Product.product_id.in_(wanted)).order_by(Entry.recorded_at, Entry.id)
    ):
        found[said.product_id] = (*found.get(said.product_id, ()), Revision(entry, said, bool(stands)))
    return found


def _firsts(session: Session, heads: dict[str, Entry]) -> dict[str, Entry]:
    """For each entry the one that its corrections began with; several are told by the oldest."""
    query = select(EntryCorrects).where(EntryCorrects.entry_id.in_(tuple(heads)))
    corrects: dict[str, list[str]] = {}
    for row in session.scalars(query):
        corrects.setdefault(row.entry_id, []).append(row.corrects_id)
    first: dict[str, Entry] = {}
    for entry_id, entry in heads.items():  # oldest first, so what it corrects is known
        earlier = [first[other] for other in corrects.get(entry_id, ()) if other in first]
        first[entry_id] = min(earlier, key=lambda one: one.recorded_at, default=entry)
    return first


def _state(
    begun: Told[FinishingSession],
    beginnings: list[Told[FinishingSession]],
    climates: list[Told[ClimateReading]],
    coats: list[Told[Coat]],
    closes: list[Told[FinishingClose]],
) -> SessionState:
    here = begun.first.id
    inside = [one for one in (*climates, *coats, *closes) if one.said.session_id == here and not one.stands]
    mine: list[AnyTold] = [*(one for one in beginnings if one.first.id == here and one is not begun), *inside]
    return SessionState(
        begun=begun,
        climates=_of(climates, here),
        coats=_of(coats, here),
        closes=_of(closes, here),
        corrected=tuple(sorted(mine, key=lambda one: one.entry.recorded_at)),
    )


def _of(told: list[Told[B]], session_id: str) -> tuple[Told[B], ...]:
    return tuple(one for one in told if one.stands and one.said.session_id == session_id)  # type: ignore[attr-defined]
