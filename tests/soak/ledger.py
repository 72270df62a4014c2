"""What people entered on their phones and what the phones said, held against what the laptop has in the end."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from siteapp.arrival.models import Arrival
from siteapp.checks.models import CheckAnswer
from siteapp.finishing.models import ClimateReading, Coat
from siteapp.keeping import check
from siteapp.store.db import Store
from siteapp.store.models import Entry, EntryCorrects, EntryPhoto
from siteapp.store.photos import PhotoFolder

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.config import Settings

# Where each kind of entry has the words by which it is known again.
MARKED = {
    "check": CheckAnswer.note,
    "arrival": Arrival.note,
    "climate": ClimateReading.instrument,
    "coat": Coat.note,
}
ALL_SAVED = "All saved on the laptop"
# From a finger on the button to the line that says so, at most; within one turn of the page's own loop.
SLACK_MS = 10


@dataclass
class Entered:
    """One thing that a person entered, known by its mark."""

    mark: str
    kind: str
    phone: int
    person_id: str
    photos: dict[str, bytes] = field(default_factory=dict)  # by SHA-256
    tapped_ms: float | None = None
    kept_ms: float | None = None
    gone_ms: float | None = None  # acknowledged: the phone let go of it
    saved_ms: float | None = None  # the line said that all is saved
    sendings: int = 0
    fair: bool = False  # nothing stood in the way from the tap to the end
    refused: str = ""  # why it needed a look, by status


@dataclass(frozen=True)
class Said:
    """What a phone's saving line said from one moment to the next; `words` are empty while it is hidden."""

    phone: int
    at_ms: float
    state: str
    words: str
    person_id: str


@dataclass
class Found:
    """What the laptop has of one mark."""

    entry_id: str
    by_id: str | None
    recorded_at: datetime
    photos: set[str]
    instead_of: set[str] = field(default_factory=set)  # entries that it takes the place of


class Ledger:
    """All that was entered and said, as the spies in the pages told it."""

    def __init__(self) -> None:
        self.entered: dict[str, Entered] = {}
        self.said: list[Said] = []
        self.sent_photos = 0

    def hear(self, phone: int, told: dict[str, Any]) -> None:
        """Take one note of a page's spy (see spy.js)."""
        what, at = told["what"], float(told["at"])
        if what == "line":
            self.said.append(Said(phone, at, told["state"], told["words"], told["person"]))
            if told["state"] == "saved" or told["words"] == ALL_SAVED:
                self._saved(phone, at)
        elif what == "sent photo":
            self.sent_photos += 1
        elif (one := self.entered.get(told["mark"] or "")) is not None:
            if what == "tapped":
                one.tapped_ms = at
            elif what == "kept":
                one.kept_ms = one.kept_ms or at
            elif what == "gone":
                one.gone_ms = one.gone_ms or at
            elif what == "sent":
                one.sendings += 1

    def _saved(self, phone: int, at: float) -> None:
        for one in self.entered.values():
            if one.phone == phone and one.gone_ms is not None and one.saved_ms is None:
                one.saved_ms = at

    def silent(self, phone: int, at_ms: float) -> None:
        """The phone's page is gone, and its line with it."""
        self.said.append(Said(phone, at_ms, "", "", ""))

    def untruths(self, found: dict[str, list[Found]]) -> list[str]:
        """Moments at which a line said that all is saved, and something entered on its phone was not on the laptop."""
        lies = []
        for phone in {said.phone for said in self.said}:
            lines = sorted((said for said in self.said if said.phone == phone), key=lambda said: said.at_ms)
            for said, then in zip(lines, [*lines[1:], None], strict=True):
                until = then.at_ms if then else float("inf")
                lies += [
                    f"phone {phone} said “{said.words}” ({said.state}) for {_span(said, until, one, saved):.0f} ms "
                    f"while {one.mark} ({one.kind}) was not on the laptop"
                    for one, saved in self._unsaved(phone, found)
                    if _claims(said, one) and _span(said, until, one, saved) > 0
                ]
        return lies

    def _unsaved(self, phone: int, found: dict[str, list[Found]]) -> Iterable[tuple[Entered, float]]:
        for one in self.entered.values():
            if one.phone == phone and one.kept_ms is not None:
                rows = found.get(one.mark, [])
                yield one, rows[0].recorded_at.timestamp() * 1000 if rows else float("inf")


def _claims(said: Said, one: Entered) -> bool:
    """Whether the line said that this one is saved: to its own person, or to anybody in so many words."""
    return ALL_SAVED in said.words or (said.state == "saved" and said.person_id == one.person_id)


def _span(said: Said, until: float, one: Entered, saved: float) -> float:
    """For how many milliseconds it said so between the tap and the moment of saving."""
    tapped = (one.tapped_ms or one.kept_ms or 0) + SLACK_MS
    return min(until, saved) - max(said.at_ms, tapped)


def on_the_laptop(settings: Settings) -> dict[str, list[Found]]:
    """Every entry with a mark, by its mark."""
    found: dict[str, list[Found]] = {}
    store = Store(settings)
    try:
        with store.read() as session:
            for column in MARKED.values():
                body = column.class_
                rows = session.execute(select(column, Entry).join(body, body.entry_id == Entry.id))
                for words, entry in rows:
                    photos = set(session.scalars(select(EntryPhoto.sha256).where(EntryPhoto.entry_id == entry.id)))
                    mark = next((word for word in (words or "").split() if word.startswith("mark-")), None)
                    if mark:
                        one = Found(entry.id, entry.by_id, entry.recorded_at, photos, _corrected(session, entry.id))
                        found.setdefault(mark, []).append(one)
    finally:
        store.close()
    return found


def _corrected(session: Session, entry_id: str) -> set[str]:
    return set(session.scalars(select(EntryCorrects.corrects_id).where(EntryCorrects.entry_id == entry_id)))


def faults(ledger: Ledger, settings: Settings) -> list[str]:
    """What is not as it ought to be: lost, twice, of another person, other bytes, untrue lines, findings."""
    found = on_the_laptop(settings)
    folder = PhotoFolder(settings.photos, settings.cache)
    wrong = []
    for one in ledger.entered.values():
        rows = found.get(one.mark, [])
        if len(rows) > 1:
            wrong.append(f"{one.mark} ({one.kind}) is there {len(rows)} times")
        if not rows and one.kept_ms is not None:
            wrong.append(f"{one.mark} ({one.kind}) was kept on phone {one.phone} and is lost")
        for row in rows:
            if row.by_id != one.person_id:
                wrong.append(f"{one.mark} ({one.kind}) is there as by {row.by_id}, and was entered by {one.person_id}")
            if one.refused and not _somebody_elses(one, row, ledger, found):
                wrong.append(f"{one.mark} ({one.kind}) needed a look through nobody's doing: {one.refused}")
            wrong += [f"{one.mark}: photo {sha} is not with it" for sha in one.photos if sha not in row.photos]
            wrong += [f"{one.mark}: photo {sha} has other bytes" for sha in one.photos if not _same(folder, sha, one)]
    wrong += [f"{mark} was never entered" for mark in found if mark not in ledger.entered]
    wrong += ledger.untruths(found)
    return wrong + [f"check: {finding}" for finding in check.run(settings).findings]


def _somebody_elses(one: Entered, row: Found, ledger: Ledger, found: dict[str, list[Found]]) -> bool:
    """Whether it takes the place of something that another person or another phone said."""
    others = [ledger.entered[mark] for mark, rows in found.items() if any(it.entry_id in row.instead_of for it in rows)]
    return any((other.phone, other.person_id) != (one.phone, one.person_id) for other in others)


def _same(folder: PhotoFolder, sha: str, one: Entered) -> bool:
    if not folder.exists(sha):
        return False
    data = folder.read(sha)
    return hashlib.sha256(data).hexdigest() == sha and data == one.photos[sha]
