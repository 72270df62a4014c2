"""Certificates drafted, made, issued and withdrawn. The only code that writes their rows.

The file is made, signed and on disk before the entry that names it; that takes seconds, so nobody is kept out
meanwhile, and what was frozen is compared again as the entry is written.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import rfc8785
from sqlalchemy import select

from siteapp.documents.certificate.records import Supersedes
from siteapp.handover import gathered, record
from siteapp.handover.certificates import PREFIX, certificates
from siteapp.handover.models import Certificate, CertificateWithdrawal
from siteapp.handover.signed import signed_now
from siteapp.store import entries, signing
from siteapp.store.digests import sha256_of
from siteapp.store.errors import StoreError
from siteapp.store.hashed import HashedFolder
from siteapp.trade.errors import TradeError
from siteapp.trade.piece_number import new_number
from siteapp.web.dates import instant_words
from siteapp.web.i18n import _
from siteapp.web.saving import FieldProblem
from siteapp.workshop.services import workshop

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from siteapp.config import Settings
    from siteapp.handover.certificates import CertificateNow
    from siteapp.handover.record import Choices
    from siteapp.pieces.services import PieceNow
    from siteapp.store.entries import Writer
    from siteapp.store.photos import PhotoFolder
    from siteapp.store.signing import Key

RANDOM_BYTES = 64
# Where the chains stand moves on with whatever is recorded meanwhile, and says nothing of the piece.
MOVES_ON = ("chain", "chain_seq", "chain_head")


@dataclass(frozen=True)
class Draft:
    """Everything that a certificate prints, frozen under a number of its own; `key` is what its file is signed with."""

    number: str
    plain: dict[str, Any]
    key: Key | None = None

    @property
    def text(self) -> str:
        """The record as canonical JSON (RFC 8785)."""
        return rfc8785.dumps(self.plain).decode("utf-8")

    @property
    def digest(self) -> str:
        """SHA-256 of the text."""
        return sha256_of(self.plain)

    def same_as(self, other: Draft) -> bool:
        """Whether both say the same of the piece."""
        return _without_heads(self.plain) == _without_heads(other.plain)


@dataclass(frozen=True)
class Made:
    """A draft whose file is signed and on disk, under its SHA-256."""

    draft: Draft
    file_sha256: str


def draft_certificate(
    session: Session,
    *,
    piece: PieceNow,
    choices: Choices,
    why: str | None = None,
    number: str | None = None,
    key: Key | None = None,
) -> Draft:
    """Freeze everything that a certificate prints as it is now. Nothing is written.

    Raises StoreError when the piece has not been handed over, FieldProblem on `why` when one was issued before and
    nothing is said of why it is issued again.
    """
    handed = signed_now(session, piece.piece_id)
    if handed is None:
        raise StoreError(_("There is no certificate before the handover: hand the piece over first."))
    before = certificates(session, piece.piece_id)
    if before and not why:
        message = _("Why a new one: this is needed, since %(number)s was issued before.", number=before[-1].number)
        raise FieldProblem("why", message)
    number = number or _unused_number(session)
    supersedes = _supersedes(before[-1], why) if before else None
    plain = record.freeze(
        session, piece=piece, handed=handed, number=number, choices=choices, supersedes=supersedes, key=key
    )
    return Draft(number, plain, key)


def make_certificate(
    session: Session,
    *,
    settings: Settings,
    photos: PhotoFolder,
    piece: PieceNow,
    choices: Choices,
    why: str | None = None,
) -> Made:
    """Draft a certificate, make its file, sign it and keep it. No entry is written: `issue_certificate` does that.

    Raises as `draft_certificate`, and StoreError when the file cannot be made or kept.
    """
    key = signing.ensure(settings, choices.workshop or workshop(session).name or choices.maker)
    draft = draft_certificate(session, piece=piece, choices=choices, why=why, key=key)
    session.close()  # nobody waits for the file to be made
    from siteapp.documents.engine import PdfError
    from siteapp.documents.signing import sign
    from siteapp.handover.pdf import unsigned_file

    try:
        pdf = unsigned_file(draft.text, draft.digest, photos)
    except PdfError as error:
        message = _("The certificate was not issued: %(why)s. Try again.", why=str(error))
        raise StoreError(message) from error
    signed = sign(pdf, key, reason=_("Certificate %(number)s, issued", number=draft.number))
    return Made(draft, HashedFolder(settings.certificates).put(signed))


def issue_certificate(
    session: Session,
    writer: Writer,
    *,
    piece: PieceNow,
    choices: Choices,
    why: str | None = None,
    made: Made | None = None,
) -> str:
    """Keep a certificate: its frozen record, and the file that was made of it; returns its number.

    What is frozen is never changed: a later revision of anything needs a new certificate, which supersedes this one.
    Without `made` there is no signed file, as with those of earlier versions of the program. Raises as
    `draft_certificate`, and StoreError when something of the piece has changed since the file was made.
    """
    entries.keep_others_out(session, writer, piece.job_id)
    now = draft_certificate(
        session,
        piece=piece,
        choices=choices,
        why=why,
        number=made.draft.number if made else None,
        key=made.draft.key if made else None,
    )
    draft = made.draft if made else now
    if made and not now.same_as(draft):
        raise StoreError(
            _("Something of this piece was changed while the certificate was made. Nothing was issued: issue it again.")
        )
    if draft.key:
        signing.record(session, writer, draft.key)
    body = Certificate(
        number=draft.number,
        handover_id=_handover_id(session, piece),
        record=draft.text,
        record_digest=draft.digest,
        why=why if "supersedes" in draft.plain else None,
        file_sha256=made.file_sha256 if made else None,
        key_fingerprint=draft.key.fingerprint if draft.key else None,
    )
    entries.append(session, writer, kind="certificate", job_id=piece.job_id, piece_id=piece.piece_id, bodies=[body])
    return draft.number


def withdraw_certificate(session: Session, writer: Writer, *, piece: PieceNow, number: str, reason: str) -> str:
    """Say that a certificate does not stand any more, and why; returns the withdrawal's entry id.

    Raises StoreError when the piece has no such certificate, or when it was withdrawn before.
    """
    entries.keep_others_out(session, writer, piece.job_id)
    found = next((one for one in certificates(session, piece.piece_id) if one.number == number), None)
    if found is None:
        raise StoreError(_("This piece has no certificate %(number)s. Open the page again.", number=number))
    if found.withdrawn:
        head, _reason = found.withdrawn
        message = _(
            "The certificate %(number)s was withdrawn already, on %(when)s.",
            number=number,
            when=instant_words(head.happened_at),
        )
        raise StoreError(message)
    entry = entries.append(
        session,
        writer,
        kind="certificate_withdrawal",
        job_id=piece.job_id,
        piece_id=piece.piece_id,
        bodies=[CertificateWithdrawal(certificate_id=found.entry.id, reason=reason)],
    )
    return entry.id


def _handover_id(session: Session, piece: PieceNow) -> str:
    handed = signed_now(session, piece.piece_id)
    if handed is None:  # pragma: no cover - the draft has just been made of it
        raise StoreError(_("There is no certificate before the handover: hand the piece over first."))
    return handed.entry.id


def _without_heads(plain: dict[str, Any]) -> dict[str, Any]:
    proof = {name: value for name, value in plain.get("proof", {}).items() if name not in MOVES_ON}
    return {**plain, "proof": proof}


def _supersedes(before: CertificateNow, why: str | None) -> Supersedes:
    return Supersedes(before.number, gathered.day_of(before.entry.happened_at), why)


def _unused_number(session: Session) -> str:
    while True:
        try:
            number = PREFIX + new_number(secrets.token_bytes(RANDOM_BYTES))
        except TradeError:  # the bytes ran out, which chance allows
            continue
        if session.scalar(select(Certificate.entry_id).where(Certificate.number == number)) is None:
            return number
