"""The workshop of a long run: fitters, and for each phone some pieces on site with their checks and finishing open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from siteapp.arrival.services import record_arrival
from siteapp.finishing.services import start_session
from siteapp.people.services import add_person
from tests import factories
from tests.support import own_lists

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.store.db import Store

PASSPHRASE = "four quiet words here"
NAMES = ("Ada Sandbank (invented)", "Bo Reedbed (invented)", "Cy Dunegrass (invented)")
PIECES_A_PHONE = 2


@dataclass(frozen=True)
class Fitter:
    """Somebody who may hold a phone."""

    name: str
    person_id: str


@dataclass(frozen=True)
class PieceOnSite:
    """A piece whose checks and finishing are open."""

    number: str
    session_id: str

    @property
    def checks(self) -> str:
        """Address of its checks of the stage fixed."""
        return f"/p/{self.number}/checks?stage=fixed"

    def check(self, line_key: str) -> str:
        """Path that an answer to one of its checks is sent to."""
        return f"/p/{self.number}/checks/{line_key}"

    @property
    def arrival(self) -> str:
        """Path of its arrivals."""
        return f"/p/{self.number}/arrival"

    @property
    def climate(self) -> str:
        """Path of the form for a climate reading."""
        return f"/p/{self.number}/finishing/{self.session_id}/climate"

    @property
    def coat(self) -> str:
        """Path of the form for a coat."""
        return f"/p/{self.number}/finishing/{self.session_id}/coat"


@dataclass(frozen=True)
class Workshop:
    """Who is there, and which pieces each phone works on: some of its own, and the last, on which all do."""

    fitters: tuple[Fitter, ...]
    pieces: tuple[tuple[PieceOnSite, ...], ...]


def fill(store: Store, phones: int) -> Workshop:
    """Write the workshop into an empty, migrated store. Its checks of hanging are all answered by hand."""
    own_lists.by_hand(store)
    with store.write() as session:
        fitters = []
        for name in NAMES:
            writer = factories.a_writer(session)
            person_id = add_person(session, writer, name=name, role="fitter", passphrase=PASSPHRASE)
            fitters.append(Fitter(name, person_id))
        job_id = factories.a_job(session)
        own = [[_on_site(session, job_id) for _ in range(PIECES_A_PHONE)] for _ in range(phones)]
        shared = _on_site(session, job_id)
    return Workshop(tuple(fitters), tuple((*of_phone, shared) for of_phone in own))


def _on_site(session: Session, job_id: str) -> PieceOnSite:
    piece = factories.a_piece(session, job_id=job_id)
    arriving, begun = factories.a_writer(session), factories.a_writer(session)
    record_arrival(session, arriving, piece=piece, found="not looked at yet")
    return PieceOnSite(piece.number, start_session(session, begun, piece=piece, zone="left wing", purpose=None))
