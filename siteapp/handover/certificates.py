"""The certificates of a piece and where each stands: the last one issued, superseded, withdrawn. Reads only."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from siteapp.handover.models import Certificate, CertificateWithdrawal
from siteapp.pieces.models import Piece
from siteapp.store import entries
from siteapp.store.models import Entry
from siteapp.store.revisions import standing_bodies
from siteapp.trade.piece_number import parse_number

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

PREFIX = "C-"
STANDS, SUPERSEDED, WITHDRAWN = "stands", "superseded", "withdrawn"


@dataclass(frozen=True)
class CertificateNow:
    """A certificate of a piece, the one issued after it, and its withdrawal with the reason.

    `erased` says that its record was let go, but for what names it and what tells its file from others.
    """

    entry: Entry
    certificate: Certificate
    next: tuple[Entry, Certificate] | None
    withdrawn: tuple[Entry, str] | None
    erased: bool = False

    @property
    def number(self) -> str:
        """Its number."""
        return self.certificate.number

    @property
    def state(self) -> str:
        """Withdrawn, superseded, or it stands. What was issued later and withdrawn brings no earlier one back."""
        if self.withdrawn:
            return WITHDRAWN
        return SUPERSEDED if self.next else STANDS


@dataclass(frozen=True)
class Found:
    """A certificate by its number: where it stands, its piece, and the latest one of that piece, if it is another."""

    now: CertificateNow
    piece_number: str
    job_id: str
    newer: CertificateNow | None


def certificates(session: Session, piece_id: str) -> list[CertificateNow]:
    """Every certificate of a piece, in the order of their issue."""
    issued = standing_bodies(session, Certificate, piece_id=piece_id)
    withdrawn: dict[str, tuple[Entry, str]] = {}
    # Withdrawn on two machines it is withdrawn; the first to say so is shown.
    for entry, said in standing_bodies(session, CertificateWithdrawal, piece_id=piece_id):
        withdrawn.setdefault(said.certificate_id, (entry, said.reason))
    after = [*issued[1:], None]
    erased = entries.erased(session, [entry.id for entry, _said in issued])
    return [
        CertificateNow(entry, said, later, withdrawn.get(entry.id), entry.id in erased)
        for (entry, said), later in zip(issued, after, strict=False)
    ]


def latest_certificate(session: Session, piece_id: str) -> CertificateNow | None:
    """The certificate of a piece that stands, or None."""
    return next((one for one in certificates(session, piece_id) if one.state == STANDS), None)


def last_issued(session: Session) -> Certificate | None:
    """The last certificate issued here for any piece: who made it is offered again."""
    query = select(Certificate).join(Entry, Entry.id == Certificate.entry_id)
    return session.scalars(query.order_by(Entry.recorded_at.desc(), Entry.id).limit(1)).first()


def parse_certificate_number(typed: str) -> str:
    """A certificate number however it is typed: `c-k7qx-m2tr`. Raises BadNumber, which says what is wrong."""
    text = typed.strip().upper()
    return PREFIX + parse_number(text.removeprefix(PREFIX) if text.startswith(PREFIX) else text).text


def certificate_of_file(session: Session, sha256: str) -> str | None:
    """The number of the certificate whose signed file has this SHA-256."""
    return session.scalar(select(Certificate.number).where(Certificate.file_sha256 == sha256))


def find_certificate(session: Session, number: str) -> Found | None:
    """The certificate with this number (as `parse_certificate_number` gives it), or None."""
    query = select(Entry).join(Certificate, Certificate.entry_id == Entry.id).where(Certificate.number == number)
    entry = session.scalars(query).first()
    if entry is None or entry.piece_id is None or entry.job_id is None:
        return None
    chain = certificates(session, entry.piece_id)
    now = next((one for one in chain if one.entry.id == entry.id), None)
    if now is None:
        return None
    piece_number = session.scalar(select(Piece.number).where(Piece.piece_id == entry.piece_id))
    return Found(now, piece_number or "", entry.job_id, chain[-1] if chain[-1].entry.id != entry.id else None)
