"""Links that live an hour: whoever has one gets one certificate's PDF over the hotspot. Only its digest is kept.

The token is worked out from the link's row with the program's secret, which lies outside the database: the maker's page
can show the address again within the hour, and nobody can work it out from the database alone.
"""

from __future__ import annotations

import hmac
from base64 import b32encode
from dataclasses import dataclass
from datetime import timedelta
from hashlib import sha256
from typing import TYPE_CHECKING

from sqlalchemy import select, update

from siteapp.handover.certificates import WITHDRAWN, certificates
from siteapp.handover.models import Certificate, GivenLink
from siteapp.store.columns import instant_text
from siteapp.store.errors import StoreError
from siteapp.store.models import Entry
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from sqlalchemy.orm import Session

    from siteapp.handover.certificates import CertificateNow
    from siteapp.pieces.services import PieceNow

LIVES = timedelta(hours=1)
TOKEN_BYTES = 20  # 160 bits
TOKEN_LENGTH = 32  # of base 32 (RFC 4648), five bits a letter


@dataclass(frozen=True)
class Given:
    """A link as its row has it."""

    digest: str
    certificate_id: str
    made_by: str
    until: datetime
    opened: int

    def token(self, secret: bytes) -> str:
        """What stands in the link's address; needs the secret it was made with."""
        about = f"given link {self.certificate_id} {self.made_by} {instant_text(self.until)}"
        return _token(secret, about)


def give(
    session: Session, *, piece: PieceNow, certificate: CertificateNow | None, by_id: str, secret: bytes, now: datetime
) -> str:
    """Make a link to a certificate of the piece that lives an hour from `now`; returns its digest.

    Raises StoreError without a certificate that stands.
    """
    if certificate is None or certificate.entry.piece_id != piece.piece_id or certificate.withdrawn:
        raise StoreError(_("There is no certificate that stands, so there is nothing to give."))
    new = Given("", certificate.entry.id, by_id, now + LIVES, 0)
    digest = digest_of(new.token(secret))
    session.add(
        GivenLink(token_digest=digest, certificate_id=new.certificate_id, made_by=by_id, until_at=new.until, opened=0)
    )
    return digest


def end(session: Session, *, piece: PieceNow, digest: str, now: datetime) -> None:
    """End a link early; one that has ended stays as it is. Raises StoreError when the link is not this piece's."""
    found = next((one for one in links(session, piece.piece_id) if one.digest == digest), None)
    if found is None:
        raise StoreError(_("This piece has no such link. Open the page again."))
    if found.until > now:
        session.execute(update(GivenLink).where(GivenLink.token_digest == digest).values(until_at=now))


def links(session: Session, piece_id: str, *, living_at: datetime | None = None) -> list[Given]:
    """The links to a piece's certificates, the latest first; only those still living at an instant, if one is given."""
    ids = [one.entry.id for one in certificates(session, piece_id) if one.state != WITHDRAWN or living_at is None]
    found = _given(session.scalars(select(GivenLink).where(GivenLink.certificate_id.in_(ids))))
    return sorted(
        (one for one in found if living_at is None or one.until > living_at), key=lambda one: one.until, reverse=True
    )


def open_link(session: Session, *, token: str, now: datetime) -> Certificate | None:
    """The certificate that a link gives; None for no such link, one past its hour or ended, one withdrawn or erased."""
    row = session.get(GivenLink, digest_of(token)) if len(token) == TOKEN_LENGTH else None
    entry = session.get(Entry, row.certificate_id) if row and row.until_at > now else None
    chain = certificates(session, entry.piece_id or "") if entry else ()
    found = next((one for one in chain if entry and one.entry.id == entry.id), None)
    return found.certificate if found and not (found.withdrawn or found.erased) else None


def count(session: Session, token: str) -> None:
    """Note that a link was opened once more."""
    row = GivenLink.token_digest == digest_of(token)
    session.execute(update(GivenLink).where(row).values(opened=GivenLink.opened + 1))


def digest_of(token: str) -> str:
    """What is kept of a token. A plain digest does: there are 2^160 tokens, so none is found by trying."""
    return sha256(token.encode()).hexdigest()


def _token(secret: bytes, about: str) -> str:
    made = hmac.new(secret, about.encode(), sha256).digest()
    return b32encode(made[:TOKEN_BYTES]).decode().lower()


def _given(rows: Iterable[GivenLink]) -> list[Given]:
    return [Given(row.token_digest, row.certificate_id, row.made_by, row.until_at, row.opened) for row in rows]
