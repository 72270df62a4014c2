"""Whether something that somebody brings is a certificate as it was issued here, and whether it stands. Keeps nothing.

A signature that holds shows that a file is, byte for byte, the one that was signed with that key. It does not show that
what it says is true, who owns the piece, or when it was signed: the time in it is what the laptop's clock said.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from siteapp.documents.engine import PdfError, shared
from siteapp.handover.certificates import SUPERSEDED, WITHDRAWN, certificate_of_file, find_certificate
from siteapp.jobs import redaction
from siteapp.pieces.reading_labels import read_label
from siteapp.store import signing
from siteapp.store.hashed import HashedFolder
from siteapp.store.images import PhotoError
from siteapp.trade.piece_number import BadNumber, parse_number
from siteapp.web.dates import day_words
from siteapp.web.i18n import _

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from siteapp.config import Settings
    from siteapp.handover.certificates import Found

STANDS, REPLACED, TAKEN_BACK = "as issued, and stands", "as issued, superseded", "as issued, withdrawn"
ALTERED, FOREIGN, CANNOT_TELL = "altered", "not from this workshop", "cannot tell"
MOST_NAMED = 12
CODE_NUMBER = re.compile(r"C-([0-9A-Z]{8})\b")
CODE_DIGEST = re.compile(r"(?:/|RECORD )([0-9A-F]{32})$")


@dataclass(frozen=True)
class Outcome:
    """What was found: one of the states above, why, and what else is known.

    `number` is the certificate that it is about, `newer` the one that took its place; `fingerprint` and `signed_by` are
    of the key that signed, `at` the time that the signature gives.
    """

    state: str
    why: tuple[str, ...] = ()
    number: str | None = None
    newer: str | None = None
    fingerprint: str | None = None
    signed_by: str | None = None
    at: str | None = None

    @property
    def as_issued(self) -> bool:
        """Whether the file is the one that was issued, whether or not it stands."""
        return self.state in {STANDS, REPLACED, TAKEN_BACK}


@dataclass(frozen=True)
class Workshop:
    """What is known here: a session on its database and its settings, None where there is none; further keys.

    `keys` are fingerprints that somebody trusts for another reason, as from paper.
    """

    session: Session | None
    settings: Settings
    keys: tuple[str, ...] = ()

    def known(self) -> Mapping[str, str]:
        """The name by fingerprint of every key that is believed."""
        own = signing.known(self.session) if self.session else {}
        return {**dict.fromkeys(self.keys, ""), **own}

    def find(self, number: str | None) -> Found | None:
        """The certificate of this number, if it is known here."""
        return find_certificate(self.session, number) if self.session and number else None


def verify(data: bytes, workshop: Workshop) -> Outcome:
    """Look at a file: a certificate's PDF, its record (JSON), or a photo of the paper. Nothing of it is kept."""
    if not data:
        return Outcome(CANNOT_TELL, (_("The file is empty."),))
    if b"%PDF-" in data[:1024]:
        return _pdf(data, workshop)
    if data.lstrip()[:1] == b"{":
        return _record(data, workshop)
    return _photo(data, workshop)


def standing(found: Found, session: Session) -> Outcome:
    """What is known of a certificate by its number alone."""
    now = found.now
    newer = now.next[1].number if now.next else None
    if now.state == WITHDRAWN and now.withdrawn:
        reason = redaction.redact_words(now.withdrawn[1], redaction.secrets_of(session, found.job_id))
        day = day_words(now.withdrawn[0].happened_at.astimezone().date())
        words = _("Withdrawn on %(day)s: %(reason)s", day=day, reason=reason)
        return Outcome(TAKEN_BACK, (words,), now.number, newer)
    if now.state == SUPERSEDED:
        return Outcome(REPLACED, (_("Superseded by %(number)s.", number=newer),), now.number, newer)
    return Outcome(STANDS, (_("It is the latest certificate of its piece that is known here."),), now.number)


def _pdf(data: bytes, workshop: Workshop) -> Outcome:
    try:
        seen = shared().examine(data, title=_("This file"), timeout_s=30)
    except PdfError as error:
        return Outcome(CANNOT_TELL, (str(error),))
    known = workshop.known()
    number = _number_in(seen["record"])
    found = workshop.find(number) or _by_bytes(data, workshop)
    ours = [one for one in seen["signatures"] if one["fingerprint"] in known]
    if not ours:
        return _without_ours(seen, found)
    first = ours[0]
    signed = Outcome(
        ALTERED,
        number=found.now.number if found else number,
        fingerprint=first["fingerprint"],
        signed_by=known[first["fingerprint"]] or first["name"],
        at=first["at"],
    )
    if not first["holds"]:
        told = _differences(seen, found, workshop)
        return replace(signed, why=(_("The file is not the one that was signed."), *told))
    if not first["whole"] or len(seen["signatures"]) > 1:
        told = _differences(seen, found, workshop)
        return replace(signed, why=(_("Something was added to the file after it was signed."), *told))
    if found is None or workshop.session is None:
        words = _("It is as it was signed. Whether it still stands is not known here: no certificate of its number is.")
        return replace(signed, state=CANNOT_TELL, why=(words,))
    stands = standing(found, workshop.session)
    return replace(signed, state=stands.state, why=stands.why, newer=stands.newer)


def _by_bytes(data: bytes, workshop: Workshop) -> Found | None:
    number = certificate_of_file(workshop.session, hashlib.sha256(data).hexdigest()) if workshop.session else None
    return workshop.find(number)


def _without_ours(seen: dict[str, Any], found: Found | None) -> Outcome:
    if not seen["readable"] and not seen["signatures"]:
        return Outcome(CANNOT_TELL, (_("This PDF cannot be read: it is damaged or cut off. Ask for another copy."),))
    if found is None:
        words = _(
            "It carries no signature by a key that this workshop is known to have used. Certificates from before they "
            "were signed, and copies marked as withdrawn, carry none: look those up by their number."
        )
        return Outcome(FOREIGN, (words,))
    other = next((one for one in seen["signatures"] if one["fingerprint"]), None)
    if other is None:
        words = _(
            "It says that it is %(number)s, but its signature is gone: it was saved anew by another program, printed "
            "to a file, or cut off.",
            number=found.now.number,
        )
        return Outcome(ALTERED, (words,), found.now.number)
    words = _(
        "It says that it is %(number)s, but it is signed with another key, of “%(name)s”.",
        number=found.now.number,
        name=other["name"] or "–",
    )
    return Outcome(ALTERED, (words,), found.now.number, fingerprint=other["fingerprint"], signed_by=other["name"])


def _differences(seen: dict[str, Any], found: Found | None, workshop: Workshop) -> tuple[str, ...]:
    """What differs from the file that was issued, where that is still here."""
    sha256 = found.now.certificate.file_sha256 if found else None
    folder = HashedFolder(workshop.settings.certificates)
    if found is None or sha256 is None or not folder.exists(sha256):
        return (_("What was altered cannot be told: the file as it was issued is not here to compare with."),)
    try:
        issued = shared().examine(folder.read_whole(sha256), title=_("The file as it was issued"), timeout_s=30)
    except (PdfError, OSError, ValueError):
        return (_("What was altered cannot be told: the file as it was issued cannot be read."),)
    told = [*_pages_told(issued["pages"], seen["pages"]), *_fields_told(found.now.certificate.record, seen["record"])]
    if not told:
        told.append(_("What it shows and the record in it are as they were issued; other bytes of the file differ."))
    return tuple(told)


def _pages_told(issued: list[str | None], brought: list[str | None]) -> list[str]:
    if len(brought) != len(issued):
        return [_("It has %(now)s pages; it was issued with %(then)s.", now=len(brought), then=len(issued))]
    differ = [
        place for place, pair in enumerate(zip(issued, brought, strict=True), 1) if pair[0] != pair[1] or not all(pair)
    ]
    if not differ:
        return []
    named = ", ".join(str(place) for place in differ[:MOST_NAMED]) + (" …" if len(differ) > MOST_NAMED else "")
    return [_("What these pages show differs from what was issued: %(pages)s.", pages=named)]


def _fields_told(issued: str, brought: str | None) -> list[str]:
    if brought is None:
        return [_("The record that was attached to it is gone, or cannot be read.")]
    if brought == issued:
        return []
    try:
        then, now = json.loads(issued), json.loads(brought)
        differ = sorted(name for name in {*then, *now} if then.get(name) != now.get(name))
    except (ValueError, TypeError, AttributeError):
        return [_("The record attached to it is not the one that was issued.")]
    return [_("The record attached to it differs in: %(fields)s.", fields=", ".join(differ[:MOST_NAMED]))]


def _record(data: bytes, workshop: Workshop) -> Outcome:
    text = data.decode("utf-8", "replace")
    found = workshop.find(_number_in(text))
    if found is None or workshop.session is None:
        return Outcome(FOREIGN, (_("This record names no certificate that is known here."),))
    certificate = found.now.certificate
    if hashlib.sha256(data).hexdigest() == certificate.record_digest:
        stands = standing(found, workshop.session)
        return replace(stands, why=(*stands.why, _("This is its record: the file itself was not looked at.")))
    return Outcome(ALTERED, tuple(_fields_told(certificate.record, text)), certificate.number)


def _photo(data: bytes, workshop: Workshop) -> Outcome:
    try:
        texts = read_label(data, lambda text: CODE_NUMBER.search(text.upper()) is not None).texts
    except PhotoError:
        words = _("This is neither a PDF nor a record of a certificate, nor a photo that can be opened.")
        return Outcome(CANNOT_TELL, (words,))
    named = next((text.upper() for text in texts if CODE_NUMBER.search(text.upper())), None)
    if named is None:
        return Outcome(CANNOT_TELL, (_("No code of a certificate can be read in this photo. Go nearer, hold still."),))
    number = "C-" + CODE_NUMBER.findall(named)[0]
    found = workshop.find(number)
    if found is None or workshop.session is None:
        return Outcome(CANNOT_TELL, (_("Its code names %(number)s, which is not known here.", number=number),), number)
    part = CODE_DIGEST.search(named)
    if part and not found.now.certificate.record_digest.startswith(part[1].lower()):
        return Outcome(ALTERED, (_("Its code names another record than the one that was issued."),), number)
    stands = standing(found, workshop.session)
    words = _(
        "Its code names %(number)s. That is all a photo shows: the words on the paper may have been altered. Compare "
        "them with the file, and the digest on the paper with the one shown here.",
        number=number,
    )
    return replace(stands, state=CANNOT_TELL, why=(words, *stands.why))


def _number_in(record: str | None) -> str | None:
    try:
        said = json.loads(record or "null")
        number = said["number"]
        return "C-" + parse_number(number.removeprefix("C-")).text
    except (ValueError, KeyError, TypeError, AttributeError, BadNumber):
        return None
