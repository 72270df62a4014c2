"""Pieces handed over, certificates issued. The only code that writes their rows."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING

import rfc8785
from sqlalchemy import select

from siteapp.checks.services import open_holds
from siteapp.handover import record
from siteapp.handover.models import Certificate, Handover
from siteapp.pieces.models import Piece
from siteapp.store import entries
from siteapp.store.digests import sha256_of
from siteapp.store.errors import StoreError
from siteapp.store.models import Entry
from siteapp.store.revisions import all_bodies, standing_bodies
from siteapp.trade.errors import TradeError
from siteapp.trade.piece_number import new_number, parse_number
from siteapp.web.dates import instant_words
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sqlalchemy.orm import Session

    from siteapp.checks.state import OpenHold
    from siteapp.handover.record import Choices
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer

PREFIX = "C-"
RANDOM_BYTES = 64


@dataclass(frozen=True)
class Issued:
    """A certificate, the number of its piece, and the newer one that supersedes it, if there is one."""

    entry: Entry
    certificate: Certificate
    piece_number: str
    newer: tuple[Entry, Certificate] | None


def hand_over(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    signed_name: str,
    said: str,
    note: str | None,
    signature_sha256: str | None,
    corrects: Sequence[str] = (),
) -> str:
    """Keep the client's acceptance; returns its entry's id. `said` are the words that `signed_name` agreed to.

    Raises StoreError while a hold point is open, naming it (a list not opened yet counts as one), and when the piece
    has been handed over already, unless `corrects` names that handover; Superseded when that was corrected meanwhile.
    """
    known = {entry.id for entry, _said in all_bodies(session, Handover, piece_id=piece.piece_id)}
    if not known.issuperset(corrects):
        raise StoreError(_("What this corrects is not a handover of this piece. Open the page again."))
    body = Handover(signed_name=signed_name, said=said, note=note, signature_sha256=signature_sha256)
    entry = entries.append(
        session,
        writer,
        kind="handover",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[body],
        corrects=corrects,
    )
    # Asked after the entry was written: only from then on does its chain keep other writers out on PostgreSQL. What is
    # raised here takes the entry with it.
    holds = open_holds(session, piece.piece_id)
    if holds:
        raise StoreError(refusal(holds))
    before = [one for one in standing_bodies(session, Handover, piece_id=piece.piece_id) if one[0].id != entry.id]
    if before and not corrects:
        head, told = before[-1]
        message = _(
            "This piece was handed over already: %(name)s signed on %(when)s.",
            name=told.signed_name,
            when=instant_words(head.happened_at),
        )
        raise StoreError(message)
    return entry.id


def refusal(holds: Iterable[OpenHold]) -> str:
    """Why a piece cannot be handed over, naming every hold point that is open."""
    told = "; ".join(f"“{hold.words}” ({_(hold.verdict)})" for hold in holds)
    return _("Not to be handed over while a hold point is open: %(holds)s", holds=told)


def handover_now(session: Session, piece_id: str) -> tuple[Entry, Handover] | None:
    """The handover of a piece as it stands, or None."""
    found = standing_bodies(session, Handover, piece_id=piece_id)
    return found[-1] if found else None


def issue_certificate(session: Session, writer: Writer, *, piece: PieceNow, choices: Choices) -> str:
    """Freeze everything a certificate prints, under a number of its own; returns that number.

    What is frozen is never changed: a later revision of anything needs a new certificate, which supersedes this one.
    Raises StoreError when the piece has not been handed over.
    """
    handed = handover_now(session, piece.piece_id)
    if handed is None:
        raise StoreError(_("There is no certificate before the handover: hand the piece over first."))
    number = _unused_number(session)
    plain = record.freeze(session, piece=piece, handed=handed, number=number, choices=choices)
    body = Certificate(
        number=number,
        handover_id=handed[0].id,
        record=rfc8785.dumps(plain).decode("utf-8"),
        record_digest=sha256_of(plain),
    )
    entries.append(session, writer, kind="certificate", job_id=piece.job_id, piece_id=piece.piece_id, bodies=[body])
    return number


def latest_certificate(session: Session, piece_id: str) -> tuple[Entry, Certificate] | None:
    """The certificate of a piece that no newer one supersedes, or None."""
    found = standing_bodies(session, Certificate, piece_id=piece_id)
    return found[-1] if found else None


def last_issued(session: Session) -> Certificate | None:
    """The last certificate issued here for any piece: who made it is offered again."""
    query = select(Certificate).join(Entry, Entry.id == Certificate.entry_id)
    return session.scalars(query.order_by(Entry.recorded_at.desc(), Entry.id).limit(1)).first()


def parse_certificate_number(typed: str) -> str:
    """A certificate number however it is typed: `c-k7qx-m2tr`. Raises BadNumber, which says what is wrong."""
    text = typed.strip().upper()
    return PREFIX + parse_number(text.removeprefix(PREFIX) if text.startswith(PREFIX) else text).text


def find_certificate(session: Session, number: str) -> Issued | None:
    """The certificate with this number (as `parse_certificate_number` gives it), or None."""
    query = select(Entry, Certificate).join(Certificate, Certificate.entry_id == Entry.id)
    found = session.execute(query.where(Certificate.number == number)).first()
    if found is None:
        return None
    entry, certificate = found
    piece_number = session.scalar(select(Piece.number).where(Piece.piece_id == entry.piece_id))
    newest = latest_certificate(session, entry.piece_id or "")
    newer = newest if newest and newest[0].id != entry.id else None
    return Issued(entry, certificate, piece_number or "", newer)


def _unused_number(session: Session) -> str:
    while True:
        try:
            number = PREFIX + new_number(secrets.token_bytes(RANDOM_BYTES))
        except TradeError:  # the bytes ran out, which chance allows
            continue
        if session.scalar(select(Certificate.entry_id).where(Certificate.number == number)) is None:
            return number
